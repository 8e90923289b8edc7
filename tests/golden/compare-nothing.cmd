compare
