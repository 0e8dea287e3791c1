"""What is to be drawn of a rig on the ground: bodies and points seen from above, straps apart, heights in words."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from haulwright.errors import RigRefusal
from haulwright.mechanics.solution import RigSolution, Whereabouts
from haulwright.publishing.diagram.geometry import XY
from haulwright.publishing.diagram.schematic import Places, schematic_places
from haulwright.publishing.diagram.scheme import (
    DrawnBlock,
    DrawnBody,
    DrawnLine,
    DrawnPart,
    Scheme,
    Stop,
    check_same,
    check_size,
    drum_bodies,
    greatest_of,
    part_name,
)

LEAST_PLAN = 1e-3  # a part shorter than this share of the rig, seen from above, stands upright
LEAST_HEIGHT_M = 0.005


@dataclass(frozen=True)
class DrawnStrap:
    """A strap or leg: its line, the words for it, its two points, and the tension in it [N]."""

    line: str
    name: str
    ends: tuple[Stop, Stop]
    tension_N: float
    stall_N: float | None


@dataclass(frozen=True)
class Survey:
    """A rig seen from above.

    Attributes
    ----------
    scheme : Scheme
    straps : tuple of DrawnStrap
    bodies : mapping body -> (x, y)
        Places [m], or in steps of a rig without places.
    points : mapping (line, index) -> (x, y)
    pulls : mapping body -> ((x, y), (x, y) or None)
        The pull on each body along the ground, expected and at stall [N].
    travel : (x, y)
        The way the load should go.
    true : bool
        True where places are metres.
    least_m : float
        Least extent of the ground that is shown [m].
    """

    scheme: Scheme
    straps: tuple[DrawnStrap, ...]
    bodies: Mapping[str, XY]
    points: Mapping[tuple[str, int], XY]
    pulls: Mapping[str, tuple[XY, XY | None]]
    travel: XY
    true: bool
    least_m: float = 0.0


def read_survey(solution: RigSolution, stalls: Sequence[RigSolution] = ()) -> Survey:
    """Return what is to be drawn of a rig from above.

    Parameters
    ----------
    solution : RigSolution
    stalls : sequence of RigSolution

    Raises
    ------
    RigRefusal
        ``NO_LAYOUT``, ``OTHER_RIG``, ``UPRIGHT`` or ``TOO_COMPLEX``.
    """
    lie = solution._whereabouts
    if lie is None or not solution._layout:
        raise RigRefusal(
            "NO_LAYOUT",
            f"{solution.rig}: the record does not say where its points lie, so it cannot be drawn. Solve it again.",
        )
    for stall in stalls:
        check_same(solution, stall)
    check_size(solution)
    places = _true_places(lie) if lie.placed else schematic_places(lie, solution)
    _check_upright(solution, lie, places)
    stops = {name: _stops(solution, lie, name) for name in solution.lines}
    lines = _lines(solution, stalls, lie, stops)
    scheme = Scheme(_bodies(solution, stalls, lie), lines, _blocks(solution, stalls))
    straps = tuple(_strap(solution, stalls, lie, name, stops[name]) for name in lie.straps)
    pulls = {name: _pull(solution, stalls, lie, places, name) for name in scheme.bodies}
    travel = (lie.travel[0], lie.travel[1])
    return Survey(scheme, straps, places.bodies, places.points, pulls, travel, lie.placed)


def _true_places(lie: Whereabouts) -> Places:
    bodies = {name: (at[0], at[1]) for name, at in lie.bodies.items()}
    points = {(line, i): (at[0], at[1]) for line, many in lie.points.items() for i, at in enumerate(many)}
    return Places(bodies, points)


def _check_upright(solution: RigSolution, lie: Whereabouts, places: Places) -> None:
    spread = max(math.dist(a, b) for a in places.points.values() for b in places.points.values())
    for name, line in solution.lines.items():
        for i, part in enumerate(line.parts):
            if math.dist(places.points[name, i], places.points[name, i + 1]) <= LEAST_PLAN * spread:
                raise RigRefusal(
                    "UPRIGHT",
                    f"Part {part.from_}–{part.to} of {name} stands upright: from above it has no length, so a plan of the "
                    "ground cannot show it. Read the table of forces.",
                    (name, part.from_, part.to),
                )


def _stops(solution: RigSolution, lie: Whereabouts, name: str) -> tuple[Stop, ...]:
    parts = solution.lines[name].parts
    labels = [parts[0].from_, *(part.to for part in parts)]
    last = len(labels) - 1
    turned = lie.turned[name]
    return tuple(
        Stop(
            name, i, turned[i] or label if 0 < i < last else label, solution._layout[label][0], 0, 0 < i < last,
            i == last and name in lie.drums,
        )
        for i, label in enumerate(labels)
    )  # fmt: skip


def _lines(
    solution: RigSolution,
    stalls: Sequence[RigSolution],
    lie: Whereabouts,
    stops: Mapping[str, tuple[Stop, ...]],
) -> tuple[DrawnLine, ...]:
    drawn = [name for name in solution.lines if name not in lie.straps]
    lines = []
    for number, name in enumerate(drawn, start=1):
        parts, hauled = solution.lines[name].parts, name in lie.drums
        words = [part_name(i, len(parts), hauled, number if len(drawn) > 1 else 0) for i in range(len(parts))]
        if len(parts) == 1:
            words = [name]
        drawn_parts = tuple(
            DrawnPart(
                name, i, words[i], part.tension_N, greatest_of(s.lines[name].parts[i].tension_N for s in stalls)
            )
            for i, part in enumerate(parts)
        )  # fmt: skip
        lines.append(DrawnLine(name, stops[name], drawn_parts, 1 if hauled else _runs(solution, name)))
    return tuple(sorted(lines, key=lambda line: not line.hauled))


def _runs(solution: RigSolution, name: str) -> int:
    """The way a line without a drum runs over its blocks."""
    ways = {contact.direction for contact in solution.contacts if contact.line == name}
    return {"towards-fall": 1, "away": -1}.get(ways.pop(), 0) if len(ways) == 1 else 0


def _bodies(solution: RigSolution, stalls: Sequence[RigSolution], lie: Whereabouts) -> dict[str, DrawnBody]:
    touched = dict.fromkeys(body for body, _ in solution._layout.values())
    drums = drum_bodies(solution)
    upright = any(abs(at[2]) > LEAST_HEIGHT_M for at in lie.bodies.values())
    bodies = {}
    for name in touched:
        held = solution.bodies.get(name)
        at_stall = greatest_of(stall.bodies[name].load_N for stall in stalls if name in stall.bodies)
        height = lie.bodies[name][2] if upright else None
        bodies[name] = DrawnBody(
            name, solution._roles[name], 0.0, name in drums, held.load_N if held else 0.0, at_stall, height
        )
    return bodies


def _blocks(solution: RigSolution, stalls: Sequence[RigSolution]) -> dict[str, DrawnBlock]:
    def load(record: RigSolution, name: str) -> float:
        return max(record.blocks[name].with_becket_N, record.blocks[name].pin_N)

    blocks = {}
    for name in solution.blocks:
        wraps = tuple(c.wrap_rad for c in solution.contacts if c.at == name)
        body = next(solution._layout[p][0] for p in (name, f"{name}.becket") if p in solution._layout)
        at_stall = greatest_of(load(stall, name) for stall in stalls if name in stall.blocks)
        blocks[name] = DrawnBlock(name, body, load(solution, name), at_stall, wraps)
    return blocks


def _strap(
    solution: RigSolution, stalls: Sequence[RigSolution], lie: Whereabouts, name: str, stops: tuple[Stop, ...]
) -> DrawnStrap:
    part = solution.lines[name].parts[0]
    ends = stops if solution._roles[stops[1].body] == "floating" else stops[::-1]
    legs = [s for s in lie.straps if solution._layout[solution.lines[s].parts[0].to][0] == ends[1].body]
    words = f"leg to {ends[0].point}" if len(legs) > 1 else "strap"
    at_stall = greatest_of(stall.lines[name].parts[0].tension_N for stall in stalls)
    return DrawnStrap(name, words, (ends[0], ends[1]), part.tension_N, at_stall)


def _pull(
    solution: RigSolution, stalls: Sequence[RigSolution], lie: Whereabouts, places: Places, name: str
) -> tuple[XY, XY | None]:
    """The pull along the ground: as the record gives it, or of the drawn directions where there are no places."""
    most = max((s for s in stalls if name in s.bodies), key=lambda s: s.bodies[name].load_N, default=None)
    expected = _vector(solution, lie, places, name)
    return expected, None if most is None else _vector(most, lie, places, name)


def _vector(record: RigSolution, lie: Whereabouts, places: Places, name: str) -> XY:
    body = record.bodies.get(name)
    if body is None:
        return 0.0, 0.0
    if body.vector_N is not None and lie.placed:
        return body.vector_N[0], body.vector_N[1]
    x = y = 0.0
    for line, solved in record.lines.items():
        for i, part in enumerate(solved.parts):
            a, b = places.points[line, i], places.points[line, i + 1]
            far = math.dist(a, b)
            for point, sign in ((part.from_, 1.0), (part.to, -1.0)):
                if record._layout[point][0] == name:
                    x += sign * part.tension_N * (b[0] - a[0]) / far
                    y += sign * part.tension_N * (b[1] - a[1]) / far
    size = math.hypot(x, y)
    return (x / size * body.load_N, y / size * body.load_N) if size > 0.0 else (0.0, 0.0)
