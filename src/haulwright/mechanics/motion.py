"""How a rig moves when the winch hauls: no forces needed, and every refusal that motion alone can give.

Length rate of line r per unit speed of freedom c::

    J[r, c] = sum over parts i of  u_i . d_c ([end of part on body of c] - [start of part on body of c])

A drum takes in line at speed 1, a stepped one (see :mod:`.stepped`) at less, so ``J v = -C``. The flow q_i of line past
point p_i, positive towards the fall, follows from ``q_0 = 0`` (r/R at the small step of a stepped drum) and ``q_(i+1) =
q_i - rate of part i``. Only the sign of q matters to friction.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from haulwright.errors import RigRefusal
from haulwright.mechanics import linear
from haulwright.mechanics.geometry import Course, dot, times
from haulwright.mechanics.rig import Line, Rig, Vec
from haulwright.mechanics.stepped import takes_in

Shares = Callable[[Rig, dict[str, Course]], object]
STILL = 1e-9  # flow below this, relative to the drum's speed, is no flow


@dataclass(frozen=True)
class Motion:
    """Speeds per unit drum speed; with several drums, per speed of the fastest whose pull is not stated.

    Attributes
    ----------
    freedoms : tuple of str
        Bodies that move, one entry for each direction; the load first.
    speeds : mapping body -> float
        Speed along the load's direction per drum speed [-]; of a free load, along its own motion.
    flows : mapping line -> tuple of float
        Flow past each point, standing end first [-]; at a drum it is the rate at which that drum takes in line.
    load_velocity : Vec
        Velocity of the load per drum speed [-].
    """

    freedoms: tuple[str, ...]
    speeds: dict[str, float]
    flows: dict[str, tuple[float, ...]]
    load_velocity: Vec

    @property
    def load_speed(self) -> float:
        """Speed of the load along its motion per drum speed."""
        return self.speeds[self.freedoms[0]]


def freedoms(rig: Rig) -> tuple[str, ...]:
    """Return the body of every freedom: those of the load first, then the floating blocks."""
    return (*(rig.load.name,) * len(rig.load_axes), *(body.name for body in rig.floating))


def length_rates(rig: Rig, course: Course, line: Line, bodies: tuple[str, ...]) -> list[list[float]]:
    """Return, per part of a line, its length rate per unit speed of each freedom of :func:`freedoms`."""
    own = rig.load_axes
    rows = []
    for i, u in enumerate(course.parts):
        along = [dot(u, axis) for axis in own] + [dot(u, rig.direction)] * (len(bodies) - len(own))
        start, end = line.points[i].body, line.points[i + 1].body
        rows.append([x * ((end == body) - (start == body)) for x, body in zip(along, bodies, strict=True)])
    return rows


def find_motion(rig: Rig, course_of: dict[str, Course], shares: Shares | None = None) -> Motion:
    """Return how a rig with one winch and a guided load moves when the drum takes in line at unit speed.

    Parameters
    ----------
    rig : Rig
    course_of : dict
        From :func:`haulwright.mechanics.geometry.courses`.
    shares : callable, optional
        Asked where there are more lines than needed; it refuses where what each of them carries cannot be told.

    Returns
    -------
    Motion

    Raises
    ------
    RigRefusal
        UNSUPPORTED for several winches or a free load (see :mod:`haulwright.mechanics.winches`), else ONE_WAY, UNDER,
        LOCKED, REDUNDANT, LOAD_STILL or BACKWARDS, in that order.

    Examples
    --------
    >>> from haulwright.mechanics.geometry import courses
    >>> from haulwright.mechanics.notation import parse_notation
    >>> rig = parse_notation("!truck.drum > tree > truck")
    >>> find_motion(rig, courses(rig)).load_speed
    0.5
    """
    _check_plain(rig)
    bodies = freedoms(rig)
    per_part = {name: length_rates(rig, course_of[name], line, bodies) for name, line in rig.lines.items()}
    jacobian = [[sum(column) for column in zip(*rows, strict=True)] for rows in per_part.values()]
    drum = [takes_in(line) for line in rig.lines.values()]
    check_one_way(rig, course_of)
    if _check_count(rig, bodies, jacobian, drum):
        (shares or _unknown_shares)(rig, course_of)
    _, solved, _ = linear.eliminate(jacobian, [-x for x in drum])
    v = solved[: len(bodies)]  # of full rank, and what is beyond agrees, after _check_count
    speeds = dict(zip(bodies, v, strict=True))
    _check_load_moves(rig, speeds)
    flows = {name: flows_of(rows, v, rig.lines[name].step) for name, rows in per_part.items()}
    return Motion(bodies, speeds, flows, times(rig.direction, v[0]))


def _check_plain(rig: Rig) -> None:
    _ = rig.hauling_line  # refuses several winches
    if rig.free_load:
        raise RigRefusal(
            "UNSUPPORTED",
            f"{rig.name} has a free load; this is for a load that is guided along its direction.",
            (rig.load.name,),
        )


def flows_of(rows: list[list[float]], v: list[float], step: float = 0.0) -> tuple[float, ...]:
    """Return the flow past every point of a line from the length rates of its parts and the speeds of the freedoms.

    A made-fast end has none; at the small step of a stepped drum ``step`` (small ÷ large) of the fall's flow comes off.
    """
    grows = [sum(a * b for a, b in zip(row, v, strict=True)) for row in rows]
    q = [-sum(grows) * step / (1.0 - step)]
    for rate in grows:
        q.append(q[-1] - rate)
    return tuple(0.0 if abs(x) < STILL else x for x in q)


def check_one_way(rig: Rig, course_of: dict[str, Course]) -> None:
    """Refuse a floating block that all lines pull the same way (ONE_WAY)."""
    for body in rig.floating:
        pulls = []
        for name, line in rig.lines.items():
            for i, u in enumerate(course_of[name].parts):
                along = dot(u, rig.direction)
                pulls += [along] * (line.points[i].body == body.name)
                pulls += [-along] * (line.points[i + 1].body == body.name)
        pulls = [pull for pull in pulls if abs(pull) > STILL]
        if pulls and (min(pulls) > 0.0 or max(pulls) < 0.0):
            raise RigRefusal(
                "ONE_WAY",
                f"Every line on {body.name} pulls it the same way; nothing holds it back. "
                "Lead a line from it the other way, or fix it to a body.",
                (body.name,),
            )


def _check_count(rig: Rig, bodies: tuple[str, ...], jacobian: list[list[float]], drum: list[float]) -> bool:
    """Refuse what is tied solid or not held; return whether there are more lines than needed."""
    lines, free = len(jacobian), len(bodies)
    if linear.rank(jacobian) < free:
        loose = [
            body
            for vector in linear.null_vectors(jacobian)
            for body, x in zip(bodies, vector, strict=True)
            if abs(x) > 1e-9
        ]
        names = tuple(dict.fromkeys(loose))
        raise RigRefusal(
            "UNDER",
            f"{' and '.join(names)} can move while the winch stands still: a line that holds it is missing.",
            names,
        )
    if lines == free:
        return False
    with_drum = [[*row, x] for row, x in zip(jacobian, drum, strict=True)]
    if not linear.null_vectors(with_drum):
        names = tuple(rig.lines)
        raise RigRefusal(
            "LOCKED",
            f"The lines tie the rig solid: {', '.join(names)}; the winch cannot take in line.",
            names,
        )
    return True


def _unknown_shares(rig: Rig, course_of: dict[str, Course]) -> object:
    extra = len(rig.lines) - len(freedoms(rig))
    raise RigRefusal(
        "REDUNDANT",
        f"{extra} line(s) more than needed; shares depend on stretch, which is not known here. Take one line out.",
        tuple(rig.lines),
    )


def _check_load_moves(rig: Rig, speeds: dict[str, float]) -> None:
    load = rig.load.name
    if abs(speeds[load]) < STILL:
        moving = [name for name, v in speeds.items() if abs(v) > STILL]
        raise RigRefusal(
            "LOAD_STILL",
            f"Hauling does not move the load {load}"
            + (f"; only {', '.join(moving)} moves." if moving else "."),
            (load,),
        )
    if speeds[load] < 0.0:
        raise RigRefusal(
            "BACKWARDS",
            f"Hauling drags the load {load} away from where it should go. Turn the direction round, or haul from the other side.",
            (load,),
        )
