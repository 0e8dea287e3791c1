"""Formula names of the printed rows and the functions that compute them."""

from __future__ import annotations

from collections.abc import Callable
from types import ModuleType

from haulwright.catalogue.printed import PrintedRow
from haulwright.checking import field_formulas, statistics_formulas, tackle_formulas
from haulwright.errors import CatalogueRefusal


def _functions(module: ModuleType) -> dict[str, Callable[..., float]]:
    """Return the public functions that ``module`` itself defines and that return a number."""
    return {
        name: item
        for name, item in vars(module).items()
        if not name.startswith("_")
        and getattr(item, "__module__", "") == module.__name__
        and getattr(item, "__annotations__", {}).get("return") == "float"
    }


FORMULAS: dict[str, Callable[..., float]] = {
    name: function
    for module in (tackle_formulas, field_formulas, statistics_formulas)
    for name, function in _functions(module).items()
}


def compute(row: PrintedRow) -> float:
    """Return what this copy computes for a printed row, in the row's unit.

    Raises
    ------
    CatalogueRefusal
        ``FORMULA`` if the row names none of :data:`FORMULAS`.
    """
    if row.formula not in FORMULAS:
        raise CatalogueRefusal("FORMULA", f"Printed row {row.id!r}: no formula {row.formula!r}.", (row.id,))
    return float(FORMULAS[row.formula](**row.args))
