"""The published-check record."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from haulwright.catalogue.printed import PrintedRow, printed_rows
from haulwright.checking.registry import compute
from haulwright.notices import Code, Notice
from haulwright.records import Made, Record

MEMORY = "memory"
LOOK_UPS = frozenset({"catalogue_value", "catalogue_point", "shackle_wll", "shackle_pin", "wire_area_factor", "pickets_hold",
                      "rope_end_share"})  # fmt: skip


@dataclass(frozen=True)
class PublishedRow:
    """One printed number beside the computed one, both in ``unit``.

    Attributes
    ----------
    id, item, source, unit, flag, why : str
        See :class:`haulwright.catalogue.printed.PrintedRow`; ``source`` is the citation.
    printed, computed, difference, tolerance : float
        ``difference`` is computed minus printed.
    printed_text : str
        The figures as printed.
    ok : bool or None
        Within the tolerance; None for a row from memory, which is shown and never asserted.
    """

    id: str
    source: str
    item: str
    unit: str
    printed: float
    printed_text: str
    computed: float
    difference: float
    tolerance: float
    why: str
    flag: str
    ok: bool | None


@dataclass(frozen=True, kw_only=True)
class PublishedCheck(Record):
    """Every printed value of the package against what this copy computes.

    Attributes
    ----------
    rows : tuple of PublishedRow
    checked, agreeing, differing, from_memory : int
        ``checked`` = ``agreeing`` + ``differing``; rows from memory are counted apart.
    carried : int
        Rows among the checked that only hold the print against the same entry of the catalogue: they guard the copying,
        not a computation.
    """

    kind: ClassVar[str] = "published-check"
    rows: tuple[PublishedRow, ...]
    checked: int
    agreeing: int
    differing: int
    from_memory: int
    carried: int


def _row(row: PrintedRow) -> PublishedRow:
    computed = compute(row)
    ok = None if row.source.flag == MEMORY else row.agrees(computed)
    return PublishedRow(
        row.id, row.source.cite(), row.item, row.unit, row.value, row.printed, computed, computed - row.value,
        row.tolerance, row.why, row.source.flag, ok,
    )  # fmt: skip


def published_check() -> PublishedCheck:
    """Compare every printed value of the catalogue with what this copy computes.

    Returns
    -------
    PublishedCheck

    Examples
    --------
    >>> published_check().differing
    0
    """
    rows = tuple(_row(row) for row in printed_rows())
    differing = [row for row in rows if row.ok is False]
    memory = sum(row.ok is None for row in rows)
    notices: tuple[Notice, ...] = tuple(
        Code.OUT_OF_RANGE.notice(
            (row.id,), text=f"{row.item}: computed {row.computed:.6g} {row.unit}, printed {row.printed_text}."
        )
        for row in differing
    )
    if memory:
        text = f"{memory} rows are from memory: shown, not counted."
        notices += (Code.RULE_OF_THUMB.notice(text=text),)
    return PublishedCheck(
        rows=rows, checked=len(rows) - memory, agreeing=len(rows) - memory - len(differing),
        differing=len(differing), from_memory=memory, carried=_carried(), notices=notices,
        made=Made("each printed value recomputed by the rig solver, the field modules and the catalogue",
                  {"rows": len(rows)}, tuple(dict.fromkeys(row.source for row in rows))),
    )  # fmt: skip


def _carried() -> int:
    """Return how many counted rows compare the catalogue's entry with its own print."""
    return sum(row.formula in LOOK_UPS and row.source.flag != MEMORY for row in printed_rows())
