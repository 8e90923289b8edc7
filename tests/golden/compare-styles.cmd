compare styles/fairlead.yaml styles/pebble.yaml --factory loft
