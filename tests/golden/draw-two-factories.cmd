draw styles/skerry.yaml 'part vamp' --factory harbour --factory loft
