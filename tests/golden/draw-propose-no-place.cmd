draw styles/skerry.yaml --propose 9
