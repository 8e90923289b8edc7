explain row-machine styles/skerry.yaml 'row cap.2' --factory loft
