draw styles/skerry.yaml tongue
