"""A line led through a rig by the points it meets, as a change of the mapping that describes the rig."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from itertools import pairwise
from typing import Any

from haulwright.errors import RigRefusal
from haulwright.files.rig_sketch import sketch_rig
from haulwright.mechanics.names import nearest
from haulwright.mechanics.rig import FLOATING, Rig

DRUM, LINE = "winch", "line"


def led(mapping: Mapping[str, Any], points: Sequence[str], *, another_winch: bool = False) -> dict[str, Any]:
    """Return the mapping of a rig with one more line.

    Parameters
    ----------
    mapping : mapping
        As a rig file holds it, with places.
    points : sequence of str
        Bodies and blocks in the order the line meets them. Where no winch is there yet the first carries it, and the line
        is the winch's; else it is made fast there. Between the ends a body gets a block of its own, numbered B1, B2 …;
        at the end a block is its becket.
    another_winch : bool
        The first point carries one more winch beside those that are there. Nothing is stated of it: what it pulls is the
        user's to say.

    Raises
    ------
    RigRefusal
        ``OPEN_END`` for fewer than two points, ``ZERO_PART`` for the same body twice in a row, ``INPUT`` for a line that
        ends on the drum of another; ``UNKNOWN`` name.

    Notes
    -----
    A line that goes to no drum and holds a free block gets the length of its way as it stands, to the centimetre.

    Examples
    --------
    >>> rig = {"anchors": {"oak": {"at": ["0 m", "0 m"]}}, "load": {"name": "truck", "at": ["9 m", "0 m"]}}
    >>> found = led(rig, ["truck", "oak", "truck"])
    >>> found["blocks"], found["winch"]
    ({'B1': {'on': 'oak'}}, {'on': 'truck'})
    >>> found["lines"]
    {'winch line': {'standing': 'truck', 'through': ['B1'], 'fall': 'winch'}}
    >>> led(found, ["oak", "truck"], another_winch=True)["winches"]
    {'winch': {'on': 'truck'}, 'winch 2': {'on': 'oak'}}
    """
    rig = sketch_rig(mapping)
    _check(rig, points)
    blocks, through = _turned(rig, mapping, points[1:-1])
    winches = _winches(mapping)
    hauled = another_winch or not winches
    drum = _drum(winches)
    line: dict[str, Any] = {"standing": _end(rig, points[-1])}
    if through:
        line["through"] = through[::-1]
    line |= {"fall": drum} if hauled else {"to": _end(rig, points[0])}
    held = [rig.bodies[_body(rig, name)] for name in points]
    if not hauled and rig.placed and any(body.role == FLOATING for body in held):
        line["length"] = f"{sum(math.dist(a.at, b.at) for a, b in pairwise(held)):.2f} m"
    found = dict(mapping) | {"blocks": {**(mapping.get("blocks") or {}), **blocks}}
    found["lines"] = {**(mapping.get("lines") or {}), _name(mapping, hauled): line}
    carried = {"on": _body(rig, points[0])}
    if not hauled:
        return found
    if not winches:
        return found | {"winch": carried}
    found.pop("winch", None)
    return found | {"winches": {**winches, drum: carried}}


def _winches(mapping: Mapping[str, Any]) -> dict[str, Any]:
    """The winches by the names lines fall to: one alone is called winch."""
    return dict(mapping.get("winches") or ({DRUM: mapping["winch"]} if mapping.get("winch") else {}))


def _drum(winches: Mapping[str, Any]) -> str:
    if not winches:
        return DRUM
    number = len(winches) + 1
    while (name := f"{DRUM} {number}") in winches:
        number += 1
    return name


def _check(rig: Rig, points: Sequence[str]) -> None:
    for name in points:
        if name not in rig.bodies and name not in rig.blocks:
            known = [*rig.bodies, *rig.blocks]
            raise RigRefusal("UNKNOWN", f"There is no {name!r} in this rig.{nearest(name, known)}", (name,))
    if len(points) < 2:
        raise RigRefusal("OPEN_END", "A line has two ends: lead it to one point more.", tuple(points))
    for a, b in pairwise(points):
        if _body(rig, a) == _body(rig, b):
            raise RigRefusal(
                "ZERO_PART",
                f"The line goes from {a} to {b}, which is the same place. Lead it elsewhere.",
                (b,),
            )


def _body(rig: Rig, name: str) -> str:
    return name if name in rig.bodies else rig.blocks[name].body


def _turned(rig: Rig, mapping: Mapping[str, Any], names: Sequence[str]) -> tuple[dict[str, Any], list[str]]:
    """The blocks that are new, and the blocks the line turns over."""
    taken = {*rig.bodies, *(mapping.get("blocks") or {})}
    blocks: dict[str, Any] = {}
    through = []
    for name in names:
        if name not in rig.blocks:
            number = 1
            while (made := f"B{number}") in taken:
                number += 1
            taken.add(made)
            blocks[made], name = {"on": name}, made
        through.append(name)
    return blocks, through


def _end(rig: Rig, name: str) -> str:
    return name if name in rig.bodies else f"{name}.becket"


def _name(mapping: Mapping[str, Any], hauled: bool) -> str:
    lines = mapping.get("lines") or {}
    stem = "winch line" if hauled else LINE
    number = len(lines) + 1
    name = stem if hauled else f"{stem} {number}"
    while name in lines:
        name = f"{stem} {number}"
        number += 1
    return name
