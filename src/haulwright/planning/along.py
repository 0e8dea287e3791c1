"""A rig at the places of its travel that are looked at: where every set-up begins and ends, and half-way.

Lines are weightless, so tensions go with the load: every place is solved once without friction, with the winch at
stall, and scaled to any other load.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from haulwright.field.bridle import slack_words
from haulwright.mechanics.core import Core, solve_core
from haulwright.mechanics.rig import FLOATING, LOAD, Rig
from haulwright.mechanics.solution import BlockSolution, BodySolution, LineSolution, RigSolution
from haulwright.planning.ground import bare
from haulwright.planning.lacking import Lacking
from haulwright.planning.layout import Layout, Start
from haulwright.planning.shared_anchor import SharedAnchor

_IN_LINE_m = 1e-9


@dataclass(frozen=True)
class Along:
    """A rig at one place of its travel.

    Attributes
    ----------
    travel_m : float
        How far the vehicle has come [m].
    rig : Rig
        As it stands there.
    core : Core
        Solved without friction, the winch at stall.
    free : RigSolution
        The same as a record.
    """

    travel_m: float
    rig: Rig
    core: Core
    free: RigSolution


def along_free(layout: Layout, stall_N: float, shared: Mapping[str, SharedAnchor]) -> tuple[Along, ...]:
    """Return a rig without friction along its travel, the winch at stall [N].

    Raises
    ------
    Lacking
        A leg of a bridle that hangs slack.
    RigRefusal
        A rig that does not work at one of the places.
    """
    found = []
    for travel_m, rig in _places(layout):
        core = solve_core(rig, 1.0, None, stall_N, ())
        free = bare(core)
        check_legs(free, shared)
        found.append(Along(travel_m, core.moving.rig, core, free))
    return tuple(found)


def check_legs(solution: RigSolution, shared: Mapping[str, SharedAnchor]) -> None:
    """Check that no leg of a bridle hangs slack.

    Raises
    ------
    Lacking
    """
    for name, one in shared.items():
        words = slack_words(one.legs(solution.bodies[name].vector_N or (0.0, 0.0)))
        if words:
            raise Lacking(f"a bridle that shares: {words}", "bridle")


def _places(layout: Layout) -> Iterator[tuple[float, Rig]]:
    first = layout.starts[0]
    yield first.done_m, first.rig
    if in_line(first.rig):
        return  # the lines keep their directions: every place of the travel is like the first
    yield first.done_m + first.travel_m / 2.0, _part(first, 0.5)
    for start in layout.starts:
        if start is not first:
            yield start.done_m, start.rig
        yield start.done_m + start.travel_m, start.end


def in_line(rig: Rig) -> bool:
    """Return whether all bodies lie on the line of the pull."""
    load, d = rig.load, rig.direction
    offs = ((b.at[0] - load.at[0]) * d[1] - (b.at[1] - load.at[1]) * d[0] for b in rig.bodies.values())
    return all(abs(off) < _IN_LINE_m for off in offs)


def _part(start: Start, share: float) -> Rig:
    """Return a rig part of the way on; floating blocks where the search for their balance starts."""
    bodies = dict(start.rig.bodies)
    for name, body in bodies.items():
        if body.role in (LOAD, FLOATING):
            there = start.end.bodies[name].at
            x, y, z = (a + share * (b - a) for a, b in zip(body.at, there, strict=True))
            bodies[name] = replace(body, at=(x, y, z))
    return replace(start.rig, bodies=bodies)


def greatest(found: Sequence[RigSolution]) -> RigSolution:
    """Return the greatest load of every part, block and body over some solutions of one rig."""
    first = found[0]
    if len(found) == 1:
        return first
    blocks: dict[str, BlockSolution] = {
        name: max((one.blocks[name] for one in found), key=lambda block: block.with_becket_N)
        for name in first.blocks
    }
    bodies: dict[str, BodySolution] = {
        name: max((one.bodies[name] for one in found), key=lambda body: body.load_N) for name in first.bodies
    }
    lines = {}
    for name in first.lines:
        parts = zip(*(one.lines[name].parts for one in found), strict=True)
        lines[name] = LineSolution(tuple(max(part, key=lambda one: one.tension_N) for part in parts))
    return replace(first, blocks=blocks, bodies=bodies, lines=lines)
