check styles/fairlead.yaml
