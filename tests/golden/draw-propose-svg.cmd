draw styles/skerry.yaml 'edge vamp.cap-line' --factory harbour --alternative turned --propose 9 --as svg
