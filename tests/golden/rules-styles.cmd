rules --all styles/pebble.yaml styles/bollard.yaml --factory loft
