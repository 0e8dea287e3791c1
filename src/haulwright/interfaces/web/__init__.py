"""The server: the verbs over HTTP on this machine, the same records as ``--json``."""
