explain turn-clip-root --factory harbour
