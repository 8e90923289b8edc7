explain last-kept styles/skerry.yaml 'edge heel-patch.feather' --factory harbour
