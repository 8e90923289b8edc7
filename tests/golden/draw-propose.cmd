draw styles/skerry.yaml 'edge toe-cap.back' --factory harbour --alternative turned --propose least --plain
