draw styles/skerry.yaml 'edge vamp.throat' --factory harbour --alternative turned --propose '9 mm'
