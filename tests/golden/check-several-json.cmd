check styles/pebble.yaml styles/fairlead.yaml --factory harbour --as json
