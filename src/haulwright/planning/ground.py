"""A rig with its bodies at their places on the ground, and its forces at one of them as a bare record."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

from haulwright.mechanics import loads, tension
from haulwright.mechanics.core import Core
from haulwright.mechanics.rig import Line, Rig, Vec
from haulwright.mechanics.solution import LineSolution, PartSolution, RigSolution

UNIT_N = 1000.0  # every rig is solved for this resistance and scaled: lines are weightless, tensions go with the load


@dataclass(frozen=True)
class Place:
    """Place of a body [m]: along the way ahead from the stuck vehicle's start, and aside of it, above 0 to the left."""

    along_m: float
    aside_m: float = 0.0

    def to(self, other: Place) -> float:
        """Return the distance to another place [m]."""
        return math.hypot(self.along_m - other.along_m, self.aside_m - other.aside_m)


def grounded(
    rig: Rig, places: Mapping[str, Place], direction: Vec, ropes_m: Mapping[str, float] | None = None
) -> Rig:
    """Return a rig on the ground.

    Parameters
    ----------
    rig : Rig
        Drawn in line, from the one-line notation.
    places : mapping body -> Place
        Of every body; those of floating blocks are where the search for their balance starts.
    direction : Vec
        Along which the load is pulled.
    ropes_m : mapping line -> float, optional
        Lengths of the lines without a drum [m].

    Examples
    --------
    >>> from haulwright.mechanics.tackles import named_rig
    >>> rig = grounded(named_rig("two-part"), {"O": Place(0.0), "X": Place(8.0, 6.0)}, (1.0, 0.0, 0.0))
    >>> rig.mode, rig.bodies["X"].at
    ('ground', (8.0, 6.0, 0.0))
    """
    bodies = {
        name: replace(body, at=(places[name].along_m, places[name].aside_m, 0.0))
        for name, body in rig.bodies.items()
    }
    lengths = ropes_m or {}
    lines: dict[str, Line] = {
        name: replace(line, length_m=lengths[name]) if name in lengths else line
        for name, line in rig.lines.items()
    }
    return replace(rig, bodies=bodies, lines=lines, direction=direction, mode="ground", placed=True)


def moved(rig: Rig, by_m: float) -> Rig:
    """Return a rig with its load moved on along its direction [m]."""
    load, d = rig.load, rig.direction
    at = (load.at[0] + by_m * d[0], load.at[1] + by_m * d[1], load.at[2] + by_m * d[2])
    return replace(rig, bodies={**rig.bodies, load.name: replace(load, at=at)})


def bare(core: Core) -> RigSolution:
    """Return forces and angles of a solved rig, without findings, notices or intervals.

    Parameters
    ----------
    core : Core
        With one winch.
    """
    rig, found = core.moving.rig, core.found
    course_of = core.moving.course_of
    forces = loads.body_forces(rig, course_of, found)
    effort = tension.effort_of(rig, found)
    ideal = core.ideal_advantage
    return RigSolution(
        rig=rig.name,
        path=rig.path,
        sentence="",
        mode=rig.mode,
        law=core.law,
        ideal_advantage=ideal,
        advantage=core.resistance_N / effort,
        rig_efficiency=core.efficiency,
        winch_share=effort / core.resistance_N,
        resistance_N=core.resistance_N,
        effort_N=tension.efforts_of(rig, found),
        travel_ratio={},
        lines={name: _line(core, name) for name in rig.lines},
        contacts=loads.contacts(core.moving, core.ratios, found),
        bodies=loads.body_solutions(rig, forces),
        blocks=loads.block_solutions(core.moving, found),
        side_pull_N=loads.side_pull(rig, forces[rig.load.name]),
        energy_residual=tension.energy_residual(core.moving, found, core.resistance_N),
    )


def _line(core: Core, name: str) -> LineSolution:
    line, course = core.moving.rig.lines[name], core.moving.course_of[name]
    return LineSolution(
        tuple(
            PartSolution(line.points[i].label, line.points[i + 1].label, t, course.lengths_m[i])
            for i, t in enumerate(core.found[name])
        )
    )
