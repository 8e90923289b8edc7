compare styles/skerry.yaml --alternative turnt
