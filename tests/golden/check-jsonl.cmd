check styles/pebble.yaml --factory harbour --as jsonl
