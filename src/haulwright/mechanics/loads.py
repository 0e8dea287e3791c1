"""What the lines do to bodies, blocks and contacts, once the tensions are known."""

from __future__ import annotations

import math
from itertools import combinations

from haulwright.mechanics.friction import Ratios
from haulwright.mechanics.geometry import Course, add, dot, times
from haulwright.mechanics.rig import FLOATING, Block, Rig, Vec
from haulwright.mechanics.solution import BlockSolution, BodySolution, ContactSolution
from haulwright.mechanics.tension import Moving, Tensions

ZERO: Vec = (0.0, 0.0, 0.0)
MOST_FORCES = 12  # on one block, of which all sums are tried


def contact_load(t1_N: float, t2_N: float, wrap_rad: float) -> float:
    """Return the load of one contact on its block.

    Parameters
    ----------
    t1_N, t2_N : float
        Tensions on the two sides [N].
    wrap_rad : float
        Wrap [rad].

    Returns
    -------
    float
        ``sqrt(t1² + t2² - 2 t1 t2 cos(wrap))`` [N]; for equal tensions ``2 t sin(wrap/2)``.

    Raises
    ------
    RigRefusal
        Never; any finite tensions are taken.

    Notes
    -----
    With theta the angle between the parts, wrap = 180° − theta, so equal tensions give ``2 t cos(theta/2)``.

    References
    ----------
    Triangle of forces; trade tables print the factor by the angle between the parts (90°: 1.41).

    Examples
    --------
    >>> round(contact_load(12.0, 10.0, math.radians(90.0)), 3)
    15.62
    """
    return math.sqrt(max(t1_N * t1_N + t2_N * t2_N - 2.0 * t1_N * t2_N * math.cos(wrap_rad), 0.0))


def pull_at(line_parts: tuple[Vec, ...], found: tuple[float, ...], i: int) -> Vec:
    """Return the force [N] a line exerts at its point i."""
    out = times(line_parts[i], found[i]) if i < len(line_parts) else ZERO
    return add(out, times(line_parts[i - 1], found[i - 1]), -1.0) if i > 0 else out


def body_forces(rig: Rig, course_of: dict[str, Course], found: Tensions) -> dict[str, Vec]:
    """Return the vector sum of all line forces on every body that is not floating [N]."""
    sums = {name: ZERO for name, body in rig.bodies.items() if body.role != FLOATING}
    for name, line in rig.lines.items():
        for i, point in enumerate(line.points):
            if point.body in sums:
                sums[point.body] = add(sums[point.body], pull_at(course_of[name].parts, found[name], i))
    return sums


def body_solutions(rig: Rig, forces: dict[str, Vec]) -> dict[str, BodySolution]:
    """Return the body records; bodies without a line are left out."""
    touched = {point.body for line in rig.lines.values() for point in line.points}
    return {
        name: _body(rig, name, force) if rig.placed else BodySolution(math.sqrt(dot(force, force)))
        for name, force in forces.items()
        if name in touched
    }


def _body(rig: Rig, name: str, force: Vec) -> BodySolution:
    level = math.hypot(force[0], force[1])
    return BodySolution(math.sqrt(dot(force, force)), force, level, force[2], rig.bodies[name].at[2])


def side_pull(rig: Rig, force: Vec) -> float:
    """Return the force across the load's direction that its guide must carry [N].

    A free load has no guide: this is then what its lines do not balance, none unless it is held fast.
    """
    across = add(force, rig.along, -dot(force, rig.along))
    return math.sqrt(dot(across, across))


def contacts(moving: Moving, ratios: Ratios, found: Tensions) -> tuple[ContactSolution, ...]:
    """Return every contact, line by line from the standing end."""
    records = []
    speed = moving.motion.load_speed
    for name, line in moving.rig.lines.items():
        parts, flows, wraps = found[name], moving.motion.flows[name], moving.course_of[name].wraps
        for n, i in enumerate(line.contacts):
            q = flows[i]
            records.append(
                ContactSolution(
                    line=name,
                    index=n + 1,
                    at=line.points[i].block or line.points[i].label,
                    wrap_rad=wraps[n],
                    ratio=ratios[name][n],
                    load_N=contact_load(parts[i - 1], parts[i], wraps[n]),
                    direction="still" if q == 0.0 else "towards-fall" if q > 0.0 else "away",
                    rim_speed_ratio=abs(q) / speed,
                    heat_J_per_m=(parts[i] - parts[i - 1]) * q / speed,
                )
            )
    return tuple(records)


def block_solutions(moving: Moving, found: Tensions) -> dict[str, BlockSolution]:
    """Return pin load and load with the becket's line for every block that a line turns over or that hangs free.

    Notes
    -----
    The lines on a floating block balance, so their sum is none and says nothing: what it carries is the greatest sum
    that any of them exert together against the others.
    """
    records = {}
    for name, block in moving.rig.blocks.items():
        floats = moving.rig.bodies[block.body].role == FLOATING
        turns, ends, wraps = _pulls_on(moving, found, block, floats)
        if not turns and not (floats and ends):
            continue
        carried = greatest_sum if floats else _size
        records[name] = BlockSolution(
            carried(turns or ends),
            carried([*turns, *ends]),
            wraps[0] if wraps else 0.0,
            wraps_rad=tuple(wraps),
            between_rad=tuple(math.pi - wrap for wrap in wraps),
            vector_N=_sum(turns if floats else [*turns, *ends]) if moving.rig.placed else None,
        )
    return records


def _pulls_on(
    moving: Moving, found: Tensions, block: Block, floats: bool
) -> tuple[list[Vec], list[Vec], list[float]]:
    """Return the forces of the lines that turn over a block, of those that end on it, and its wraps."""
    turns: list[Vec] = []
    ends: list[Vec] = []
    wraps = []
    for name, line in moving.rig.lines.items():
        course = moving.course_of[name]
        for i, point in enumerate(line.points):
            own_body = floats and point.body == block.name and point.block is None
            if point.block != block.name and not own_body:
                continue
            force = pull_at(course.parts, found[name], i)
            if i in line.contacts:
                turns.append(force)
                wraps.append(course.wraps[i - 1])
            else:
                ends.append(force)
    return turns, ends, wraps


def _sum(forces: list[Vec]) -> Vec:
    total = ZERO
    for force in forces:
        total = add(total, force)
    return total


def _size(forces: list[Vec]) -> float:
    total = _sum(forces)
    return math.sqrt(dot(total, total))


def greatest_sum(forces: list[Vec]) -> float:
    """Return the greatest vector sum of any of the forces [N]; beyond a dozen forces the sum of their sizes.

    Examples
    --------
    >>> greatest_sum([(3.0, 0.0, 0.0), (2.0, 0.0, 0.0), (-5.0, 0.0, 0.0)])
    5.0
    """
    if len(forces) > MOST_FORCES:
        return sum(_size([force]) for force in forces)
    return max(
        (_size(list(some)) for n in range(1, len(forces) + 1) for some in combinations(forces, n)),
        default=0.0,
    )
