chekc styles/skerry.yaml
