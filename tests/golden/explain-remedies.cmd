explain turn-clip-root styles/skerry.yaml 'bend vamp.throat.1' --factory harbour --alternative turned
