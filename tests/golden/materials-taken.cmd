materials --into styles/pebble.yaml canvas=shell-leather
