"""One piece or anchor of a rig against its limit, with what its place in the rig takes off and what must be said first."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Protocol

from haulwright.field import rating
from haulwright.field.rating import Limit
from haulwright.mechanics.solution import RigSolution
from haulwright.planning.holding import Hold
from haulwright.planning.placing import Placing, as_placed
from haulwright.planning.result import ItemCheck, ItemLoad, Range
from haulwright.planning.shelf import Use

_CASES = (("stall", "at winch stall"), ("high", "at the high resistance"))


class Peaked(Protocol):
    """What is needed of a solved rig: all its solutions."""

    @property
    def free(self) -> tuple[RigSolution, ...]:
        """Solutions without friction."""

    @property
    def upper(self) -> tuple[RigSolution, ...]:
        """Solutions with every ratio at its upper end."""


def check(use: Use, solved: Peaked, load: ItemLoad, at_m: float | None = None) -> ItemCheck:
    """Return one use with its margin.

    Parameters
    ----------
    use : Use
    solved : Peaked
        The rig along its travel, at winch stall.
    load : ItemLoad
        Greatest load of the piece in each case.
    at_m : float or None
        How far the vehicle has come where the load at stall is greatest.

    Returns
    -------
    ItemCheck

    Notes
    -----
    A pull from the side takes the greatest angle met anywhere along the travel. An anchor that even the best end of
    what friction or a table lets it hold does not stand is over; that end is then shown as its limit, named so.
    """
    limit = side_loaded(use, solved)
    hold, first = _hold(use, solved, load)
    if hold is not None and hold.words:
        limit = replace(limit, note="; ".join(text.rstrip(".") for text in (limit.note, hold.words) if text))
    if first and hold is not None and _goes(hold, load):
        limit = _at_best(limit, hold)
    used = rating.utilisation(load.stall, limit)
    if (
        used is not None
        and hold is not None
        and hold.holding is not None
        and limit.limit_N == hold.holding.high_N
    ):
        used = max(used, rating.utilisation(load.high, limit) or 0.0)
    holding = hold.holding if hold is not None else None
    owned = use.marked
    return ItemCheck(
        item=use.item,
        role=use.role,
        load_N=load,
        limit_N=limit.limit_N,
        basis=limit.basis,
        utilisation=used,
        verdict=rating.verdict(used),
        note=limit.note,
        at_m=at_m,
        first=first,
        holds_N=None if holding is None else Range(holding.low_N, holding.likely_N, holding.high_N),
        marked_N=owned.rating if owned is not None else None,
        factor=limit.factor,
        deratings=limit.deratings,
        name=use.label,
        at=use.at,
    )


def side_loaded(use: Use, solved: Peaked) -> Limit:
    """Return the limit of a use, with the greatest pull from the side along the travel taken off."""
    if use.side is None or use.owned is None:
        return use.limit
    return limit_at(use, max(use.side(solution) for solution in (*solved.free, *solved.upper)))


def limit_at(use: Use, side_rad: float) -> Limit:
    """Return the limit of a use that is pulled so far from its axis [rad]."""
    if use.owned is None:
        return use.limit
    return as_placed(use.limit, use.owned, Placing(side_rad=side_rad), only_side=True)


def _hold(use: Use, solved: Peaked, load: ItemLoad) -> tuple[Hold | None, str]:
    """Return the weakest of what is known of an anchor along the travel, and what must be said first."""
    if use.hold is None:
        return None, ""
    holds = [use.hold(solution) for solution in (*solved.free, *solved.upper)]
    hold = min(holds, key=lambda one: one.holding.high_N if one.holding is not None else math.inf)
    own = use.limit.limit_N is not None and not _goes(hold, load)
    if own and not hold.bound and not hold.never:
        return (
            hold,
            "",
        )  # chocked or tied back, and its owner says what it holds so: friction alone is no fault of it
    first = _first(use.label, hold, load)
    return hold, f"{first} Your own limit counts." if first and own else first


def _first(name: str, hold: Hold, load: ItemLoad) -> str:
    if hold.never:
        return f"{name} is no anchor: {hold.never}."
    holding, what = hold.holding, "friction" if hold.goes == "slides" else "published figure"
    if holding is None:
        return ""
    for case, words in _CASES:
        if getattr(load, case) > holding.high_N and hold.bound:
            return f"{name} {hold.goes} {words}: even the best {what} holds less than the pull."
    for case, words in _CASES:
        if getattr(load, case) > holding.low_N:
            may = "slide" if hold.goes == "slides" else "give way"
            helped = "" if hold.bound else ", and what its chocks or back-tie add is not known"
            return f"{name} may {may} {words}: the low end of its {what} holds less than the pull{helped}."
    return ""


def _goes(hold: Hold, load: ItemLoad) -> bool:
    """Return whether the anchor is out: never one, or beyond the best end with nothing else to hold it."""
    if hold.never:
        return True
    holding = hold.holding
    return holding is not None and hold.bound and max(load.stall, load.high) > holding.high_N


def _at_best(limit: Limit, hold: Hold) -> Limit:
    """Return the best end of the estimate as the limit it cannot reach, unless an own limit is lower still."""
    best = 0.0 if hold.never or hold.holding is None else hold.holding.high_N
    if limit.limit_N is not None and limit.limit_N <= best:
        return limit
    basis = "no anchor" if hold.never else "best end of an estimate, no rating"
    return replace(limit, limit_N=best, basis=basis)
