"""Every piece of a kit against the hardest common use: once round a block at the kit's greatest winch stall."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import ClassVar

from haulwright.catalogue import row
from haulwright.field import rating
from haulwright.files.kit import ELASTIC, JOINING, SLINGING, TURNING, Item, Kit
from haulwright.notices import Code, Notice
from haulwright.planning.limits import item_limit
from haulwright.planning.remarks import FURTHER
from haulwright.planning.result import ItemCheck, ItemLoad
from haulwright.records import Made, Record

DOUBLED = (*TURNING, *JOINING, *SLINGING)  # may hold a block, so carry twice the line


@dataclass(frozen=True, kw_only=True)
class KitCheck(Record):
    """A kit with a verdict for each piece.

    Attributes
    ----------
    kit_name : str
    stall_N : float or None
        Greatest winch stall of the kit [N]; None without a winch: then every verdict is ``unknown``.
    items : tuple of ItemCheck
        Loads: the stall itself for what lies in the line, twice that for what may hold a block.
    set_aside : tuple of str
        Pieces in quarantine or damaged: never planned with.
    """

    kind: ClassVar[str] = "kit"
    kit_name: str
    stall_N: float | None
    items: tuple[ItemCheck, ...]
    set_aside: tuple[str, ...] = ()


def check_kit(kit: Kit) -> KitCheck:
    """Return every piece's working limit and how it stands against winch stall.

    Parameters
    ----------
    kit : Kit

    Returns
    -------
    KitCheck

    Notes
    -----
    A block that turns the line back carries twice the line pull, and so does all that ties it to its anchor; rigs with
    more parts ask for more: the plan of a pull is what decides.

    References
    ----------
    The regulator's guidance in the catalogue's rules (blocks and their ties carry twice the line).

    Examples
    --------
    >>> from haulwright.files.kit import read_kit
    >>> kit = read_kit({"items": [{"id": "S-1", "kind": "shackle"}], "winches": [{"id": "W", "line_pull": "40 kN"}]})
    >>> [(item.item, item.load_N.stall, item.verdict) for item in check_kit(kit).items]
    [('S-1', 80000.0, 'unknown')]
    """
    stall = max((winch.line_pull * winch.stall_factor for winch in kit.winches), default=None)
    items = tuple(
        _check(item, kit, stall or 0.0) for item in kit.items if item.usable and item.kind not in ELASTIC
    )
    aside = tuple(item.label for item in kit.items if not item.usable)
    return KitCheck(
        kit_name=kit.kit,
        stall_N=stall,
        items=items,
        set_aside=aside,
        notices=_notices(kit, items, stall),
        made=Made("stall of the strongest winch, doubled for what may hold a block", {"kit": kit.kit}),
    )


def _check(item: Item, kit: Kit, stall_N: float) -> ItemCheck:
    limit = item_limit(item, kit)
    load = stall_N * (row("rules", FURTHER).si if item.kind in DOUBLED else 1.0)
    used = rating.utilisation(load, limit) if stall_N > 0.0 else None
    return ItemCheck(
        item.id,
        item.kind,
        ItemLoad(*((load if stall_N else math.nan,) * 3)),
        limit.limit_N,
        limit.basis,
        used,
        rating.verdict(used),
        limit.note,
    )


def _notices(kit: Kit, items: tuple[ItemCheck, ...], stall_N: float | None) -> tuple[Notice, ...]:
    found = [Code.UNKNOWN_RATING.notice((i.item,), what=i.item) for i in items if i.limit_N is None]
    elastic = [item.label for item in kit.items if item.kind in ELASTIC]
    if elastic:
        found.append(Code.ELASTIC.notice(tuple(elastic)))
    if stall_N is None:
        found.append(
            Code.UNCHECKED.notice(text="The kit lists no winch, so nothing is held against a stall.")
        )
    found.append(Code.DEFER.notice())
    return (*found, Code.INVENTED.notice()) if kit.invented else tuple(found)
