"""Doors to the verbs: the command line (and later the web app); no arithmetic here."""
