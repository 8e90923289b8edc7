draw styles/skerry.yaml 'sheet open' --propose 9
