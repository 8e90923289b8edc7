draw styles/skerry.yaml 'edge vamp.cap-line' --propose 9kg
