"""A rig with free blocks as numbers: which coordinates are unknown, and what each point of a line rides on.

All lengths are divided by one length of the rig and all forces by the resistance, so that one tolerance serves any rig.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from haulwright.mechanics.geometry import add, dot, times
from haulwright.mechanics.rig import Rig, Vec

AXES: tuple[Vec, ...] = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
Moves = tuple[tuple[int, Vec], ...]  # columns a body moves with, and the direction of each


@dataclass(frozen=True)
class NetLine:
    """One line: per point the number of its body and the offset from it; fixed length where there is no drum."""

    name: str
    points: tuple[tuple[int, Vec], ...]
    blocks: tuple[str, ...]
    drum: bool
    length: float | None


@dataclass(frozen=True)
class Net:
    """The numbers of a rig: bodies are the free ones first, then the load, then the anchors.

    Unknowns are the coordinates of the free bodies, then one tension for each line. Equations are the balance of every
    coordinate, then of the load along its direction, then the length of every line without a drum.

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
        Per body the columns it moves with; the load moves with column ``size``, which is no unknown.
    """

    rig: Rig
    scale_m: float
    axes: int
    free: tuple[str, ...]
    start: tuple[Vec, ...]
    lines: tuple[NetLine, ...]
    moves: tuple[Moves, ...]

    @property
    def coordinates(self) -> int:
        """Number of unknown coordinates."""
        return self.axes * len(self.free)

    @property
    def size(self) -> int:
        """Number of unknowns, and of equations."""
        return self.coordinates + len(self.lines)

    @property
    def fixed(self) -> tuple[NetLine, ...]:
        """The lines without a drum: their length is given."""
        return tuple(line for line in self.lines if line.length is not None)

    def moved(self, where: Sequence[Vec], by: Sequence[float], share: float = 1.0) -> list[Vec]:
        """Return places with the free bodies moved by ``share`` of a step in the unknowns."""
        places = list(where)
        for body in range(len(self.free)):
            for column, axis in self.moves[body]:
                places[body] = add(places[body], axis, share * by[column])
        return places


def net_of(rig: Rig) -> Net:
    """Return the numbers of a rig drawn with places.

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
    axes = 3 if _in_space(rig) else 2
    lines = []
    for name, line in rig.lines.items():
        points = tuple(
            (number[p.body], times(add(rig.place(p), rig.bodies[p.body].at, -1.0), 1.0 / scale))
            for p in line.points
        )
        drawn = sum(math.dist(rig.place(a), rig.place(b)) for a, b in pairwise(line.points))
        length = None if line.drum else (drawn if line.length_m is None else line.length_m) / scale
        blocks = tuple(line.points[i].block or "" for i in line.contacts)
        lines.append(NetLine(name, points, blocks, bool(line.drum), length))
    size = axes * len(free) + len(lines)
    moves: list[Moves] = [tuple((body * axes + k, AXES[k]) for k in range(axes)) for body in range(len(free))]
    moves += [((size, rig.direction),), *[()] * len(fixed)]
    start = tuple(times(rig.bodies[name].at, 1.0 / scale) for name in names)
    return Net(rig, scale, axes, free, start, tuple(lines), tuple(moves))


def _in_space(rig: Rig) -> bool:
    heights = [body.at[2] for body in rig.bodies.values()]
    heights += [eye[2] for body in rig.bodies.values() for eye in body.eyes.values()]
    return any([*heights, rig.direction[2]])


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
