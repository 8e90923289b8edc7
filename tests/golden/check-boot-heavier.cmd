check styles/fairlead.yaml --factory harbour --alternative heavier-calf
