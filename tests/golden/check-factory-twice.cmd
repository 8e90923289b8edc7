check styles/pebble.yaml --factory harbour --factory loft,harbour
