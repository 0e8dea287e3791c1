"""The routes: what is asked where, and how the description of the interface tells of it."""
