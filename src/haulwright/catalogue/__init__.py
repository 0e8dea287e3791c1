"""The catalogue: every published number Haulwright uses, each with unit, range of validity and source.

``load`` and ``row`` read the tables beside this file, ``load_user`` and ``dump_devices`` the devices a user
has measured; both give the same :class:`~haulwright.catalogue.rows.Row`. ``published/`` holds printed
results that ``haulwright check`` compares with what this copy computes. Standard library only.
"""

from haulwright.catalogue.devices import dump_devices, load_user, measured_row
from haulwright.catalogue.loading import NAMES, load, row
from haulwright.catalogue.lookups import shackle_wll, wire_rope_strength_factor
from haulwright.catalogue.rows import Row

__all__ = [
    "NAMES",
    "Row",
    "dump_devices",
    "load",
    "load_user",
    "measured_row",
    "row",
    "shackle_wll",
    "wire_rope_strength_factor",
]
