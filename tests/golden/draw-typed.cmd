draw styles/pebble.yaml topline --plain
