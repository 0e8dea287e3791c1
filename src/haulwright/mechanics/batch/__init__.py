"""Many rigs or many samples at once, on numpy arrays: compiled rigs, every reeving of a tackle, tackles by gear."""
