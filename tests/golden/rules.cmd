rules
