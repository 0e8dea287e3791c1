"""Pairs of points that close on each other as the load travels, and the travel at which only their least gap is left."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import replace
from itertools import pairwise

from haulwright.errors import RigRefusal
from haulwright.mechanics.advance import Walk, apart_m
from haulwright.mechanics.finding_records import GapSolution
from haulwright.mechanics.geometry import add, dot, times
from haulwright.mechanics.motion import Motion
from haulwright.mechanics.names import nearest
from haulwright.mechanics.rig import ANCHOR, Gap, Point, Rig, Vec

LEAST_GAP_M = 2.0  # house number, the same as of a plan
CLOSES = 1e-9  # closing slower than this per metre of load travel is not closing
SAME_M = 1e-9
ZERO: Vec = (0.0, 0.0, 0.0)
Velocities = dict[str, Vec]


def gaps_of(rig: Rig, motion: Motion, walked: Walk | None) -> list[GapSolution]:
    """Return every pair that closes, the first to meet first.

    Stated gaps always; with places those of all parts too, where a travel or a least gap is wanted.

    Parameters
    ----------
    rig : Rig
        With its free blocks at their places.
    motion : Motion
    walked : Walk or None
        The rig along its travel, where blocks find their place; without it a gap at such a block is not given.

    Raises
    ------
    RigRefusal
        UNKNOWN or INPUT for a stated gap.
    """
    velocities = _velocities(rig, motion)
    found = list(_gaps(rig, velocities, walked))
    if rig.wanted.least_gap_m is None:
        own = {(gap.from_, gap.to) for gap in rig.gaps if gap.least_m is not None}
        found = [
            gap if (gap.from_, gap.to) in own else replace(gap, least_from="house number") for gap in found
        ]
    return sorted(found, key=lambda gap: math.inf if gap.meets_m is None else gap.meets_m)


def _velocities(rig: Rig, motion: Motion) -> Velocities:
    """Return the velocity of every body per metre of load travel; a body that finds its place is left out."""
    found = {name: ZERO for name, body in rig.bodies.items() if body.role == ANCHOR}
    found[rig.load.name] = times(motion.load_velocity, 1.0 / motion.load_speed)
    if not curved(rig):
        for body in rig.floating:
            found[body.name] = times(rig.direction, motion.speeds[body.name] / motion.load_speed)
    return found


def curved(rig: Rig) -> bool:
    """Return whether floating blocks change their speed on the way: on the ground, or on parts aside of the travel."""
    return bool(rig.floating) and rig.placed and (rig.mode == "ground" or slanted(rig))


def slanted(rig: Rig) -> bool:
    """Return whether a part of a rig with places runs aside of the travel, so that its direction changes on the way."""
    for line in rig.lines.values():
        for a, b in pairwise(line.points):
            step = add(rig.place(b), rig.place(a), -1.0)
            moves = any(rig.bodies[p.body].role != ANCHOR for p in (a, b))
            if moves and abs(dot(step, rig.direction)) < (1.0 - 1e-9) * math.sqrt(dot(step, step)):
                return True
    return False


def _gaps(rig: Rig, velocities: Velocities, walked: Walk | None) -> Iterator[GapSolution]:
    stated = [_stated(rig, gap, velocities, walked) for gap in rig.gaps]
    yield from stated
    if not rig.placed or (rig.wanted.travel_m is None and rig.wanted.least_gap_m is None):
        return  # nobody asked how far it goes, nor how near blocks may come
    known = {frozenset((gap.from_, gap.to)) for gap in stated}
    least = least_gap(rig)
    for a, b in _pairs(rig):
        if frozenset((_name(a), _name(b))) in known:
            continue
        if a.body in velocities and b.body in velocities:
            apart = add(rig.place(b), rig.place(a), -1.0)
            closing = add(velocities[b.body], velocities[a.body], -1.0)
            if dot(apart, closing) < -CLOSES:
                yield GapSolution(
                    _name(a), _name(b), apart_m(rig, a, b), least, _meets(apart, closing, least)
                )
        elif walked:
            start = apart_m(rig, a, b)
            meets = walked.first(_near(a, b, least))
            nearer = min(apart_m(core.moving.rig, a, b) for core in walked.cores) < start - SAME_M
            if nearer or meets is not None:
                yield GapSolution(_name(a), _name(b), start, least, meets)


def least_gap(rig: Rig) -> float:
    """Return the least gap of a rig where none is stated for a pair [m]."""
    return LEAST_GAP_M if rig.wanted.least_gap_m is None else rig.wanted.least_gap_m


def _near(a: Point, b: Point, least: float) -> Callable[[Rig], bool]:
    """Return whether two points are down to their least gap, as a question to a rig."""
    return lambda rig: apart_m(rig, a, b) <= least


def _pairs(rig: Rig) -> Iterator[tuple[Point, Point]]:
    """Yield the two ends of every part that may get shorter, once for each pair of places; blocks before bodies."""
    found: dict[frozenset[Vec], tuple[Point, Point]] = {}
    for line in rig.lines.values():
        for a, b in pairwise(line.points) if not line.strap else ():
            if a.body == b.body:
                continue
            key = frozenset((rig.place(a), rig.place(b)))
            known = found.get(key)
            if known is None or sum(p.block is not None for p in known) < sum(
                p.block is not None for p in (a, b)
            ):
                found[key] = (a, b)
    yield from found.values()


def _name(point: Point) -> str:
    return point.block or point.label


def _stated(rig: Rig, gap: Gap, velocities: Velocities, walked: Walk | None) -> GapSolution:
    bodies = [_body(rig, name) for name in (gap.from_, gap.to)]
    least = gap.least_m if gap.least_m is not None else least_gap(rig)
    if rig.placed and gap.start_m is not None:
        raise RigRefusal(
            "INPUT",
            f"The gap between {gap.from_} and {gap.to} starts as the places say: leave out start:, or the places.",
            (gap.from_, gap.to),
        )
    hangs = [body for body in bodies if body not in velocities]
    if hangs:
        return _along(rig, gap, (bodies[0], bodies[1]), least, walked)
    a, b = (rig.bodies[body].at for body in bodies)
    apart, closing = add(b, a, -1.0), add(velocities[bodies[1]], velocities[bodies[0]], -1.0)
    if rig.placed:
        start = math.sqrt(dot(apart, apart))
        return GapSolution(gap.from_, gap.to, start, least, _meets(apart, closing, least))
    if gap.start_m is None:
        raise RigRefusal(
            "INPUT",
            f"The gap between {gap.from_} and {gap.to} has no start: give start: such as 4.2 m, or places.",
            (gap.from_, gap.to),
        )
    rate = -math.copysign(1.0, dot(apart, rig.direction)) * dot(closing, rig.direction)
    if abs(dot(apart, rig.direction)) < CLOSES or rate < CLOSES:
        raise RigRefusal(
            "INPUT",
            f"{gap.from_} and {gap.to} do not close on each other when the winch hauls. Give a gap that gets less.",
            (gap.from_, gap.to),
        )
    meets = max(gap.start_m - least, 0.0) / rate
    return GapSolution(gap.from_, gap.to, gap.start_m, least, meets)


def _along(rig: Rig, gap: Gap, bodies: tuple[str, str], least: float, walked: Walk | None) -> GapSolution:
    """Return a stated gap at a block that finds its place."""
    if walked is None:
        raise RigRefusal(
            "INPUT",
            f"The gap between {gap.from_} and {gap.to} closes along a curve: say how far, want: {{travel: 3 m}}, in a rig "
            "with one winch, or leave it out.",
            (gap.from_, gap.to),
        )

    def apart(at: Rig) -> float:
        return math.dist(at.bodies[bodies[0]].at, at.bodies[bodies[1]].at)

    return GapSolution(gap.from_, gap.to, apart(rig), least, walked.first(lambda at: apart(at) <= least))


def _body(rig: Rig, name: str) -> str:
    if name in rig.blocks:
        return rig.blocks[name].body
    if name in rig.bodies:
        return name
    known = [*rig.blocks, *(body for body in rig.bodies if body not in rig.blocks)]
    raise RigRefusal("UNKNOWN", f"gaps: there is no {name!r} in this rig.{nearest(name, known)}", (name,))


def _meets(apart: Vec, closing: Vec, least: float) -> float | None:
    """Return the first travel x >= 0 at which ``|apart + closing x|`` is down to ``least``, None where it never is.

    Examples
    --------
    >>> _meets((10.0, 3.0, 0.0), (-1.0, 0.0, 0.0), 5.0)
    6.0
    >>> _meets((10.0, 3.0, 0.0), (-1.0, 0.0, 0.0), 2.0) is None
    True
    """
    a, half, c = dot(closing, closing), dot(apart, closing), dot(apart, apart) - least * least
    if half >= -CLOSES:
        return None
    if c <= SAME_M:
        return 0.0
    inside = half * half - a * c
    return None if inside < 0.0 else c / (-half + math.sqrt(inside))
