"""What is not known of a piece of the kit, and what to do about it, in plain words."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable

from haulwright.field.rating import Limit
from haulwright.files.kit import ELASTIC, ROPES, Item
from haulwright.planning.kit_result import KitUse


def known_not(item: Item, limit: Limit) -> tuple[str, ...]:
    """Return what is not known of a piece.

    Examples
    --------
    >>> known_not(Item(id="S", kind="shackle"), Limit(None, "unknown"))
    ('rating', 'condition')
    """
    if item.kind == "damper" or item.kind in ELASTIC:
        return ()
    return tuple(word for word, missing in _gaps(item, limit) if missing)


def _gaps(item: Item, limit: Limit) -> Iterable[tuple[str, bool]]:
    yield "rating", item.rating is None and item.limit is None and "by table" not in limit.basis
    yield "basis of the mark", item.rating is not None and item.basis == "unknown"
    yield "design factor", "house factor" in limit.basis
    yield "mark itself (a table stands in)", "by table" in limit.basis
    yield "condition", item.condition == "unknown"
    yield "fibre", item.kind in ROPES and not item.material
    yield "choke angle", item.use == "choke" and item.choke_angle is None


def to_do(item: Item, limit: Limit, day: dt.date, uses: tuple[KitUse, ...]) -> tuple[str, ...]:
    """Return what to do about what is not known or not enough.

    Examples
    --------
    >>> to_do(Item(id="S", kind="shackle", rating="4.75 t", condition="good"), Limit(None, "unknown"), dt.date(2026, 1, 1), ())
    ('ask the maker whether the mark is a WLL or an MBS; until then it is not used',)
    """
    if not item.usable:
        return ("repair or scrap it; it is never planned with",)
    if item.kind in ELASTIC:
        return ("keep it out of every winch line",)
    words = [text for text, due in _wants(item, limit, day) if due]
    over = dict.fromkeys(use.use for use in uses if use.verdict == "over")
    return (*words, *((f"too weak at stall: {', '.join(over)}",) if over else ()))


def _wants(item: Item, limit: Limit, day: dt.date) -> Iterable[tuple[str, bool]]:
    loaded = item.kind != "damper"
    unmarked = item.rating is None and item.limit is None
    yield "have it inspected: it is overdue", item.overdue(day)
    yield (
        "find its mark, certificate or maker, or enter your own limit with its source; until then it is not used",
        loaded and unmarked and limit.limit_N is None,
    )
    yield (
        "ask the maker whether the mark is a WLL or an MBS; until then it is not used",
        item.rating is not None and item.basis == "unknown" and item.limit is None,
    )
    yield "read the mark on it; the table only stands in for it", "by table" in limit.basis
    yield "ask the maker for the design factor; a house number stands in", "house factor" in limit.basis
    yield "look it over and write down its condition", loaded and item.condition == "unknown"
    yield "have it looked at by a competent person: it is worn", item.condition == "worn"
