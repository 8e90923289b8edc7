draw styles/skerry.yaml 'sheet lateral' --size 36 --colourway Chalk
