"""How a rig moves when the winch hauls: no forces needed, and every refusal that motion alone can give.

Length rate of line r per unit speed of freedom c::

    J[r, c] = sum over parts i of  u_i . d_c ([end of part on body of c] - [start of part on body of c])

A drum takes in line at speed 1, so ``J v = -[line has the drum]``. The flow q_i of line past point p_i, positive towards
the fall, follows from ``q_0 = 0`` and ``q_(i+1) = q_i - rate of part i``. Only the sign of q matters to friction.
"""

from __future__ import annotations

from dataclasses import dataclass

from haulwright.errors import RigRefusal
from haulwright.mechanics import linear
from haulwright.mechanics.geometry import Course, dot
from haulwright.mechanics.rig import Line, Rig

STILL = 1e-9  # flow below this, relative to the drum's speed, is no flow


@dataclass(frozen=True)
class Motion:
    """Speeds per unit drum speed.

    Attributes
    ----------
    freedoms : tuple of str
        Bodies that move along the load's direction.
    speeds : mapping body -> float
        Speed along the load's direction per drum speed [-].
    flows : mapping line -> tuple of float
        Flow past each point, standing end first [-].
    """

    freedoms: tuple[str, ...]
    speeds: dict[str, float]
    flows: dict[str, tuple[float, ...]]

    @property
    def load_speed(self) -> float:
        """Speed of the load along its direction per drum speed."""
        return self.speeds[self.freedoms[0]]


def freedoms(rig: Rig) -> tuple[str, ...]:
    """Return the bodies that can move: the load first, then the floating blocks."""
    return (rig.load.name, *(body.name for body in rig.floating))


def length_rates(rig: Rig, course: Course, line: Line, bodies: tuple[str, ...]) -> list[list[float]]:
    """Return, per part of a line, its length rate per unit speed of each freedom."""
    rows = []
    for i, u in enumerate(course.parts):
        along = dot(u, rig.direction)
        start, end = line.points[i].body, line.points[i + 1].body
        rows.append([along * ((end == body) - (start == body)) for body in bodies])
    return rows


def find_motion(rig: Rig, course_of: dict[str, Course]) -> Motion:
    """Return how the rig moves when the drum takes in line at unit speed.

    Parameters
    ----------
    rig : Rig
    course_of : dict
        From :func:`haulwright.mechanics.geometry.courses`.

    Returns
    -------
    Motion

    Raises
    ------
    RigRefusal
        ONE_WAY, UNDER, LOCKED, REDUNDANT, LOAD_STILL or BACKWARDS, in that order.

    Examples
    --------
    >>> from haulwright.mechanics.geometry import courses
    >>> from haulwright.mechanics.notation import parse_notation
    >>> rig = parse_notation("!truck.drum > tree > truck")
    >>> find_motion(rig, courses(rig)).load_speed
    0.5
    """
    bodies = freedoms(rig)
    per_part = {name: length_rates(rig, course_of[name], line, bodies) for name, line in rig.lines.items()}
    jacobian = [[sum(column) for column in zip(*rows, strict=True)] for rows in per_part.values()]
    drum = [1.0 if line.drum else 0.0 for line in rig.lines.values()]
    _check_one_way(rig, course_of)
    _check_count(rig, bodies, jacobian, drum)
    v = linear.solve(jacobian, [-x for x in drum])
    if v is None:  # square and of full rank after _check_count
        raise RigRefusal("UNDER", "The rig can move while the winch stands still.", bodies)
    speeds = dict(zip(bodies, v, strict=True))
    _check_load_moves(rig, speeds)
    flows = {name: _flows(rows, v) for name, rows in per_part.items()}
    return Motion(bodies, speeds, flows)


def _flows(rows: list[list[float]], v: list[float]) -> tuple[float, ...]:
    q = [0.0]
    for row in rows:
        q.append(q[-1] - sum(a * b for a, b in zip(row, v, strict=True)))
    return tuple(0.0 if abs(x) < STILL else x for x in q)


def _check_one_way(rig: Rig, course_of: dict[str, Course]) -> None:
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


def _check_count(rig: Rig, bodies: tuple[str, ...], jacobian: list[list[float]], drum: list[float]) -> None:
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
        return
    with_drum = [[*row, x] for row, x in zip(jacobian, drum, strict=True)]
    if not linear.null_vectors(with_drum):
        names = tuple(rig.lines)
        raise RigRefusal(
            "LOCKED",
            f"The lines tie the rig solid: {', '.join(names)}; the winch cannot take in line.",
            names,
        )
    extra = lines - free
    raise RigRefusal(
        "REDUNDANT",
        f"{extra} line(s) more than needed; shares depend on stretch. Take one line out, or give stretch data or the "
        "pull of one winch (this version computes neither).",
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
