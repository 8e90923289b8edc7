compare styles/skerry.yaml --alternative turned,turned-rounded --factory harbour --as json
