compare styles/skerry.yaml --alternative as-written,turned,turned-rounded --factory harbour,loft
