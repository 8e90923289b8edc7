draw styles/skerry.yaml 'seam facing-lat' --factory harbour --alternative turned --plain
