draw --help
