check styles/skerry.yaml --factory loft --alternative turned
