draw styles/skerry.yaml 'bend vamp.throat.1' --plain
