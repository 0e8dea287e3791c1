"""How far one set-up goes: until blocks meet or the drum is full; how often to set the rig anew; how much line it needs.

Two points close on each other at a rate that follows from motion alone. The first pair with only its least gap left ends
the set-up.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise

from haulwright.mechanics.advance import Walk, length_of, walk
from haulwright.mechanics.asked import Asked
from haulwright.mechanics.clearance_notices import clearance_notices
from haulwright.mechanics.core import Core, solve_core
from haulwright.mechanics.finding_records import Clearance, LineNeed
from haulwright.mechanics.gaps import CLOSES, SAME_M, curved, gaps_of, slanted
from haulwright.mechanics.geometry import Course, add, times
from haulwright.mechanics.rig import LOAD, Line, Point, Rig, Vec, Winch
from haulwright.mechanics.stepped import takes_in
from haulwright.notices import Notice

MEET = "blocks meet"
STEPS = 16  # over the travel wanted; where blocks meet is then found between two of them


@dataclass(frozen=True)
class Cleared:
    """Clearance of a rig with what is said of it, the travel until blocks meet and the line taken in [m]."""

    clearance: Clearance | None
    two_blocked_m: float | None
    taken_in_m: Mapping[str, float]
    notices: tuple[Notice, ...]


def cleared(core: Core, asked: Asked) -> Cleared:
    """Return how far a rig goes in one set-up.

    Parameters
    ----------
    core : Core
        A solved rig, with its gaps, the travel wanted and its drums as far as they are known.
    asked : Asked
        As it was solved, to solve it again further along.

    Returns
    -------
    Cleared

    Raises
    ------
    RigRefusal
        UNKNOWN or INPUT for a stated gap between points that are not there, or that no motion closes.

    Notes
    -----
    ``travel per set-up = min(travel until the first gap is at its least, room on the drum ÷ travel ratio)``,
    ``resets = ceil(travel wanted ÷ travel per set-up) − 1``. With places the gaps are the parts of the lines; the load
    and floating blocks move along one direction, so a distance d + w x is at its least where a quadratic has its root.
    Where parts turn on the way, or blocks find their place, a rig with a travel wanted is solved step by step along it.
    ``line needed = sum of parts +
    R · wrap of each sheave + wraps that stay on + tail``.

    References
    ----------
    Geometry; common practice, no source, for what ends a set-up.

    Examples
    --------
    >>> from haulwright.files.rig import read_rig
    >>> from haulwright.mechanics.core import solve_core
    >>> rig = read_rig({"units": {"length": "m"}, "anchors": {"oak": {}}, "load": {"name": "truck"},
    ...     "blocks": {"B": {"on": "oak"}}, "winch": {"on": "truck"},
    ...     "lines": {"winch line": {"standing": "truck", "through": ["B"], "fall": "winch"}},
    ...     "want": {"travel": 9}, "gaps": [{"from": "B", "to": "truck", "start": 4.2, "least": 1.2}]})
    >>> found = cleared(solve_core(rig, 1.1, None, None, ()), Asked(rig, 1.1))
    >>> found.two_blocked_m, found.clearance.resets, found.notices[0].message
    (3.0, 2, 'Blocks meet after 3.0 m (B and truck); 2 resets needed.')
    """
    rig, motion = core.moving.rig, core.moving.motion
    if not motion.load_speed > 0.0:
        return Cleared(None, None, {}, ())
    wanted, walked = rig.wanted.travel_m, _walk(core, asked)
    gaps = gaps_of(rig, motion, walked)
    meets = gaps[0].meets_m if gaps else None
    lines = {drum: need for drum, line in rig.drums.items() if (need := _need(core, drum, line)) is not None}
    if not (gaps or lines or wanted is not None):
        return Cleared(None, None, {}, ())
    full = {drum: x for drum, need in lines.items() if (x := _fills(core, drum, need, walked)) is not None}
    ends = [] if meets is None else [(meets, MEET)]
    ends += [(x, f"{drum} is full") for drum, x in full.items()]
    if walked and walked.refused:
        ends.append((walked.travels_m[-1], f"the rig works no further ({walked.refused.code})"))
    setup, limit = min(ends, default=(None, ""))
    resets = None if wanted is None else _resets(wanted, setup)
    found = Clearance(wanted, tuple(gaps), setup, limit, resets, lines)
    taken = {drum: _takes_in(core, drum, wanted or 0.0, walked) for drum in rig.drums}
    taken_in = {drum: x for drum, x in taken.items() if wanted is not None and x is not None}
    return Cleared(found, meets, taken_in, tuple(clearance_notices(core, found, full, walked)))


def _walk(core: Core, asked: Asked) -> Walk | None:
    """Return the rig step by step along the travel wanted, where that takes solving it anew."""
    rig = core.moving.rig
    plain = not (rig.several or rig.free_load or core.sharing_lines)
    changes = rig.placed and (rig.finds_places or slanted(rig))
    if rig.wanted.travel_m is None or not changes or not plain:
        return None

    def solve(at: Rig) -> Core:
        return solve_core(at, asked.values, asked.load_N, asked.effort_N, asked.seized)

    return walk(core, asked.rig, solve, rig.wanted.travel_m, STEPS)


def _need(core: Core, drum: str, line: Line) -> LineNeed | None:
    """Return what line a drum needs and has room for; None where neither its parts nor its room are known."""
    rig, course = core.moving.rig, core.moving.course_of[line.name]
    lengths = [x for x in course.lengths_m if x is not None]
    parts = math.fsum(lengths) if len(lengths) == len(course.lengths_m) else None
    winch = rig.winches.get(drum, Winch())
    have = None if line.name in core.sharing_lines else line.stated_m
    out = math.fsum([parts or 0.0, _round_sheaves(rig, line, course), line.tail_m])
    kept = winch.kept_m or 0.0
    left = have - out if parts is not None and have is not None else kept
    on_drum = left if winch.on_drum_m is None else winch.on_drum_m
    room = None if winch.capacity_m is None else max(winch.capacity_m - max(on_drum, kept), 0.0)
    if parts is None and room is None:
        return None
    return LineNeed(parts, _round_sheaves(rig, line, course), kept, line.tail_m, have, room)


def _round_sheaves(rig: Rig, line: Line, course: Course) -> float:
    radii = [(rig.blocks[line.points[i].block or ""].sheave_m or 0.0) / 2.0 for i in line.contacts]
    return math.fsum(radius * wrap for radius, wrap in zip(radii, course.wraps, strict=True))


def _takes_in(core: Core, drum: str, travel_m: float, walked: Walk | None) -> float | None:
    """Return the line a drum takes in over a travel [m]: at a steady ratio, or by its parts before and after."""
    rig, motion = core.moving.rig, core.moving.motion
    line = rig.drums[drum]
    if walked:
        last = len(walked.travels_m) - 1
        whole = walked.travels_m[last] >= travel_m
        shorter = walked.length_m(line.name, 0) - walked.length_m(line.name, last)
        return shorter / takes_in(line) if whole else None
    if curved(rig):
        return None
    if not rig.placed or rig.floating:
        return motion.flows[line.name][-1] / motion.load_speed * travel_m
    moved = times(motion.load_velocity, travel_m / motion.load_speed)

    def place(point: Point, share: float) -> Vec:
        on_load = rig.bodies[point.body].role == LOAD
        return add(rig.place(point), moved, share * on_load)

    before, after = (
        math.fsum(math.dist(place(a, share), place(b, share)) for a, b in pairwise(line.points))
        for share in (0.0, 1.0)
    )
    return (before - after) / takes_in(line)


def _fills(core: Core, drum: str, need: LineNeed, walked: Walk | None) -> float | None:
    """Return the travel of the load at which a drum is full [m], None where it is not known, never is, or pays out."""
    motion, room = core.moving.motion, need.room_m
    if walked and room is not None:
        line = core.moving.rig.drums[drum]
        empty = length_of(core.moving.rig, line)
        return walked.first(lambda rig: (empty - length_of(rig, line)) / takes_in(line) >= room)
    ratio = motion.flows[core.moving.rig.drums[drum].name][-1] / motion.load_speed
    return None if need.room_m is None or ratio <= CLOSES else need.room_m / ratio


def _resets(wanted: float, setup: float | None) -> int | None:
    """Return how often the rig is set anew, None where a set-up leads nowhere.

    Examples
    --------
    >>> _resets(9.0, 3.0), _resets(9.0, 2.0), _resets(9.0, None)
    (2, 4, 0)
    """
    if setup is None:
        return 0
    return math.ceil(wanted / setup - 1e-9) - 1 if setup > SAME_M else None
