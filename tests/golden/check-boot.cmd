check styles/fairlead.yaml --factory harbour
