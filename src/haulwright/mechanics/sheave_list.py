"""Every published tension ratio a rig can take, in one record."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from haulwright.catalogue import load
from haulwright.mechanics.published import TABLE, published_interval, published_law
from haulwright.quantities.measured import Measured
from haulwright.records import Made, Record


@dataclass(frozen=True)
class SheaveLine:
    """One published ratio: its row, what it is of, k with its range where one is printed, where it holds, its source."""

    row: str
    name: str
    family: str
    k: Measured
    valid: str
    source: str


@dataclass(frozen=True, kw_only=True)
class SheaveList(Record):
    """Every published ratio of the catalogue."""

    kind: ClassVar[str] = "sheave-list"
    sheaves: tuple[SheaveLine, ...]


def list_sheaves() -> SheaveList:
    """Return every published tension ratio of one contact, from the smallest loss to the greatest.

    Examples
    --------
    >>> next((round(one.k.value, 3), one.name) for one in list_sheaves().sheaves if one.row == "block-plain")
    (1.081, 'Block on a plain bush')
    """
    lines = []
    for id_, row in load(TABLE).items():
        if row.quantity in ("k", "e"):
            k = published_interval(id_) or Measured.exact(published_law(id_).k)
            lines.append(SheaveLine(id_, row.name, row.family, k, row.valid, row.source.cite()))
    found = tuple(sorted(lines, key=lambda line: line.k.value))
    return SheaveList(sheaves=found, made=Made("rows of the catalogue", {}))
