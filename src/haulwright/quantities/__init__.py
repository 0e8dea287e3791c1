"""Numbers, units and uncertainty; standard library only.

``units`` reads what people type and prints it back, ``numerals`` reads and prints the bare figures,
``measured`` is a value with its uncertainty, ``rounding`` the one rounding rule, ``propagate`` carries
uncertainty through a function.
"""
