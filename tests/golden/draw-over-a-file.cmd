draw styles/skerry.yaml 'part vamp' -o README.md
