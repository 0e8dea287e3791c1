"""Printed results of outside sources, each with the formula that must reproduce it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from haulwright.catalogue.loading import read_toml, source_from
from haulwright.errors import CatalogueRefusal
from haulwright.sources import FLAGS, Source

TABLES = ("tackle", "ground", "angles", "gear", "drum", "rope", "statistics")
_KEYS = {"id", "item", "formula", "unit", "source", "args", "columns", "rows", "tolerance", "why"}


@dataclass(frozen=True)
class PrintedRow:
    """One printed number.

    Attributes
    ----------
    id : str
        Unique.
    item : str
        What is printed, in words.
    source : Source
        Where; a ``memory`` row is shown, never asserted.
    formula : str
        Name of the function that computes it.
    args : mapping
        Its arguments, in the printed units.
    printed : str
        The figures as printed (without thousands marks).
    unit : str
        Unit of the printed number, ``1`` for a plain one.
    tolerance : float
        Greatest difference allowed, in ``unit``.
    why : str
        Reason where the tolerance is more than half a unit of the last printed digit.
    """

    id: str
    item: str
    source: Source
    formula: str
    args: Mapping[str, Any]
    printed: str
    unit: str
    tolerance: float
    why: str = ""

    @property
    def value(self) -> float:
        """The printed number."""
        return float(self.printed)

    def agrees(self, computed: float) -> bool:
        """Return whether a computed number lies within the tolerance of the printed one.

        Examples
        --------
        >>> row = next(row for row in printed_rows() if row.id == "users-four-part-4")
        >>> row.printed, row.agrees(0.3087), row.agrees(0.2755)
        ('0.309', True, False)
        """
        return abs(computed - self.value) <= self.tolerance * (1.0 + 1e-9)


def half_last_digit(printed: str) -> float:
    """Return half a unit of the last printed digit.

    Examples
    --------
    >>> half_last_digit("0.309"), half_last_digit("350")
    (0.0005, 0.5)
    """
    return 0.5 * 10.0 ** -len(printed.partition(".")[2])


def _tolerance(given: str | float | None, printed: str) -> float:
    if given is None:
        return half_last_digit(printed)
    if isinstance(given, str):
        return abs(float(printed)) * float(given.removesuffix("%")) / 100.0
    return float(given)


def _rows(table: Mapping[str, Any], shared: Mapping[str, Any]) -> list[PrintedRow]:
    id_ = str(table.get("id", "?"))
    source = source_from(table.get("source"), shared, id_)
    if source.flag not in FLAGS or not table["unit"] or not set(table) <= _KEYS:
        raise CatalogueRefusal(
            "ROW", f"Printed table {id_!r} lacks unit or flag, or has an unknown key.", (id_,)
        )
    if "tolerance" in table and not table.get("why"):
        raise CatalogueRefusal(
            "TOLERANCE", f"Printed table {id_!r}: a tolerance needs its reason (why).", (id_,)
        )
    rows = []
    for *varied, printed in table["rows"]:
        args = {**table.get("args", {}), **dict(zip(table["columns"], varied, strict=True))}
        name = "-".join((id_, *(str(value).replace(" ", "-") for value in varied)))
        tolerance = _tolerance(table.get("tolerance"), printed)
        item = f"{table['item']}: {', '.join(f'{key} {args[key]}' for key in table['columns'])}"
        row = PrintedRow(
            name,
            item,
            source,
            table["formula"],
            args,
            printed,
            table["unit"],
            tolerance,
            table.get("why", ""),
        )
        rows.append(row)
    return rows


@cache
def printed_rows() -> tuple[PrintedRow, ...]:
    """Return every printed row of the package.

    Raises
    ------
    CatalogueRefusal
        For a row without unit, source or flag, a tolerance without reason, or an id used twice.
    """
    rows: list[PrintedRow] = []
    for name in TABLES:
        data = read_toml(f"published/{name}")
        for table in data["tables"]:
            rows += _rows(table, data["sources"])
    ids = [row.id for row in rows]
    if len(set(ids)) != len(ids):
        twice = sorted({id_ for id_ in ids if ids.count(id_) > 1})
        raise CatalogueRefusal("TWICE", f"Printed rows have one id twice: {', '.join(twice)}.", tuple(twice))
    return tuple(rows)
