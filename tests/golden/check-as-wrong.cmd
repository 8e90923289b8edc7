check styles/pebble.yaml --as pdf
