"""Published values against what this copy computes: ``haulwright check``.

Every formula here calls the product's own code (rig solver, field modules, catalogue); nothing is computed
twice.
"""

from haulwright.checking.check import PublishedCheck, PublishedRow, published_check
from haulwright.checking.registry import FORMULAS, compute

__all__ = ["FORMULAS", "PublishedCheck", "PublishedRow", "compute", "published_check"]
