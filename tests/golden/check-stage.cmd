check styles/pebble.yaml --factory harbour --stage production
