check styles/pebble.yaml --factory loft --all
