check styles/skerry.yaml --factory harbour --giver everybody
