"""Places for a rig that has none: bodies a step apart in their order, stated wraps kept where only anchors are met."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from haulwright.mechanics.solution import RigSolution, Whereabouts
from haulwright.publishing.diagram.geometry import XY

STEP = 10.0
ASIDE = 4.0
_OFF_AXIS = math.sin(math.radians(3.0))


@dataclass(frozen=True)
class Places:
    """Where bodies and the points of lines are drawn, seen from above."""

    bodies: Mapping[str, XY]
    points: Mapping[tuple[str, int], XY]


@dataclass(frozen=True)
class _Run:
    """One part for placing: its two bodies and its unit vector from the first to the second."""

    first: str
    second: str
    along: tuple[float, float, float]

    @property
    def bent(self) -> bool:
        return abs(self.along[1]) > _OFF_AXIS


def schematic_places(lie: Whereabouts, solution: RigSolution) -> Places:
    """Return places a step apart in the order of the rig; directions that stated wraps give are kept between anchors."""
    runs = _runs(lie, solution)
    bodies = _in_order(lie)
    if any(run.bent for run in runs):
        _bend(bodies, runs, solution)
    points = {}
    for name, line in solution.lines.items():
        labels = [line.parts[0].from_, *(part.to for part in line.parts)]
        points.update({(name, i): bodies[solution._layout[label][0]] for i, label in enumerate(labels)})
    return Places(bodies, points)


def _runs(lie: Whereabouts, solution: RigSolution) -> list[_Run]:
    return [
        _Run(solution._layout[part.from_][0], solution._layout[part.to][0], lie.courses[name][i])
        for name, line in solution.lines.items()
        for i, part in enumerate(line.parts)
    ]


def _in_order(lie: Whereabouts) -> dict[str, XY]:
    """Stations a step apart; bodies of one station stand beside each other."""
    bodies: dict[str, XY] = {}
    for name, at in lie.bodies.items():
        beside = sum(1 for other in bodies.values() if other[0] == at[0] * STEP)
        bodies[name] = (at[0] * STEP, beside * ASIDE)
    return bodies


def _bend(bodies: dict[str, XY], runs: list[_Run], solution: RigSolution) -> None:
    """Move anchors so that parts with a stated wrap run the stated way."""
    moving = {name for name, role in solution._roles.items() if role != "anchor"}
    fixed = moving | {
        name for run in runs if {run.first, run.second} & moving for name in (run.first, run.second)
    }
    for anchor in sorted(fixed - moving):
        ways = [run for run in runs if anchor in (run.first, run.second) and {run.first, run.second} & moving]
        if len(ways) == 1 and ways[0].bent:
            _place(bodies, ways[0], anchor)
    for _ in runs:
        for run in runs:
            if len({run.first, run.second} & fixed) == 1:
                outer = run.first if run.second in fixed else run.second
                _place(bodies, run, outer)
                fixed.add(outer)


def _place(bodies: dict[str, XY], run: _Run, outer: str) -> None:
    inner, sign = (run.first, 1.0) if outer == run.second else (run.second, -1.0)
    x, y = bodies[inner]
    bodies[outer] = (x + sign * STEP * run.along[0], y + sign * STEP * run.along[1])
