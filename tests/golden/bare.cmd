styles/pebble.yaml --factory harbour
