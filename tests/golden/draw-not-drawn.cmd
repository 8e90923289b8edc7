draw styles/pebble.yaml 'part vamp'
