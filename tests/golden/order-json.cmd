order styles/pebble.yaml --as json
