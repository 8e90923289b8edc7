check styles/skerry.yaml --factory harbour --alternative overlay
