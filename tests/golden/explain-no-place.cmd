explain turn-clip-pitch styles/skerry.yaml 'bend vamp.throat.9'
