order styles/skerry.yaml
