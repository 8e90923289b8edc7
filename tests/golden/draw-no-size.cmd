draw styles/skerry.yaml --size 47 --colourway Bark
