check styles/skerry.yaml --alternative turnd
