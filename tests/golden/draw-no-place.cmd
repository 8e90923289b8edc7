draw styles/skerry.yaml "$(printf "edge \\033[31mvamp.throut")"
