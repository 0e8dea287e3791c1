"""What two cells would read on a rig: load on a body ÷ line pull at the drum, as drawn and with something wrong."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from haulwright.catalogue import row
from haulwright.errors import RigRefusal
from haulwright.mechanics import loads, tension
from haulwright.mechanics.core import Core, solve_core
from haulwright.mechanics.rig import FLOATING, Rig
from haulwright.mechanics.solution import RigSolution
from haulwright.mechanics.tackles import NAMES, named_rig
from haulwright.quantities.measured import Measured

AS_DRAWN, SWAPPED, PATH, STUCK = "as drawn", "cells swapped", "wrong path", "stuck block"


@dataclass(frozen=True)
class Foretold:
    """The ratio of two readings under one assumption: ``high`` None has no upper end (friction alone holds the load)."""

    what: str
    words: str
    low: float
    high: float | None

    def meets(self, low: float, high: float) -> bool:
        """Return whether a measured interval touches this one."""
        return high >= self.low and (self.high is None or low <= self.high)


def cell_places(rig: Rig, solution: RigSolution) -> dict[str, float]:
    """Return the bodies at which a second cell says something, with their loads: all but what the drum stands on [N]."""
    return {
        name: body.load_N
        for name, body in solution.bodies.items()
        if rig.bodies[name].role != FLOATING and name != rig.winch_on and body.load_N > 0.0
    }


def foretold(rig: Rig, ratios: Mapping[str, Measured], place: str, moving: bool) -> tuple[Foretold, ...]:
    """Return what the load on a body ÷ the line pull would be: as drawn first, then with something wrong.

    Parameters
    ----------
    rig : Rig
        As planned, one winch.
    ratios : mapping block -> Measured
        Tension ratio of each block.
    place : str
        Body whose load the second cell reads.
    moving : bool
        True: slow, steady haul. False: standing still, where friction may point either way.

    Raises
    ------
    RigRefusal
        Where the rig does not work as drawn.

    Notes
    -----
    Hauling, the ratio lies between that without friction and that with every k at its upper end. Standing still, each
    contact may hold anything between hauling and letting back, so the range reaches from the one to the other. A stuck
    block is a sheave that does not turn: capstan law, friction over the published range. A wrong path is any named rig
    with no more contacts, its parts parallel.

    References
    ----------
    Balance of forces; capstan law, any statics text. Wrong paths: the named rigs of this software.
    """
    drawn = as_drawn(rig, ratios, place, moving)
    found = [drawn]
    if drawn.low > 0.0:
        swapped = (0.0 if drawn.high is None else 1.0 / drawn.high, 1.0 / drawn.low)
        found.append(Foretold(SWAPPED, "the line cell and the anchor cell are exchanged", *swapped))
    found += _stuck(rig, ratios, place, moving)
    found += _paths(rig, ratios, moving)
    return tuple(found)


def as_drawn(rig: Rig, ratios: Mapping[str, Measured], place: str, moving: bool) -> Foretold:
    """Return the ratio of the rig as drawn; as :func:`foretold`."""
    return Foretold(AS_DRAWN, "the rig as drawn", *_range(rig, ratios, place, moving))


def _range(
    rig: Rig,
    ratios: Mapping[str, Measured],
    place: str,
    moving: bool,
    seized: Mapping[str, float] | None = None,
) -> tuple[float, float | None]:
    upper = {block: max(k.hi, 1.0) for block, k in ratios.items()} or None
    free = 1.0 if seized is None else {block: max(k.lo, 1.0) for block, k in ratios.items()}
    cores = [solve_core(rig, k, None, None, seized or ()) for k in (free, upper)]
    found = [_of(rig, core, core.found, place) for core in cores]
    if moving:
        return min(found), max(found)
    back = cores[-1].letting_back()
    held = None if back is None else _of(rig, cores[-1], back, place)
    return min(found), None if held is None or not math.isfinite(held) else max(*found, held)


def _of(rig: Rig, core: Core, found: tension.Tensions, place: str) -> float:
    forces = loads.body_forces(core.moving.rig, core.moving.course_of, found)
    effort = next(iter(tension.efforts_of(rig, found).values()))
    return math.hypot(*forces[place]) / effort if effort > 0.0 else math.inf


def _stuck(rig: Rig, ratios: Mapping[str, Measured], place: str, moving: bool) -> Iterator[Foretold]:
    published = row("friction", "rope-on-post")
    for block in dict.fromkeys(rig.contacts_from_drum):
        ends = []
        for mu in (end for end in (published.lo, published.hi) if end is not None):
            try:
                ends.append(_range(rig, ratios, place, moving, {block: mu}))
            except RigRefusal:
                continue  # it jams: nothing would be read
        if ends:
            high = None if any(end[1] is None for end in ends) else max(end[1] or 0.0 for end in ends)
            body = rig.blocks[block].body
            name = f"the block on {body}" if block == body else f"the block {block}"
            yield Foretold(STUCK, f"{name} does not turn", min(end[0] for end in ends), high)


def _paths(rig: Rig, ratios: Mapping[str, Measured], moving: bool) -> Iterator[Foretold]:
    """Yield what named rigs of no more contacts would give, with the greatest and least friction of the blocks there."""
    k = max((max(one.hi, 1.0) for one in ratios.values()), default=1.0)
    contacts = len(rig.contacts_from_drum)
    on_load = rig.winch_on == rig.load.name
    seen: set[tuple[int, int]] = set()
    for name in NAMES:
        if not name.endswith("/on-load" if on_load else "/off-load") or name.startswith(
            ("series", "one long")
        ):
            continue
        other = named_rig(name)
        anchors = [body.name for body in other.bodies.values() if body.role == "anchor"]
        if len(other.contacts_from_drum) > contacts or not anchors:
            continue
        same = dict.fromkeys(other.contacts_from_drum, Measured(k, 0.0, 1.0, k))
        low, high = _range(other, same, anchors[0] if on_load else other.load.name, moving)
        key = (round(100 * low), -1 if high is None else round(100 * high))
        if key not in seen:
            seen.add(key)
            yield Foretold(PATH, f"the line runs as a {name.partition('/')[0]}", low, high)
