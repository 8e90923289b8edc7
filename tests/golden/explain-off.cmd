explain last-margin-wide styles/skerry.yaml 'edge vamp.feather-lat' --factory harbour
