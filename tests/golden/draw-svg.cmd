draw styles/skerry.yaml 'hole eyelets-lat' --as svg
