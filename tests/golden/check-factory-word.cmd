check styles/pebble.yaml harbour
