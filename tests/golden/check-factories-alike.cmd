check styles/pebble.yaml --factory harbour,rules/factories/harbour.yaml
