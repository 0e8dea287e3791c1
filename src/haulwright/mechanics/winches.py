"""How a rig moves with several winches, or with a load that nothing guides.

A winch with a stated pull takes in line at whatever speed that needs, so the row of its line leaves ``J v = -s``; its
tension is known instead. The other winches give s. The rows left must be as many as there are freedoms::

    J' v = -s'          rows: lines of winches without a stated pull, and lines without a drum

Where the speeds of the winches are not all stated and there is one winch for each freedom of the load, the load is taken
to move along its direction, and s follows from that.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from haulwright.errors import RigRefusal
from haulwright.mechanics import linear
from haulwright.mechanics.geometry import Course, add, dot
from haulwright.mechanics.motion import STILL, Motion, check_one_way, flows_of, freedoms, length_rates
from haulwright.mechanics.rig import ZERO, Rig, Vec
from haulwright.mechanics.winch_speeds import needed_ratios, too_many_winches
from haulwright.mechanics.winch_stated import hauling, no_speed, number, unit_speeds


def find_motion(rig: Rig, course_of: dict[str, Course]) -> Motion:
    """Return how a rig moves, with any number of winches and a load that is guided or free.

    Parameters
    ----------
    rig : Rig
    course_of : dict
        From :func:`haulwright.mechanics.geometry.courses`.

    Returns
    -------
    Motion
        Per speed of the fastest winch whose pull is not stated.

    Raises
    ------
    RigRefusal
        INPUT, ONE_WAY, UNDER, LOCKED, REDUNDANT, LOAD_STILL or BACKWARDS, in that order.

    Examples
    --------
    Two winches straight ahead, the pull of one of them stated: the other sets the speed, both take in line alike.

    >>> from haulwright.files.rig import read_rig
    >>> from haulwright.mechanics.geometry import courses
    >>> rig = read_rig({"anchors": {"oak": {}, "elm": {"beside": "oak"}}, "load": {"name": "wagon"},
    ...     "lines": {"one": {"standing": "wagon", "fall": "A"}, "two": {"standing": "wagon", "fall": "B"}},
    ...     "winches": {"A": {"on": "oak", "line_pull": "8 kN"}, "B": {"on": "elm"}}})
    >>> find_motion(rig, courses(rig)).flows
    {'one': (0.0, 1.0), 'two': (0.0, 1.0)}
    """
    check_one_way(rig, course_of)
    bodies = freedoms(rig)
    per_part = {name: length_rates(rig, course_of[name], line, bodies) for name, line in rig.lines.items()}
    rate_of = {name: [sum(column) for column in zip(*rows, strict=True)] for name, rows in per_part.items()}
    pulled = rig.stated_pulls
    kept = [name for name, line in rig.lines.items() if line.drum not in pulled]
    jacobian = [rate_of[name] for name in kept]
    takes = [[1.0 * (rig.lines[name].drum == drum) for drum in hauling(rig)] for name in kept]
    _check_held(rig, bodies, jacobian)
    if len(kept) > len(bodies):
        raise _too_many(rig, len(kept) - len(bodies), jacobian, takes)
    speeds = _drum_speeds(rig, jacobian, takes)
    v = linear.solve(jacobian, [-dot_row(row, speeds) for row in takes])
    if v is None:  # square and of full rank after _check_held
        raise RigRefusal("UNDER", "The rig can move while the winches stand still.", bodies)
    velocity = ZERO
    for x, axis in zip(v, rig.load_axes, strict=False):
        velocity = add(velocity, axis, x)
    flows = {name: flows_of(rows, v) for name, rows in per_part.items()}
    check_goes(rig, velocity, [flows[line.name][-1] for line in rig.drums.values()])
    along = dict(zip(bodies, v, strict=True))
    along[rig.load.name] = math.sqrt(dot(velocity, velocity))
    return Motion(bodies, along, flows, velocity)


def dot_row(a: list[float], b: list[float]) -> float:
    """Return the scalar product of two rows."""
    return sum(x * y for x, y in zip(a, b, strict=True))


def _drum_speeds(rig: Rig, jacobian: list[list[float]], takes: list[list[float]]) -> list[float]:
    """Return the speeds of the hauling drums, from what is stated or from a load that moves along its direction."""
    given = unit_speeds(rig)
    if given is not None:
        return given
    drums, axes = hauling(rig), rig.load_axes
    towards = [dot(rig.direction, axis) for axis in axes]
    found = None
    if len(drums) == len(axes):
        rest = [[*row[len(axes) :], *drum] for row, drum in zip(jacobian, takes, strict=True)]
        found = linear.solve(rest, [-dot_row(row[: len(axes)], towards) for row in jacobian])
    if found is None:
        raise no_speed(rig)
    speeds = found[-len(drums) :]
    fastest = max(abs(x) for x in speeds) or 1.0
    return [x / fastest for x in speeds]


def check_goes(rig: Rig, velocity: Vec, rates: Sequence[float]) -> None:
    """Refuse a load that does not move, or moves away from where it should go.

    Parameters
    ----------
    rig : Rig
    velocity : Vec
        Of the load.
    rates : sequence of float
        At which every drum takes in line.

    Raises
    ------
    RigRefusal
        LOAD_STILL or BACKWARDS.

    Notes
    -----
    Work is done on a load that goes against the force on it, so some winch must take in line (virtual work).
    """
    load, speed = rig.load.name, math.sqrt(dot(velocity, velocity))
    if speed < STILL:
        raise RigRefusal("LOAD_STILL", f"Hauling does not move the load {load}.", (load,))
    idle = max(rates) <= STILL and dot(velocity, rig.along) > STILL * speed
    if idle or dot(velocity, rig.direction) < -STILL * speed:
        raise RigRefusal(
            "BACKWARDS",
            f"Hauling drags the load {load} away from where it should go. Turn the direction round, haul from the other "
            "side, or state other speeds.",
            (load,),
        )


def _check_held(rig: Rig, bodies: tuple[str, ...], jacobian: list[list[float]]) -> None:
    if jacobian and linear.rank(jacobian) == len(bodies):
        return
    loose = linear.null_vectors(jacobian) if jacobian else [[1.0] * len(bodies)]
    names = tuple(
        dict.fromkeys(
            body for vector in loose for body, x in zip(bodies, vector, strict=True) if abs(x) > 1e-9
        )
    )
    words = f"{' and '.join(names)} can move while the winches stand still: a line that holds it is missing."
    if rig.free_load and rig.load.name in names:
        words += (
            f" A free load needs {number(len(rig.load_axes))} lines that hold it, not all in one direction; a line with "
            "a stated pull does not hold. Give one more, state a speed in place of a pull, or leave out free:."
        )
    raise RigRefusal("UNDER", words, names)


def _too_many(rig: Rig, extra: int, jacobian: list[list[float]], takes: list[list[float]]) -> RigRefusal:
    """Return the refusal of more lines than needed: LOCKED, or REDUNDANT with the speeds the winches would need."""
    motions = linear.null_vectors([[*row, *drum] for row, drum in zip(jacobian, takes, strict=True)])
    names = tuple(name for name, line in rig.lines.items() if line.drum not in rig.stated_pulls)
    if not motions:
        what = "winch" if len(hauling(rig)) == 1 else "winches"
        return RigRefusal(
            "LOCKED",
            f"The lines tie the rig solid: {', '.join(names)}; the {what} cannot take in line.",
            names,
        )
    if len(hauling(rig)) == 1:
        return RigRefusal(
            "REDUNDANT",
            f"{extra} line(s) more than needed among {', '.join(names)}; shares depend on stretch. Take one line out.",
            names,
        )
    return too_many_winches(rig, extra, needed_ratios(rig, motions) if len(motions) == 1 else {})
