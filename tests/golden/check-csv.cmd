check styles/fairlead.yaml --factory loft --as csv
