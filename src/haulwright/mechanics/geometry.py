"""Where the lines run: unit vectors of the parts and wraps at the contacts, from places or from given turns.

Directions only: a line-mode rig may be drawn with places, with stations in order, or with the wrap of a block given.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

from haulwright.errors import RigRefusal
from haulwright.mechanics.rig import ANCHOR, Line, Rig, Vec


def dot(a: Vec, b: Vec) -> float:
    """Return the scalar product."""
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def add(a: Vec, b: Vec, scale: float = 1.0) -> Vec:
    """Return ``a + scale * b``."""
    return (a[0] + scale * b[0], a[1] + scale * b[1], a[2] + scale * b[2])


def times(a: Vec, scale: float) -> Vec:
    """Return ``scale * a``."""
    return (a[0] * scale, a[1] * scale, a[2] * scale)


def unit(a: Vec) -> Vec:
    """Return ``a`` with length 1."""
    length = math.hypot(*a)
    return (a[0] / length, a[1] / length, a[2] / length)


def wrap_between(before: Vec, after: Vec) -> float:
    """Return the angle a line is turned through between two unit vectors along it [rad].

    atan2, not acos: acos loses half the digits near 0 and 180 degrees.

    Examples
    --------
    >>> math.degrees(wrap_between((1.0, 0.0, 0.0), (-1.0, 0.0, 0.0)))
    180.0
    """
    along = dot(before, after)
    across = add(after, before, -along)
    return math.atan2(math.sqrt(dot(across, across)), along)


@dataclass(frozen=True)
class Course:
    """Unit vectors of all parts of a line and the wrap at each of its contacts [rad]."""

    parts: tuple[Vec, ...]
    wraps: tuple[float, ...]
    lengths_m: tuple[float | None, ...]


def courses(rig: Rig) -> dict[str, Course]:
    """Return the course of every line.

    Parameters
    ----------
    rig : Rig

    Returns
    -------
    dict
        Line name -> Course; lengths are None in a rig without places.

    Raises
    ------
    RigRefusal
        INPUT where a turn given at a block contradicts the places or a neighbour's turn.

    Examples
    --------
    >>> from haulwright.mechanics.notation import parse_notation
    >>> [math.degrees(w) for w in courses(parse_notation("!truck.drum > tree > truck"))["winch line"].wraps]
    [180.0]
    """
    return {name: _course(rig, line) for name, line in rig.lines.items()}


def _course(rig: Rig, line: Line) -> Course:
    places = [rig.place(point) for point in line.points]
    steps = [add(b, a, -1.0) for a, b in pairwise(places)]
    drawn = tuple(unit(step) for step in steps)
    parts = list(drawn)
    fixed: dict[int, str] = {}
    for i in line.contacts:
        name = line.points[i].block
        turn = rig.blocks[name].turn_rad if name else None
        if name and turn is not None:
            _turn_parts(rig, line, drawn, parts, fixed, i, turn)
    wraps = tuple(wrap_between(parts[i - 1], parts[i]) for i in line.contacts)
    lengths = tuple(math.sqrt(dot(s, s)) if rig.placed else None for s in steps)
    return Course(tuple(parts), wraps, lengths)


def _turn_parts(
    rig: Rig, line: Line, drawn: tuple[Vec, ...], parts: list[Vec], fixed: dict[int, str], i: int, turn: float
) -> None:
    """Give the two parts at contact i the directions that make the stated wrap.

    A part between two fixed bodies takes the whole turn, since its direction moves nothing; otherwise the two parts
    spread by half the angle between them on either side of the line of travel.
    """
    at = line.points[i].label
    if rig.placed:
        raise RigRefusal(
            "INPUT",
            f"{at}: wrap or between is given, but the rig has places, which fix it. Leave one out.",
            (at,),
        )
    between = math.pi - turn
    still = [_fixed_part(rig, line, part) for part in (i - 1, i)]
    if still[0] != still[1]:
        new = (
            {1: _rotate(times(parts[i - 1], -1.0), between)} if still[1] else {0: _rotate(parts[i], between)}
        )
    elif dot(drawn[i - 1], drawn[i]) > 0.0:
        raise RigRefusal(
            "INPUT",
            f"{at}: a turn is given, but the line is drawn straight through. Change the order of the bodies.",
            (at,),
        )
    else:
        half = _sign_that_fits(drawn, parts, fixed, i, between) * between / 2.0
        new = {0: _rotate(drawn[i], half), 1: _rotate(drawn[i], -half)}
    for side, away in new.items():
        part = i - 1 + side
        along = times(away, -1.0) if side == 0 else away
        if part in fixed and math.dist(along, parts[part]) > 1e-9:
            raise RigRefusal(
                "INPUT",
                f"Part {part + 1} of {line.name} would need two directions: {fixed[part]} and {at} state different "
                "turns. Give places instead.",
                (fixed[part], at),
            )
        parts[part] = along
        fixed[part] = at


def _sign_that_fits(
    drawn: tuple[Vec, ...], parts: list[Vec], fixed: dict[int, str], i: int, between: float
) -> float:
    """Return the side on which the part before contact i already lies, so that a zigzag of equal turns closes."""
    if i - 1 not in fixed:
        return 1.0
    back = times(parts[i - 1], -1.0)
    left, right = (math.dist(_rotate(drawn[i], sign * between / 2.0), back) for sign in (1.0, -1.0))
    return 1.0 if left <= right else -1.0


def _fixed_part(rig: Rig, line: Line, part: int) -> bool:
    return all(rig.bodies[line.points[p].body].role == ANCHOR for p in (part, part + 1))


def _rotate(a: Vec, by_rad: float) -> Vec:
    c, s = math.cos(by_rad), math.sin(by_rad)
    return (c * a[0] - s * a[1], s * a[0] + c * a[1], a[2])
