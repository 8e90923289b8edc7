explain stack-foot styles/fairlead.yaml 'row backstrap.1' --factory harbour
