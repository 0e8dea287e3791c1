"""The tackles that are worth their gear: no other reaches as much with no more sheaves and no more ropes."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np

from haulwright.mechanics.batch.reeving import notation
from haulwright.mechanics.batch.reevings import Flags, Floats, Reevings, reevings
from haulwright.mechanics.tackles import ON

RATIO = (
    1.1  # house number: of equal ideal advantage that tackle leads which loses least with a block like this
)
_CLOSE = 1e-9


@dataclass(frozen=True)
class LeadingTackle:
    """One tackle that leads: its path, sheaves, ropes, and load ÷ effort without friction and with k of :data:`RATIO`."""

    path: str
    sheaves: int
    ropes: int
    ideal_advantage: float
    advantage: float


@dataclass(frozen=True)
class Leading:
    """The tackles that lead, fewest sheaves first, and how many were looked through."""

    tackles: tuple[LeadingTackle, ...]
    looked_at: int


@dataclass(frozen=True, eq=False)
class _Field:
    every: Reevings
    ideal: Floats
    actual: Floats
    allowed: Flags


@cache
def leading_tackles(blocks: int, ropes: int, winch: str) -> Leading:
    """Return the tackles of which none reaches as much with no more sheaves and no more ropes.

    Parameters
    ----------
    blocks : int
        Single blocks there are, up to six.
    ropes : int
        Lines there are, the winch's included, up to three.
    winch : str
        ``on-load`` or ``off-load``.

    Returns
    -------
    Leading
        Those with the drum at the anchor, or on the load, first; then those with the drum behind the load. Kept in memory.

    Raises
    ------
    RigRefusal
        INPUT for more than that.

    Examples
    --------
    >>> found = leading_tackles(4, 2, "on-load")
    >>> found.tackles[-1].path, found.tackles[-1].ideal_advantage, found.looked_at
    ('!O.drum > ~M > O > M ; ~M > X > O > X', 9.0, 42)
    """
    fields = [_field(moving, blocks, winch) for moving in range(ropes)]
    near = _leaders([(field, field.allowed & ~field.every.behind) for field in fields])
    behind = _leaders([(field, field.allowed & field.every.behind) for field in fields])
    return Leading((*near, *behind), sum(int(field.allowed.sum()) for field in fields))


def _field(moving: int, blocks: int, winch: str) -> _Field:
    every = reevings(moving, blocks)
    actual = every.advantages(RATIO)
    allowed = ~every.still & ~every.idle & (every.on_load == (winch == ON)) & ~np.isnan(actual)
    return _Field(every, every.ideal, actual, allowed)


def _leaders(fields: list[tuple[_Field, Flags]]) -> list[LeadingTackle]:
    rows = [
        (int(f.every.sheaves[row]), f.every.moving, -round(float(f.actual[row]), 9), int(row), f)
        for f, wanted in fields
        for row in np.flatnonzero(wanted)
    ]
    leaders: list[LeadingTackle] = []
    for sheaves, moving, _, row, f in sorted(rows, key=lambda one: one[:4]):
        ideal, actual = float(f.ideal[row]), float(f.actual[row])
        if not any(led.ropes <= moving + 1 and _reaches(led, ideal, actual) for led in leaders):
            fall, lines = f.every.paths(row)
            path = notation(fall, lines, moving)
            leaders.append(LeadingTackle(path, sheaves, moving + 1, round(ideal, 9), actual))
    return leaders


def _reaches(led: LeadingTackle, ideal: float, actual: float) -> bool:
    return led.advantage >= actual * (1.0 - _CLOSE) and led.ideal_advantage >= ideal * (1.0 - _CLOSE)
