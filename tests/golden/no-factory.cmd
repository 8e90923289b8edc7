check styles/skerry.yaml --factory harbor
