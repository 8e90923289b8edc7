check styles/skerry.yaml --factory harbour --giver making
