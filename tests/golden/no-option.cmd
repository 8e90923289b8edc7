check styles/skerry.yaml --factroy harbour
