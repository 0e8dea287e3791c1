"""A solved rig further along its travel: the load moved on along its direction, the rig solved anew at every place.

Blocks that find their place do so at every step; in a rig drawn in line floating blocks move along the load's direction
so far that every line without a drum keeps its length.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from itertools import pairwise

from haulwright.errors import RigRefusal
from haulwright.mechanics import linear
from haulwright.mechanics.core import Core
from haulwright.mechanics.geometry import add, courses
from haulwright.mechanics.motion import freedoms, length_rates
from haulwright.mechanics.rig import Line, Point, Rig

NEAR_M = 1e-3  # the end of the travel is found to this
LENGTH_M = 1e-10  # lines keep their length to this
PASSES = 30
HALVINGS = 24
Look = Callable[[Core, Rig], None]


@dataclass(frozen=True)
class Walk:
    """The rig at every step of its travel, from the start on.

    Attributes
    ----------
    way : Way
    travels_m : tuple of float
    cores : tuple of Core
    refused : RigRefusal or None
        Why it goes no further than the last of them, if it does not go the whole travel.
    """

    way: Way
    travels_m: tuple[float, ...]
    cores: tuple[Core, ...]
    refused: RigRefusal | None = None

    def first(self, holds: Callable[[Rig], bool]) -> float | None:
        """Return the travel at which something first holds [m], None where it holds at no step."""
        for i, (x, core) in enumerate(zip(self.travels_m, self.cores, strict=True)):
            if not holds(core.moving.rig):
                continue
            if i == 0:
                return 0.0
            low, high = self.travels_m[i - 1], x
            for _ in range(HALVINGS):
                middle = (low + high) / 2.0
                low, high = (low, middle) if self._holds(holds, i - 1, middle) else (middle, high)
            return high
        return None

    def _holds(self, holds: Callable[[Rig], bool], step: int, travel_m: float) -> bool:
        """Return whether something holds a little beyond a step, or the rig does not work there, which ends it too."""
        try:
            at = self.way.on(self.cores[step], travel_m - self.travels_m[step])
        except RigRefusal:
            return True
        return holds(at.moving.rig)

    def length_m(self, line: str, at: int) -> float:
        """Return the length of a line at a step [m]."""
        rig = self.cores[at].moving.rig
        return length_of(rig, rig.lines[line])


@dataclass(frozen=True)
class Way:
    """How a rig goes on: its lines with the lengths they keep, how it is solved at a place, what else is looked at there.

    ``look`` gets the rig as it stands and the rig further on, before and after it is solved; it refuses what may not be.
    """

    lines: Mapping[str, Line]
    solve: Callable[[Rig], Core]
    look: Look

    def on(self, core: Core, by_m: float) -> Core:
        """Return a solved rig with its load moved on along its direction [m]; its blocks are where the search starts.

        Raises
        ------
        RigRefusal
            As the solver; NO_EQUILIBRIUM where lines cannot keep their lengths.
        """
        rig = core.moving.rig
        load = rig.load
        bodies = {**rig.bodies, load.name: replace(load, at=add(load.at, rig.direction, by_m))}
        then = replace(rig, bodies=bodies, lines=self.lines)
        if not rig.finds_places:
            then = _keep_lengths(then)
        self.look(core, then)
        found = self.solve(then)
        self.look(core, found.moving.rig)
        return found

    def end(self, here_m: float, core: Core, far_m: float) -> tuple[float, Core, RigRefusal]:
        """Return the last place between two at which the rig works, and why it does not beyond."""
        why: RigRefusal | None = None
        while True:
            middle = (here_m + far_m) / 2.0 if why else far_m
            try:
                core, here_m = self.on(core, middle - here_m), middle
            except RigRefusal as refusal:
                far_m, why = middle, refusal
            if why and far_m - here_m <= NEAR_M:
                return here_m, core, why


def walk(
    core: Core, rig: Rig, solve: Callable[[Rig], Core], travel_m: float, steps: int, look: Look | None = None
) -> Walk:
    """Return a rig step by step along a travel, as far as it works.

    Parameters
    ----------
    core : Core
        The rig solved where it starts.
    rig : Rig
        As it is drawn: a line without a drum keeps the length it is drawn with, where none is given.
    solve : callable
        Solves the rig at a place.
    travel_m : float
        Travel of the load [m].
    steps : int
        Number of equal steps. What happens and ends between two of them is not seen.
    look : callable or None
        See :class:`Way`.

    Examples
    --------
    >>> from haulwright.files.rig import read_rig
    >>> from haulwright.mechanics.core import solve_core
    >>> rig = read_rig({"mode": "ground", "units": {"length": "m"}, "anchors": {"oak": {"at": [0, 0]},
    ...     "helper": {"at": [3, 11]}}, "load": {"name": "truck", "at": [16, -2], "direction": [-1, 0]},
    ...     "blocks": {"corner": {"strap": {"to": "oak", "length": 2}}}, "winch": {"on": "helper"},
    ...     "lines": {"winch line": {"standing": "truck", "through": ["corner"], "fall": "winch"}}})
    >>> def solve(at):
    ...     return solve_core(at, None, None, None, ())
    >>> found = walk(solve(rig), rig, solve, 4.0, 16)
    >>> found.travels_m[-1], round(found.length_m("winch line", 0) - found.length_m("winch line", -1), 2)
    (4.0, 3.88)
    """
    way = Way(_with_lengths(rig), solve, look or (lambda before, then: None))
    travels, cores = [0.0], [core]
    for step in range(1, steps + 1):
        far = travel_m * step / steps
        try:
            cores.append(way.on(cores[-1], far - travels[-1]))
        except RigRefusal:
            last_m, last, why = way.end(travels[-1], cores[-1], far)
            if last_m > travels[-1]:
                travels.append(last_m)
                cores.append(last)
            return Walk(way, tuple(travels), tuple(cores), why)
        travels.append(far)
    return Walk(way, tuple(travels), tuple(cores))


def apart_m(rig: Rig, a: Point, b: Point) -> float:
    """Return how far two points of a rig are apart [m]."""
    return math.dist(rig.place(a), rig.place(b))


def length_of(rig: Rig, line: Line) -> float:
    """Return the length of a line from end to end as drawn [m]."""
    return math.fsum(apart_m(rig, a, b) for a, b in pairwise(line.points))


def _with_lengths(rig: Rig) -> dict[str, Line]:
    return {
        name: replace(line, length_m=length_of(rig, line))
        if not line.drum and line.length_m is None
        else line
        for name, line in rig.lines.items()
    }


def _keep_lengths(rig: Rig) -> Rig:
    """Return the rig with its floating blocks moved along the direction so that all lines keep their lengths."""
    floating = [body.name for body in rig.floating]
    kept = [name for name, line in rig.lines.items() if not line.drum]
    for _ in range(PASSES):
        off = [length_of(rig, rig.lines[n]) - (rig.lines[n].length_m or 0.0) for n in kept]
        if all(abs(x) < LENGTH_M for x in off):
            return rig
        course_of, moves = courses(rig), freedoms(rig)
        rates = [
            [sum(x) for x in zip(*length_rates(rig, course_of[n], rig.lines[n], moves), strict=True)]
            for n in kept
        ]
        step = linear.solve([row[1:] for row in rates], [-x for x in off])
        if step is None:
            break
        bodies = dict(rig.bodies)
        for name, by_m in zip(floating, step, strict=True):
            bodies[name] = replace(bodies[name], at=add(bodies[name].at, rig.direction, by_m))
        rig = replace(rig, bodies=bodies)
    what = " and ".join(kept)
    raise RigRefusal(
        "NO_EQUILIBRIUM", f"{what} cannot keep its length any further: no place is found.", tuple(kept)
    )
