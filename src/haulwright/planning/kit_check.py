"""Every piece of a kit against the uses it could have: in the line or at a block, at the stall of each winch of the kit."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence

from haulwright.catalogue import row
from haulwright.errors import Refusal
from haulwright.field import rating
from haulwright.field.rating import Limit
from haulwright.files.kit import ELASTIC, HOLDING, JOINING, SLINGING, TURNING, Item, Kit
from haulwright.notices import Code, Notice
from haulwright.planning.guidance import FURTHER, guidance_notice, held_against
from haulwright.planning.kit_result import KitCheck, KitItem, KitPull, KitUse
from haulwright.planning.kit_words import known_not, to_do
from haulwright.planning.limits import item_limit
from haulwright.planning.remarks import overdue_notices
from haulwright.planning.result import Plan
from haulwright.planning.winch import overfull_of
from haulwright.records import Made

SINGLE, AT_BLOCK = "single line", "at a block"
UNLOADED = ("damper", *ELASTIC)  # no load of a winch belongs on them
_EITHER = (
    "bridle",
    "load cell",
    "recovery point",
    *JOINING,
    *SLINGING,
)  # in the line, or between a block and its anchor


def uses_of(item: Item) -> tuple[tuple[str, bool], ...]:
    """Return the uses a piece could have, and for each whether it is at a block.

    Examples
    --------
    >>> uses_of(Item(id="S", kind="shackle"))
    (('single line', False), ('at a block', True))
    >>> uses_of(Item(id="L", kind="rope"))
    (('single line', False),)
    """
    if not item.usable or item.kind in UNLOADED:
        return ()
    if item.kind in TURNING:
        return ((AT_BLOCK, True),)
    if item.kind in HOLDING:
        return (("as anchor of a line", False), ("as anchor of a block", True))
    return ((SINGLE, False), (AT_BLOCK, True)) if item.kind in _EITHER else ((SINGLE, False),)


def check_kit(
    kit: Kit, day: dt.date | None = None, plans: Sequence[Plan] = (), unplanned: Sequence[KitPull] = ()
) -> KitCheck:
    """Return every piece's working limit and how it stands against winch stall in each use it could have.

    Parameters
    ----------
    kit : Kit
    day : date or None
        What the due dates are held against; None is today.
    plans : sequence of Plan
        Pulls planned with this kit: the places of their chosen rigs join the uses, with what those rigs take off.
    unplanned : sequence of KitPull
        Pulls that could not be planned, as :func:`not_planned` tells them.

    Returns
    -------
    KitCheck

    Notes
    -----
    Stall is the rated line pull on the first layer times the stall factor. A block that turns the line back carries twice
    the line pull, and so does all that ties it to its anchor; rigs with more parts ask for more: the plan of a pull is
    what decides.

    References
    ----------
    The regulator's guidance in the catalogue's rules (blocks and their ties carry twice the line).

    Examples
    --------
    >>> from haulwright.files.kit import read_kit
    >>> kit = read_kit({"items": [{"id": "S-1", "kind": "shackle"}], "winches": [{"id": "W", "line_pull": "40 kN"}]})
    >>> [(use.use, use.load_N, use.verdict) for use in check_kit(kit).items[0].uses]
    [('single line', 40000.0, 'unknown'), ('at a block', 80000.0, 'unknown')]
    """
    day = day or dt.date.today()
    items = tuple(_item(item, kit, day, plans) for item in kit.items)
    stall = max((winch.line_pull * winch.stall_factor for winch in kit.winches), default=None)
    rated = [item for item in items if item.utilisation is not None and (not plans or item.worst is not None)]
    return KitCheck(
        kit_name=kit.kit,
        day=day.isoformat(),
        stall_N=stall,
        items=items,
        set_aside=tuple(item.label for item in kit.items if not item.usable),
        weakest=max(rated, key=lambda item: item.utilisation or 0.0).item if rated else None,
        pulls=(*(_of_plan(plan) for plan in plans), *unplanned),
        notices=_notices(kit, items, day, stall),
        made=Made(
            "stall of every winch of the kit, doubled at a block", {"kit": kit.kit, "day": day.isoformat()}
        ),
    )


def not_planned(name: str, refusal: Refusal) -> KitPull:
    """Return a pull that could not be planned, with the reason."""
    return KitPull(name, None, None, None, refusal.message)


def _of_plan(plan: Plan) -> KitPull:
    best = plan.best
    if best is None:
        return KitPull(
            plan.pull, None, None, None, "; ".join(f"{r.rig} lacks {r.lacked}" for r in plan.rejected)
        )
    return KitPull(plan.pull, best.rig, best.winch, best.verdict)


def _hardest(uses: Iterable[KitUse]) -> KitUse | None:
    """Return the use with the worst verdict, of several the one nearest its limit."""
    return max(
        uses, key=lambda use: (rating.VERDICTS.index(use.verdict), use.utilisation or 0.0), default=None
    )


def _good_for(uses: Sequence[KitUse]) -> tuple[str, ...]:
    names = dict.fromkeys(use.use for use in uses)
    poor = {use.use for use in uses if use.verdict not in ("inside", "tight")}
    return tuple(name for name in names if name not in poor)


def _item(item: Item, kit: Kit, day: dt.date, plans: Sequence[Plan]) -> KitItem:
    limit = item_limit(item, kit)
    could = _uses(item, kit, limit)
    planned = tuple(use for plan in plans for use in _in_plan(item, plan))
    uses, counted = (*could, *planned), planned or could
    used = [use.utilisation for use in counted if use.utilisation is not None]
    verdict = rating.worst(use.verdict for use in counted) if counted else None
    if uses_of(item) and not kit.winches:
        verdict = "unknown"
    return KitItem(
        item=item.id,
        name=item.label,
        kind=item.kind,
        marked_N=item.rating,
        basis=limit.basis,
        factor=limit.factor,
        limit_N=limit.limit_N,
        deratings=limit.deratings,
        condition="quarantined" if item.quarantined else item.condition,
        bought=_said(item.bought),
        inspected=_said(item.inspected),
        due=_said(item.due),
        overdue=item.overdue(day),
        uses=uses,
        good_for=_good_for(could),
        worst=_hardest(planned),
        utilisation=max(used, default=None),
        verdict=verdict,
        note=limit.note,
        unknown=known_not(item, limit),
        to_do=to_do(item, limit, day, uses),
    )


def _said(day: dt.date | None) -> str | None:
    return None if day is None else day.isoformat()


def _uses(item: Item, kit: Kit, limit: Limit) -> list[KitUse]:
    found: list[KitUse] = []
    for winch in kit.winches:
        stall_N = winch.line_pull * winch.stall_factor
        for use, at_block in uses_of(item):
            load = stall_N * (row("rules", FURTHER).si if at_block else 1.0)
            share = rating.utilisation(load, limit)
            check = held_against(item.id, use, item, stall_N, at_block)
            found.append(KitUse(use, winch.id, load, limit.limit_N, share, rating.verdict(share), check))
    return found


def _in_plan(item: Item, plan: Plan) -> tuple[KitUse, ...]:
    """Return the places of a piece in the chosen rig of a pull."""
    best = plan.best
    if best is None:
        return ()
    told = {(one.item, one.role): one for one in best.guidance}
    return tuple(
        KitUse(
            f"in the pull: {one.role}",
            best.winch,
            one.load_N.stall,
            one.limit_N,
            one.utilisation,
            one.verdict,
            told.get((one.item, one.role)),
            plan.pull,
        )
        for one in best.items
        if one.item == item.id
    )


def _notices(kit: Kit, items: tuple[KitItem, ...], day: dt.date, stall_N: float | None) -> tuple[Notice, ...]:
    found = [
        Code.UNKNOWN_RATING.notice((i.item,), what=i.item)
        for i in items
        if i.verdict == "unknown" and i.limit_N is None
    ]
    found += overdue_notices((item for item in kit.items if item.usable), day)
    found += (Code.DRUM_FULL.notice(("drum",), text=text) for text in overfull_of(kit))
    checks = [use.guidance for item in items for use in item.uses if use.guidance is not None]
    if checks:
        found.append(guidance_notice(checks))
    elastic = [item.label for item in kit.items if item.kind in ELASTIC]
    if elastic:
        found.append(Code.ELASTIC.notice(tuple(elastic)))
    if stall_N is None:
        found.append(
            Code.UNCHECKED.notice(text="The kit lists no winch, so nothing is held against a stall.")
        )
    found.append(Code.DEFER.notice())
    return (*found, Code.INVENTED.notice()) if kit.invented else tuple(found)
