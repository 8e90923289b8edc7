explain last-margin-wide styles/skerry.yaml 'edge vamp.feather' --factory harbour
