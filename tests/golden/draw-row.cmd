draw styles/skerry.yaml 'row collar.1' --factory harbour
