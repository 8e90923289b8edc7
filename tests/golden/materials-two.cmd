materials calf-upper elastic-goring
