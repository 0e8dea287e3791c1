"""When the lines of a rig drawn in line share a load by their stretch, and what has to be known of them then."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence

from haulwright.errors import RigRefusal
from haulwright.mechanics import linear
from haulwright.mechanics.geometry import Course
from haulwright.mechanics.motion import freedoms, length_rates
from haulwright.mechanics.rig import Line, Rig
from haulwright.mechanics.springs import NONE, Sharing, Spring
from haulwright.mechanics.stepped import refuse_stepped


def sharing_of(rig: Rig, course_of: dict[str, Course]) -> Sharing | None:
    """Return a rig drawn in line as springs, None where it has as many lines as freedoms.

    Parameters
    ----------
    rig : Rig
        With one winch and a guided load.
    course_of : mapping line -> Course

    Raises
    ------
    RigRefusal
        REDUNDANT, naming the lines that lack an EA or a length.
    """
    bodies = freedoms(rig)
    names, extra = tuple(rig.lines), len(rig.lines) - len(bodies)
    if extra <= 0:
        return None
    parts = (length_rates(rig, course_of[name], line, bodies) for name, line in rig.lines.items())
    jacobian = [[sum(column) for column in zip(*rows, strict=True)] for rows in parts]
    refuse_stepped(rig, "with lines that share a load")
    free = linear.null_vectors([list(column) for column in zip(*jacobian, strict=True)])
    lines = tuple(name for i, name in enumerate(names) if any(abs(v[i]) > NONE for v in free))
    springs = {name: _spring(line, course_of[name]) for name, line in rig.lines.items()}
    lacking = [name for name in lines if not springs[name].known]
    if lacking:
        raise redundant(rig, extra, lines, springs)
    rates = {
        name: (*row[1:], 1.0 if rig.lines[name].drum else 0.0)
        for name, row in zip(names, jacobian, strict=True)
    }
    return Sharing(lines, springs, rates)


def _spring(line: Line, course: Course) -> Spring:
    """Return one line as a spring; among places its length says how slack it is."""
    EA_N, drawn = line.rope.EA_N if line.rope else None, [x for x in course.lengths_m if x is not None]
    slack = line.slack_m or 0.0
    if not drawn:
        known = line.stated_m is not None and len(line.points) == 2
        return Spring(EA_N, (line.stated_m or 0.0,) if known else None, slack)
    path = math.fsum(drawn)
    if line.stated_m is not None and not line.drum:
        if line.slack_m is not None:
            text = f"{line.name}: among places, length and slack say the same thing twice. Keep one."
            raise RigRefusal("INPUT", text, (line.name,))
        slack = line.stated_m - path
    if slack <= -path:
        text = f"{line.name}: slack {slack:g} m leaves nothing of its {path:.2f} m. Give less."
        raise RigRefusal("INPUT", text, (line.name,))
    return Spring(EA_N, tuple(x * (1.0 + slack / path) for x in drawn), slack)


def redundant(rig: Rig, extra: int, lines: Sequence[str], springs: Mapping[str, Spring]) -> RigRefusal:
    """Return the refusal of lines that share and do not say how they stretch."""
    without_EA = [name for name in lines if springs[name].EA_N is None]
    without_length = [name for name in lines if springs[name].lengths_m is None]
    ends = [name for name in without_length if len(rig.lines[name].points) == 2]
    turned = [name for name in without_length if name not in ends]
    asked = [f"rope: {{EA: …}} for {', '.join(without_EA)}"] if without_EA else []
    asked += [f"rope: {{length: …}} for {', '.join(ends)}"] if ends else []
    asked += [f"places (at:), since the parts of {', '.join(turned)} stretch one by one"] if turned else []
    words = ", and ".join(asked)
    return RigRefusal(
        "REDUNDANT",
        f"{extra} line(s) more than needed among {', '.join(lines)}; shares depend on stretch. Take one line out, or give "
        f"in a rig file {words}.",
        tuple(lines),
    )


def check_proportion(rig: Rig, sharing: Sharing, load_given: bool, tenth_rule: bool) -> None:
    """Refuse to speak of shares at any load where they depend on it.

    Raises
    ------
    RigRefusal
        INPUT without a load; LAW for the one-tenth rule.
    """
    if sharing.fits:
        return
    names = " and ".join(sharing.lines)
    why = f"{names} are longer or shorter than drawn, so what each carries is in no proportion to the load"
    if not load_given:
        raise RigRefusal("INPUT", f"{why}: give the resistance of {rig.load.name}.", (rig.load.name,))
    if tenth_rule:
        raise RigRefusal("LAW", f"{why}, as the one-tenth rule needs it. Give another law.", sharing.lines)


def load_of_effort(effort_N: float, effort_at: Callable[[float], float]) -> float:
    """Return the load at which the drum has a given tension [N], where the two are not in one proportion.

    Parameters
    ----------
    effort_N : float
    effort_at : callable
        Load [N] -> tension at the drum [N].

    Returns
    -------
    float

    Raises
    ------
    RigRefusal
        INPUT where no load is found.

    Examples
    --------
    >>> round(load_of_effort(60.0, lambda load: 0.5 * load + 10.0), 9)
    100.0
    """
    load = effort_N * effort_N / effort_at(effort_N)
    for _ in range(100):
        found = effort_at(load)
        if abs(found - effort_N) <= 1e-11 * effort_N:
            return load
        load *= effort_N / found
    raise RigRefusal(
        "INPUT", f"No load is found for an effort of {effort_N:g} N. Give the load instead.", ("effort",)
    )
