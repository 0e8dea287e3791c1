"""A rig said in one line of notation, where it can be."""

from __future__ import annotations

import re
from collections.abc import Iterator

from haulwright.errors import RigRefusal
from haulwright.mechanics.notation import parse_notation
from haulwright.mechanics.rig import ANCHOR, FLOATING, LOAD, Line, Point, Rig

_PLAIN = re.compile(r"[^!~@.>;|,]+")


def notation_of(rig: Rig) -> str:
    """Return the path of a rig in one-line notation: what is led where, without places, friction or gear.

    Parameters
    ----------
    rig : Rig

    Raises
    ------
    RigRefusal
        ``NOT_IN_NOTATION``: a strap, an eye, a stepped drum, or a name that holds a sign of the notation.

    Notes
    -----
    The line is read again before it is returned: it must lead the same lines over the same blocks. Bodies of a rig with
    places stand in the order in which they lie along the pull, which ``| order`` says where it is not the usual one.

    Examples
    --------
    >>> from haulwright.mechanics.tackles import named_rig
    >>> notation_of(named_rig("stacked two-parts"))
    'X.drum > ~M > X ; ~M > !O > X'
    >>> from dataclasses import replace
    >>> notation_of(replace(named_rig("stacked two-parts"), path=""))
    'X.drum > ~M > X ; ~M > !O > X'
    """
    if rig.path:
        return rig.path
    _check(rig)
    marked: set[str] = set()
    lines = sorted(rig.lines.values(), key=lambda line: line.drum is None)
    text = " ; ".join(" > ".join(_tokens(rig, line, marked)) for line in lines)
    order = _order(rig)
    again = parse_notation(text)
    if sorted(again.bodies, key=lambda name: again.bodies[name].at) != order:
        text = f"{text} | order {' '.join(order)}"
        again = parse_notation(text)
    if _led(again) != _led(rig):
        raise _cannot(f"{rig.name}: its lines cannot be told apart in one line", ())
    return text


def _check(rig: Rig) -> None:
    for line in rig.lines.values():
        if line.strap:
            raise _cannot(f"{line.name} is a strap", (line.points[-1].body,))
        if line.step:
            raise _cannot(f"{line.name} is wound on a stepped drum", (line.name,))
        for point in line.points:
            eye = point.eye or (
                rig.blocks[point.block].eye if point.block is not None and point.block in rig.blocks else None
            )
            if eye is not None:
                raise _cannot(f"{line.name} uses the eye {eye} of {point.body}", (point.body,))
    for name in (*rig.bodies, *rig.blocks):
        if not _PLAIN.fullmatch(name) or name != name.strip():
            raise _cannot(f"the name {name!r} holds a sign of the notation", (name,))


def _cannot(why: str, where: tuple[str, ...]) -> RigRefusal:
    return RigRefusal(
        "NOT_IN_NOTATION", f"This rig cannot be said in one line: {why}. Keep it as a rig file.", where
    )


def _tokens(rig: Rig, line: Line, marked: set[str]) -> Iterator[str]:
    """The points of a line from the drum; each role is marked where its body is met first."""
    for i, point in enumerate(reversed(line.points)):
        role = rig.bodies[point.body].role
        first = point.body not in marked
        marked.add(point.body)
        mark = "!" if role == LOAD and first else "~" if role == FLOATING and (first or i == 0) else ""
        yield mark + _point(rig, point) + (".drum" if line.drum and i == 0 else "")


def _point(rig: Rig, point: Point) -> str:
    if point.block is None or (point.block == point.body and rig.bodies[point.body].role == FLOATING):
        return point.body
    turned = not point.label.endswith(".becket")
    alone = [name for name, block in rig.blocks.items() if block.body == point.body] == [point.block]
    if turned and alone and point.block == point.body:
        return point.body
    return f"{point.block}@{point.body}"


def _order(rig: Rig) -> list[str]:
    """The bodies that lines meet along the pull, the foremost first."""
    met = {point.body for line in rig.lines.values() for point in line.points}

    def ahead(name: str) -> float:
        return -sum(a * d for a, d in zip(rig.bodies[name].at, rig.direction, strict=True))

    roles = {ANCHOR: 0, FLOATING: 1, LOAD: 2}
    return sorted(sorted(met), key=lambda name: (round(ahead(name), 6), roles[rig.bodies[name].role]))


def _led(rig: Rig) -> list[tuple[bool, tuple[tuple[str, str | None, bool], ...]]]:
    """What is led where, whatever lines and blocks are called."""
    numbers: dict[str, str] = {}
    found = []
    for line in sorted(rig.lines.values(), key=lambda line: line.drum is None):
        stops = []
        for i, point in enumerate(line.points):
            block = None if point.block is None else numbers.setdefault(point.block, f"{len(numbers)}")
            stops.append((point.body, block, i in line.contacts))
        found.append((line.drum is not None, tuple(stops)))
    return found
