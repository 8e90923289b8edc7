explain turn-clip-pitch styles/skerry.yaml 'bend vamp.throat.1' --factory harbour --alternative overlay
