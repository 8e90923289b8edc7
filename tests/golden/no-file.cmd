check styles/missing.yaml
