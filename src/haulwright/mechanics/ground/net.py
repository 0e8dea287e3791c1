"""A rig with free blocks as numbers: which coordinates are unknown, and what each point of a line rides on.

All lengths are divided by one length of the rig and all forces by the resistance, so that one tolerance serves any rig.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from haulwright.mechanics.geometry import add, dot, times
from haulwright.mechanics.rig import AXES, Rig, Vec

Moves = tuple[tuple[int, Vec], ...]  # columns a body moves with, and the direction of each


@dataclass(frozen=True)
class NetLine:
    """One line: per point the number of its body and the offset from it; fixed length where there is no drum.

    A line that holds a free load from anchors alone is as long as drawn, since the load stands where it is drawn.

    ``pull`` is the tension at its drum where that is stated, ``EA`` the stiffness of a line that stretches, both as
    shares of the resistance.
    """

    name: str
    points: tuple[tuple[int, Vec], ...]
    blocks: tuple[str, ...]
    drum: bool
    length: float | None
    pull: float | None = None
    EA: float | None = None


@dataclass(frozen=True)
class Net:
    """The numbers of a rig: bodies are the free ones first, then the load, then the anchors.

    Unknowns are the coordinates of the free bodies, then one tension for each line. Equations are the balance of every
    coordinate, then of the load along its direction (or each axis, where nothing guides it), then the length of every
    line without a drum, then the stated pulls.

    Attributes
    ----------
    rig : Rig
    scale_m : float
        The length that counts as 1 [m].
    axes : int
        2 in a plane, 3 in space.
    free : tuple of str
    start : tuple of Vec
        Where every body starts.
    lines : tuple of NetLine
    moves : tuple
        Per body the columns it moves with; the load moves with columns ``size`` and on, which are no unknowns.
    held : bool
        True where the load is held fast, so that it need not balance, and every winch has its pull.
    """

    rig: Rig
    scale_m: float
    axes: int
    free: tuple[str, ...]
    start: tuple[Vec, ...]
    lines: tuple[NetLine, ...]
    moves: tuple[Moves, ...]
    held: bool = False

    @property
    def ways(self) -> int:
        """In how many directions the load can move."""
        return len(self.rig.load_axes)

    @property
    def one_hauls(self) -> bool:
        """Whether there is one winch and a guided load, so that the frictionless place is that of least energy."""
        return not (self.rig.several or self.rig.free_load)

    @property
    def coordinates(self) -> int:
        """Number of unknown coordinates."""
        return self.axes * len(self.free)

    @property
    def size(self) -> int:
        """Number of unknowns, and of equations."""
        return self.coordinates + len(self.lines)

    def row_of(self, column: int) -> int | None:
        """Return the balance that belongs to a column of motion; a load held fast has none."""
        if column < self.coordinates:
            return column
        return None if self.held else self.coordinates + column - self.size

    @property
    def fixed(self) -> tuple[NetLine, ...]:
        """The lines without a drum: their length is given."""
        return tuple(line for line in self.lines if line.length is not None)

    @property
    def stays(self) -> tuple[NetLine, ...]:
        """The lines without a drum that hold a free load from anchors alone: no place hangs on them, only its way."""
        return tuple(line for line in self.lines if line.length is None and not line.drum)

    def moved(self, where: Sequence[Vec], by: Sequence[float], share: float = 1.0) -> list[Vec]:
        """Return places with the free bodies moved by ``share`` of a step in the unknowns."""
        places = list(where)
        for body in range(len(self.free)):
            for column, axis in self.moves[body]:
                places[body] = add(places[body], axis, share * by[column])
        return places


def net_of(rig: Rig, pulls: Mapping[str, float] | None = None, held: bool = False) -> Net:
    """Return the numbers of a rig drawn with places, with the stated pulls by line as shares of the resistance.

    Examples
    --------
    >>> from haulwright.mechanics.notation import parse_notation
    >>> net_of(parse_notation("X.drum > ~M > X ; ~M > !O > X")).free
    ('M',)
    """
    free = tuple(body.name for body in rig.floating)
    fixed = [name for name, body in rig.bodies.items() if name not in free and name != rig.load.name]
    names = (*free, rig.load.name, *fixed)
    number = {name: i for i, name in enumerate(names)}
    parts = [
        math.dist(rig.place(a), rig.place(b)) for line in rig.lines.values() for a, b in pairwise(line.points)
    ]
    scale = sum(parts) / len(parts)
    axes = 3 if rig.in_space else 2
    lines = []
    for name, line in rig.lines.items():
        points = tuple(
            (number[p.body], times(add(rig.place(p), rig.bodies[p.body].at, -1.0), 1.0 / scale))
            for p in line.points
        )
        drawn = sum(math.dist(rig.place(a), rig.place(b)) for a, b in pairwise(line.points))
        stays = rig.free_load and not any(p.body in free for p in line.points)
        known = drawn if line.length_m is None else line.length_m
        length = None if line.drum or stays else known / scale
        blocks = tuple(line.points[i].block or "" for i in line.contacts)
        pull = (pulls or {}).get(name)
        lines.append(NetLine(name, points, blocks, bool(line.drum), length, pull))
    size = axes * len(free) + len(lines)
    moves: list[Moves] = [tuple((body * axes + k, AXES[k]) for k in range(axes)) for body in range(len(free))]
    moves += [tuple((size + k, axis) for k, axis in enumerate(rig.load_axes)), *[()] * len(fixed)]
    start = tuple(times(rig.bodies[name].at, 1.0 / scale) for name in names)
    return Net(rig, scale, axes, free, start, tuple(lines), tuple(moves), held)


def steps(line: NetLine, where: Sequence[Vec]) -> list[tuple[Vec, float]]:
    """Return unit vector and length of every part of a line."""
    places = [add(where[body], offset) for body, offset in line.points]
    found = []
    for a, b in pairwise(places):
        step = add(b, a, -1.0)
        length = math.sqrt(dot(step, step)) or 1e-300
        found.append((times(step, 1.0 / length), length))
    return found


def length_of(line: NetLine, where: Sequence[Vec]) -> float:
    """Return the length of a line from end to end."""
    return sum(length for _, length in steps(line, where))
