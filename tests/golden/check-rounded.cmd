check styles/skerry.yaml --factory harbour --alternative turned-rounded
