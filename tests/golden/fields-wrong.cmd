fields bned
