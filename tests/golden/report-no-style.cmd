report styles/no-such.yaml --as html
