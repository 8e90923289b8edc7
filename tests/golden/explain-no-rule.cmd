explain turn-clip-pich
