"""The friction law of a published ratio or efficiency, by its row in the catalogue, and its like in other families."""

from __future__ import annotations

from dataclasses import dataclass

from haulwright.catalogue import Row, load, row
from haulwright.errors import RigRefusal
from haulwright.mechanics.names import nearest
from haulwright.mechanics.sheave import PerContact, efficiency_ratio
from haulwright.quantities.measured import Measured

TABLE = "sheaves"
LIKE = (
    ("api-roller", "makers-roller", "crane-roller"),
    ("api-plain", "makers-bronze", "crane-plain"),
)
"""Rows that print a ratio for the same kind of bearing, each in its own family."""


@dataclass(frozen=True)
class Published(PerContact):
    """A published ratio, the same whatever the wrap.

    Attributes
    ----------
    row : str
        Id in the catalogue's table of sheaves.
    """

    row: str = ""

    @property
    def words(self) -> str:
        """The ratio and what it is printed for."""
        return f"k {self.k:.5g} per contact, {row(TABLE, self.row).name}"


def published_law(id_: str, where: str = "row") -> Published:
    """Return the law of a row of the catalogue.

    Parameters
    ----------
    id_ : str
        Row of the table of sheaves.
    where : str
        What asks for it, for the message.

    Raises
    ------
    RigRefusal
        UNKNOWN, with the nearest row.

    Examples
    --------
    >>> published_law("makers-bronze").k
    1.045
    """
    rows = _rows()
    if id_ not in rows:
        raise RigRefusal(
            "UNKNOWN", f"{where}: there is no published row {id_!r}.{nearest(id_, list(rows))}", (where,)
        )
    return Published(_k(rows[id_]), row=id_)


def published_interval(id_: str) -> Measured | None:
    """Return the range printed for a row as a tension ratio with an interval; None where no range is printed.

    Examples
    --------
    >>> [round(published_interval("block-rolling").lo, 3), round(published_interval("block-rolling").hi, 3)]
    [1.02, 1.053]
    """
    found = _rows()[id_]
    if found.lo is None or found.hi is None:
        return None
    return found.ratio()


def like(id_: str) -> tuple[str, ...]:
    """Return the rows that other families print for the same kind of bearing.

    Examples
    --------
    >>> like("api-roller")
    ('makers-roller', 'crane-roller')
    """
    return tuple(other for kind in LIKE if id_ in kind for other in kind if other != id_)


def _rows() -> dict[str, Row]:
    return {id_: one for id_, one in load(TABLE).items() if one.quantity in ("k", "e")}


def _k(found: Row) -> float:
    return efficiency_ratio(found.si) if found.quantity == "e" else found.si
