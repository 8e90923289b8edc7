draw styles/skerry.yaml 'edge vamp.throut'
