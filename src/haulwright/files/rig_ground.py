"""Blocks that find their place on the ground, as a rig file describes them: straps, legs, and where the search starts."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from haulwright.errors import RigRefusal
from haulwright.files.rig_model import BlockModel, RigModel
from haulwright.mechanics.geometry import add, times
from haulwright.mechanics.rig import Line, Point, Rope, Vec


def check_blocks(model: RigModel) -> None:
    """Refuse blocks that do not say where they are, or say it twice.

    Raises
    ------
    RigRefusal
        INPUT, naming the block.
    """
    for name, block in model.blocks.items():
        if block.wrap is not None and block.between is not None:
            raise RigRefusal(
                "INPUT", f"{name}: wrap and between say the same thing twice. Keep one.", (name,)
            )
        said = [block.on is not None, block.floating, bool(block.strap)]
        if sum(said) != 1:
            raise RigRefusal(
                "INPUT",
                f"{name}: say where it is, once: {{on: body}}, {{strap: {{to, length}}}} or {{floating: true}}.",
                (name,),
            )
        if block.strap and model.mode != "ground":
            raise RigRefusal(
                "INPUT",
                f"{name} hangs on a strap and finds its place on the ground: write mode: ground at the top, and at: "
                "for every anchor and the load.",
                (name,),
            )
        for strap in block.strap or ():
            if not strap.length > 0.0:
                raise RigRefusal(
                    "INPUT", f"{name}: a strap of {strap.length:g} m. Give a length above 0.", (name,)
                )
        if block.floating and model.mode == "ground" and block.near is None and block.at is None:
            raise RigRefusal(
                "INPUT", f"{name} floats: say near: where the search for its place starts.", (name,)
            )


def straps(name: str, block: BlockModel, ends: list[Point]) -> Iterator[Line]:
    """Yield the straps of a block as lines without contact, from what holds them to the block."""
    used: list[str] = []
    for strap, end in zip(block.strap or (), ends, strict=True):
        told = f"strap {name}–{end.label}"
        used.append(told)
        if used.count(told) > 1:
            told = f"{told} {used.count(told)}"
        rope = None if strap.EA is None else Rope(strap.EA)
        yield Line(told, (end, Point(name, name)), length_m=strap.length, strap=True, rope=rope)


def starts(model: RigModel, given: Mapping[str, Vec]) -> dict[str, Vec]:
    """Return where the search starts for strapped blocks without ``near:``: off their straps, towards the rest.

    A block that hangs from another one starts off where that one starts, in whatever order they are listed.
    """
    found: dict[str, Vec] = {}
    rest = _middle(list(given.values()))
    while True:
        known = {**given, **found}
        left = {name: block for name, block in model.blocks.items() if name not in known}
        for name, block in left.items():
            legs = [(s.to.split(".")[0], s.length) for s in block.strap or ()]
            ends = [known[to] for to, _ in legs if to in known]
            if ends:
                found[name] = _off(_middle(ends), rest, min(length for _, length in legs))
        if not set(left) & set(found):
            return found


def _off(middle: Vec, rest: Vec, reach: float) -> Vec:
    """Return a place off the middle of some straps towards the rest, a little aside lest it is in line with them."""
    off = add(rest, middle, -1.0)
    away = math.sqrt(sum(x * x for x in off))
    if away <= 1e-9:
        return add(middle, (reach, 0.5 * reach, 0.0))
    return add(add(middle, times(off, reach / away)), (0.1 * reach, 0.05 * reach, 0.0))


def _middle(places: list[Vec]) -> Vec:
    x, y, z = (sum(axis) / len(places) for axis in zip(*places, strict=True))
    return (x, y, z)
