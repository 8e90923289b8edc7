order
