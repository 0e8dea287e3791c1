"""A named rig with the names of this site in place of its own: oak for the anchor, wagon for the load."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace

from haulwright.mechanics.notation import BEYOND
from haulwright.mechanics.rig import Block, Body, Line, Point, Rig


def bind(rig: Rig, names: Mapping[str, str]) -> Rig:
    """Return the rig with its bodies renamed, its blocks, points and one-line path too.

    Parameters
    ----------
    rig : Rig
        A named rig.
    names : mapping old -> new
        Bodies left out keep their names.

    Returns
    -------
    Rig

    Examples
    --------
    >>> from haulwright.mechanics.notation import parse_notation
    >>> bind(parse_notation("!O.drum > X > O"), {"O": "wagon", "X": "oak"}).path
    '!wagon.drum > oak > wagon'
    """

    def new(name: str) -> str:
        for old, given in names.items():
            if name == old or name.startswith((f"{old} ", f"{old}.", f"{old}'", f"{old}#")):
                return given + name[len(old) :]
        return name

    def point(old: Point) -> Point:
        return replace(
            old, body=new(old.body), label=new(old.label), block=None if old.block is None else new(old.block)
        )

    def line(old: Line) -> Line:
        return replace(old, points=tuple(point(p) for p in old.points))

    bodies: dict[str, Body] = {new(n): replace(b, name=new(n)) for n, b in rig.bodies.items()}
    blocks: dict[str, Block] = {
        new(n): replace(b, name=new(n), body=new(b.body)) for n, b in rig.blocks.items()
    }
    path = _path(rig.path, names)
    if path and names.get(BEYOND, BEYOND) != BEYOND:  # the name that told the order is gone
        stations = sorted(bodies.values(), key=lambda body: body.at[0])
        path += f" | order {' '.join(body.name for body in stations)}"
    return replace(
        rig,
        bodies=bodies,
        blocks=blocks,
        lines={name: line(old) for name, old in rig.lines.items()},
        path=path,
    )


def _path(path: str, names: Mapping[str, str]) -> str:
    """Return the one-line path with whole words replaced, longest names first."""
    if not names or not path:
        return path
    words = "|".join(re.escape(name) for name in sorted(names, key=len, reverse=True))
    return re.sub(rf"(?<![\w.])({words})(?![\w])", lambda found: names[found.group(1)], path)
