check styles/fairlead.yaml --factory loft --giver nobody
