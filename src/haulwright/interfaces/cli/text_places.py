"""What a solved rig says where it has places: where blocks come to rest, how anchors are pulled, and the load sideways."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from haulwright.publishing.wording import force
from haulwright.quantities.numerals import print_number

if TYPE_CHECKING:
    from haulwright.workflows import BodySolution, RigSolution

NONE = 1e-3  # of a pull: a part of it below this is not told
TOLD = 0.01  # of the effort: a change by 10 mm of length below this is not told
GAP = 13 * " "


def places(s: RigSolution, stall: Sequence[RigSolution], units: str, shares: bool) -> Iterator[str]:
    """Yield the lines; ``shares`` where no resistance is given, so that forces are shares of the load."""
    yield from _rest(s)
    if s._whereabouts is not None and s._whereabouts.placed:
        for name in s.bodies:
            if s._roles.get(name) == "anchor":
                yield from _anchor(s, name, stall, units, shares)
    yield from _side(s, stall, units, shares)
    yield from _lengths(s, units)


def _rest(s: RigSolution) -> Iterator[str]:
    """Yield where each block came to rest that finds its own place."""
    if s.mode != "ground":
        return
    for name, at in (s.positions_m or {}).items():
        if s._roles.get(name) == "floating":
            axes = at if any(place[2] for place in (s.positions_m or {}).values()) else at[:2]
            yield f"place        {name} comes to rest at ({', '.join(print_number(x, 2) for x in axes)}) m"


def _anchor(
    s: RigSolution, name: str, stall: Sequence[RigSolution], units: str, shares: bool
) -> Iterator[str]:
    """Yield how an anchor is pulled: along x and y, its level part, and up or down at its height where it is not level.

    An anchor pulled straight along the travel is told by the table of forces.
    """
    body = s.bodies[name]
    if (
        body.vector_N is None
        or body.load_N == 0.0
        or (s._whereabouts and s._whereabouts.along(body.vector_N))
    ):
        return
    x, y = body.vector_N[:2]
    figures = (_force(s, x, units, shares), _force(s, y, units, shares))
    told = f"anchor       {name} is pulled {figures[0]} to x, {figures[1]} to y"
    upright = abs(body.up_N or 0.0) >= NONE * body.load_N
    if upright:
        told += f",\n{GAP}{_level(s, body, units, shares)} at z {print_number(body.height_m or 0.0, 2)} m"
    if stall:
        worst = max((one.bodies[name] for one in stall), key=lambda one: one.load_N)
        twin = _level(s, worst, units, False) if upright else force(worst.load_N, units)
        told += f"\n{GAP}at stall {twin}"
    yield told


def _level(s: RigSolution, body: BodySolution, units: str, shares: bool) -> str:
    up = body.up_N or 0.0
    way = "uplift" if up > 0.0 else "pressed down with"
    return f"{_force(s, body.level_N or 0.0, units, shares)} level, {way} {_force(s, abs(up), units, shares)}"


def _side(s: RigSolution, stall: Sequence[RigSolution], units: str, shares: bool) -> Iterator[str]:
    if s.side_pull_N <= NONE * s.resistance_N:
        return
    load = next((name for name, role in s._roles.items() if role == "load"), "the load")
    twin = f", at stall {force(max(one.side_pull_N for one in stall), units)}" if stall else ""
    told = _force(s, s.side_pull_N, units, shares)
    yield f"side pull    {told} on {load}, across its way{twin}"


def _lengths(s: RigSolution, units: str) -> Iterator[str]:
    """Yield the strap or line whose length matters most, where 10 mm of it change any tension by 1 % of the effort."""
    most = max((s.per_10_mm or {}).items(), key=lambda one: one[1]["greatest_N"], default=None)
    if most is None or most[1]["greatest_N"] < TOLD * max(s.effort_N.values()):
        return
    name, one = most
    yield (
        f"10 mm        of {name} change the effort by {force(one['effort_N'], units)},\n"
        f"{GAP}a tension by up to {force(one['greatest_N'], units)}"
    )


def _force(s: RigSolution, value_N: float, units: str, shares: bool) -> str:
    if shares:
        return f"{print_number(100.0 * value_N / s.resistance_N, 1)} %"
    return force(value_N, units)
