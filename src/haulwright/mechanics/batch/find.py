"""Tackles by gear and wanted advantage: the fewest sheaves that reach it, or the most that given gear can reach."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from typing import ClassVar

import numpy as np

from haulwright.errors import RigRefusal
from haulwright.mechanics.batch.reeving import notation, paths_of
from haulwright.mechanics.batch.reevings import MOST_MOVING, MOST_SHEAVES, Flags, Floats, Reevings, reevings
from haulwright.mechanics.sheave import GREATEST_RATIO
from haulwright.mechanics.tackles import NAMES, OFF, ON, named_rig
from haulwright.notices import Code, Notice
from haulwright.records import Made, Record

_ROUNDING = 1e-9  # an advantage of exactly 3 reaches 3


@dataclass(frozen=True)
class Tackle:
    """One tackle of the list.

    Attributes
    ----------
    path : str
        One-line notation: X the anchor, O the load, M and N the moving blocks.
    name : str
        Name where it is a named rig, else empty.
    ideal_advantage, advantage : float
        Load ÷ effort without and with friction.
    sheaves, ropes, moving_blocks : int
        Sheaves that turn a line, the blocks that do not move included; lines, the winch's included; blocks that move
        on their own between anchor and load.
    winch : str
        ``on-load`` or ``off-load``.
    """

    path: str
    name: str
    ideal_advantage: float
    advantage: float
    sheaves: int
    ropes: int
    moving_blocks: int
    winch: str


@dataclass(frozen=True, kw_only=True)
class TackleList(Record):
    """Tackles that reach an advantage with the gear there is.

    Attributes
    ----------
    at_least : float or None
        Wanted advantage; None asks for the greatest.
    ratio : float
        Tension ratio k taken at every contact.
    blocks, ropes, winch
        The gear as given; None where it is not limited.
    reached : int
        Tackles that reach the advantage; ``tackles`` are the first of them.
    greatest_advantage : float
        The most that any tackle reaches with this gear.
    tackles : tuple of Tackle
    """

    kind: ClassVar[str] = "tackle-list"
    at_least: float | None
    ratio: float
    blocks: int | None
    ropes: int | None
    winch: str | None
    reached: int
    greatest_advantage: float
    tackles: tuple[Tackle, ...]


@dataclass(frozen=True, eq=False)
class _Field:
    """The reevings with one number of moving blocks that the gear allows."""

    every: Reevings
    allowed: Flags
    actual: Floats


def find_tackles(
    at_least: float | None = None,
    *,
    ratio: float = 1.0,
    blocks: int | None = None,
    ropes: int | None = None,
    winch: str | None = None,
    limit: int = 10,
) -> TackleList:
    """Return the tackles that reach an advantage, fewest sheaves first; or the greatest advantages with given gear.

    Parameters
    ----------
    at_least : float or None
        Wanted actual advantage, above 0; None lists the greatest advantages first.
    ratio : float
        Tension ratio k of every contact; 1 is no friction.
    blocks : int or None
        Single blocks there are, one for each sheave that turns a line.
    ropes : int or None
        Lines there are, the winch's included: 2 is the winch line and one extension.
    winch : str or None
        ``on-load`` or ``off-load``; None takes both.
    limit : int
        Tackles listed.

    Returns
    -------
    TackleList
        Empty, with a warning, where no tackle reaches it.

    Raises
    ------
    RigRefusal
        INPUT or RATIO.

    Notes
    -----
    Looked through is every reeving of :func:`haulwright.mechanics.batch.reevings.reevings`, less those in which a sheave
    does not turn or a moving block carries no sheave. Equal numbers of sheaves go by fewer ropes, then by greater
    advantage.

    Examples
    --------
    >>> best = find_tackles(3.0, ratio=1.1).tackles[0]
    >>> best.path, best.sheaves, round(best.advantage, 3)
    ('X.drum > ~M > X ; ~M > !O > X', 2, 3.645)
    """
    _check(at_least, ratio, blocks, ropes, winch, limit)
    fields = list(_fields(ratio, blocks, ropes, winch))
    greatest = max(float(f.actual[f.allowed].max()) for f in fields if f.allowed.any())
    if at_least is None:
        wanted, order = 0.0, (lambda t: (-t[3], t[0], t[1]))
    else:
        wanted, order = at_least * (1.0 - _ROUNDING), (lambda t: (t[0], t[1], -t[3]))
    hits = [
        (int(f.every.sheaves[row]), f.every.moving + 1, int(row), round(float(f.actual[row]), 12), f)
        for f in fields
        for row in np.flatnonzero(f.allowed & (f.actual >= wanted))
    ]
    hits.sort(key=order)
    given = {"at_least": at_least, "ratio": ratio, "blocks": blocks, "ropes": ropes, "winch": winch}
    return TackleList(
        at_least=at_least,
        ratio=ratio,
        blocks=blocks,
        ropes=ropes,
        winch=winch,
        reached=len(hits),
        greatest_advantage=greatest,
        tackles=tuple(_tackle(f, row) for _, _, row, _, f in hits[:limit]),
        notices=tuple(_notices(at_least, ratio, greatest)),
        made=Made(
            "every reeving of an anchor, a load, up to two moving blocks and six sheaves; motion, then tension",
            given,
        ),
    )


def _check(
    at_least: float | None, ratio: float, blocks: int | None, ropes: int | None, winch: str | None, limit: int
) -> None:
    if at_least is not None and not 0.0 < at_least < math.inf:
        raise RigRefusal("INPUT", f"advantage = {at_least:g}: give a number above 0.", ("advantage",))
    if not 1.0 <= ratio <= GREATEST_RATIO:
        raise RigRefusal(
            "RATIO",
            f"k = {ratio:g}: a sheave cannot give back more than it gets. Give 1 to {GREATEST_RATIO:g}.",
            ("ratio",),
        )
    for name, count, least in (("blocks", blocks, 0), ("ropes", ropes, 1), ("limit", limit, 1)):
        if count is not None and count < least:
            raise RigRefusal("INPUT", f"{name} = {count}: give {least} or more.", (name,))
    if winch not in (None, ON, OFF):
        raise RigRefusal("INPUT", f"winch = {winch!r}: give {ON} or {OFF}.", ("winch",))


def _fields(ratio: float, blocks: int | None, ropes: int | None, winch: str | None) -> Iterator[_Field]:
    for moving in range(min(MOST_MOVING, (ropes or MOST_MOVING + 1) - 1) + 1):
        every = reevings(moving)
        allowed = ~every.still & ~every.idle
        if blocks is not None:
            allowed &= every.sheaves <= blocks
        if winch is not None:
            allowed &= every.on_load == (winch == ON)
        actual = every.advantages(ratio)
        yield _Field(every, allowed & ~np.isnan(actual), actual)


def _tackle(of: _Field, row: int) -> Tackle:
    fall, lines = of.every.paths(row)
    moving = of.every.moving
    return Tackle(
        path=notation(fall, lines, moving),
        name=_names().get((moving, row), ""),
        ideal_advantage=round(float(of.every.ideal[row]), 9),
        advantage=float(of.actual[row]),
        sheaves=int(of.every.sheaves[row]),
        ropes=moving + 1,
        moving_blocks=moving,
        winch=ON if of.every.on_load[row] else OFF,
    )


@cache
def _names() -> dict[tuple[int, int], str]:
    """Return the name of each reeving that is a named rig; the first where two names mean one rig."""
    names: dict[tuple[int, int], str] = {}
    for name in NAMES:
        found = None if name.startswith("series") else paths_of(named_rig(name))
        if found is not None:
            fall, lines, moving = found
            row = reevings(moving).find(fall, lines)
            if row is not None:
                names.setdefault((moving, row), name)
    return names


def _notices(at_least: float | None, ratio: float, greatest: float) -> Iterator[Notice]:
    if at_least is not None and greatest < at_least * (1.0 - _ROUNDING):
        text = (
            f"No tackle reaches {at_least:g} with this gear; the most is {greatest:.3g}. "
            f"Looked through: up to {MOST_SHEAVES} sheaves, {MOST_MOVING + 1} ropes."
        )
        yield Code.OUT_OF_RANGE.notice(("advantage",), text=text)
    if ratio == 1.0:
        yield Code.NO_FRICTION.notice(("ratio",), what="any block")
    yield Code.ADVICE.notice(
        text="Solve a tackle with load and stall before it is rigged: a greater advantage puts more on anchors and blocks "
        "when the winch stalls."
    )
    yield Code.ESTIMATE.notice()
    yield Code.NO_STANDING.notice()
    yield Code.DEFER.notice()
