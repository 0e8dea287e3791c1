"""What a rig is: bodies, blocks, lines and a load; and the checks that need no forces.

A line is an ordered path of points from its standing end to its fall (the end on a drum) or its other made-fast end.
Interior points are contacts: the line turns over a block there. Every point lies on a body; a floating block is a body
of its own. Everything is immutable; positions are 3-vectors [m], in a rig drawn without places they are stations on the
x axis of which only the order counts.
"""

from __future__ import annotations

import difflib
import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from itertools import combinations, pairwise

from haulwright.errors import RigRefusal
from haulwright.mechanics.sheave import Law

Vec = tuple[float, float, float]
ANCHOR, LOAD, FLOATING = "anchor", "load", "floating"


@dataclass(frozen=True)
class Body:
    """Something lines pull on: an anchor (does not move), the load, or a floating block.

    Attributes
    ----------
    name : str
    role : str
        ``anchor``, ``load`` or ``floating``.
    at : Vec
        Place [m], or station.
    eyes : mapping name -> Vec
        Offsets of eyes from the place [m].
    """

    name: str
    role: str
    at: Vec
    eyes: Mapping[str, Vec] = field(default_factory=dict)


@dataclass(frozen=True)
class Block:
    """Something a line turns round, fixed to a body.

    Attributes
    ----------
    name, body : str
    eye : str or None
    law : Law or None
        Its own friction law; None takes the rig's.
    turn_rad : float or None
        Wrap given by the rig file [rad] where there are no places.
    seized : bool
    wll_N : float or None
    """

    name: str
    body: str
    eye: str | None = None
    law: Law | None = None
    turn_rad: float | None = None
    seized: bool = False
    wll_N: float | None = None


@dataclass(frozen=True)
class Point:
    """One point of a line: a body, one of its eyes, a block (contact) or a block's becket (end)."""

    body: str
    label: str
    block: str | None = None
    eye: str | None = None


@dataclass(frozen=True)
class Rope:
    """What is known of the rope of a line; None where it is not given.

    Attributes
    ----------
    EA_N : float or None
        Axial stiffness: modulus × metallic (or fibre) area [N].
    break_N : float or None
        Breaking force [N].
    diameter_m : float or None
    """

    EA_N: float | None = None
    break_N: float | None = None
    diameter_m: float | None = None


@dataclass(frozen=True)
class Line:
    """One rope. ``points`` run from the standing end to the fall; ``drum`` is the winch's name or None.

    Attributes
    ----------
    name : str
    points : tuple of Point
    drum : str or None
    length_m : float or None
        Fixed length of a line without a drum, from end to end [m]; used where blocks find their place.
    strap : bool
        True for a strap or leg a block hangs by.
    rope : Rope or None
        Its rope, for stretch and stored energy.
    stated_m : float or None
        How much line there is [m], held against what the parts need.
    """

    name: str
    points: tuple[Point, ...]
    drum: str | None = None
    length_m: float | None = None
    strap: bool = False
    rope: Rope | None = None
    stated_m: float | None = None

    @property
    def contacts(self) -> range:
        """Indices of the interior points."""
        return range(1, len(self.points) - 1)


@dataclass(frozen=True)
class Rig:
    """Lines, blocks, anchors and load together.

    Attributes
    ----------
    name : str
    bodies, blocks, lines : mapping by name
    direction : Vec
        Unit vector along which the load should move.
    resistance_N : float or None
        Resistance of the load along its travel [N]; None if not given.
    law : Law or None
        Friction law of every block without its own; None if no friction is given.
    mode : str
        ``line`` or ``ground``.
    path : str
        One-line notation, empty where the rig came from a file.
    placed : bool
        True where bodies have coordinates in metres.
    unused : tuple of str
        What the rig file gives and no part of the solver uses, to be told.
    """

    name: str
    bodies: Mapping[str, Body]
    blocks: Mapping[str, Block]
    lines: Mapping[str, Line]
    direction: Vec
    resistance_N: float | None = None
    law: Law | None = None
    mode: str = "line"
    path: str = ""
    placed: bool = False
    unused: tuple[str, ...] = ()

    @property
    def load(self) -> Body:
        """The body that is to be pulled."""
        return next(body for body in self.bodies.values() if body.role == LOAD)

    @property
    def floating(self) -> tuple[Body, ...]:
        """The floating blocks."""
        return tuple(body for body in self.bodies.values() if body.role == FLOATING)

    @property
    def finds_places(self) -> bool:
        """Whether blocks are free on the ground, so that their places follow from the balance."""
        return self.mode == "ground" and bool(self.floating)

    @property
    def hauling_line(self) -> Line:
        """The line that goes to the drum."""
        return next(line for line in self.lines.values() if line.drum)

    @property
    def winch_on(self) -> str:
        """Name of the body that carries the drum."""
        return self.hauling_line.points[-1].body

    @property
    def contacts_from_drum(self) -> tuple[str, ...]:
        """Blocks in the order the lines meet them from the drum, one entry per contact."""
        lines = sorted(self.lines.values(), key=lambda line: line.drum is None)
        return tuple(line.points[i].block or "" for line in lines for i in reversed(line.contacts))

    def place(self, point: Point) -> Vec:
        """Return where a point lies [m]."""
        body = self.bodies[point.body]
        eye = point.eye or (self.blocks[point.block].eye if point.block else None)
        if eye is None:
            return body.at
        offset = body.eyes[eye]
        return (body.at[0] + offset[0], body.at[1] + offset[1], body.at[2] + offset[2])


def nearest(name: str, known: list[str]) -> str:
    """Return `` Did you mean …?`` for a misspelt name, or the list of what there is.

    Examples
    --------
    >>> nearest("oka", ["oak", "truck"])
    ' Did you mean oak?'
    """
    match = difflib.get_close_matches(name, known, n=1, cutoff=0.5)
    return f" Did you mean {match[0]}?" if match else f" There is: {', '.join(known) or 'nothing'}."


def similar_names(names: list[str]) -> list[tuple[str, str]]:
    """Return pairs of names so alike that one may be a slip; names that differ by a number are meant.

    Examples
    --------
    >>> similar_names(["truck", "truk", "oak", "oak 2"])
    [('truck', 'truk')]
    """
    letters = {name: "".join(c for c in name.lower() if c.isalpha()) for name in names}
    return [
        (a, b)
        for a, b in combinations(names, 2)
        if letters[a] != letters[b]
        and min(len(letters[a]), len(letters[b])) >= 3
        and difflib.SequenceMatcher(None, letters[a], letters[b]).ratio() > 0.8
    ]


def check(rig: Rig) -> None:
    """Refuse a rig that is not well formed: names, ends, lengths, one-way blocks (in that order).

    Parameters
    ----------
    rig : Rig

    Raises
    ------
    RigRefusal
        NO_LOAD, LOOSE, NO_WINCH, UNSUPPORTED, OPEN_END, ZERO_PART, INPUT or ONE_WAY.

    Examples
    --------
    >>> from haulwright.mechanics.notation import parse_notation
    >>> check(parse_notation("!truck.drum > tree > truck"))
    """
    _check_ends(rig)
    _check_input(rig)
    _check_lengths(rig)
    _check_used(rig)


def _check_ends(rig: Rig) -> None:
    if not any(body.role == LOAD for body in rig.bodies.values()):
        raise RigRefusal(
            "NO_LOAD",
            "Nothing is connected to be pulled. Mark the load (! in the one-line notation, load: in a file).",
        )
    touched = {point.body for line in rig.lines.values() for point in line.points}
    if rig.load.name not in touched:
        raise RigRefusal(
            "NO_LOAD",
            f"Nothing is connected to be pulled: there is no line on {rig.load.name}.",
            (rig.load.name,),
        )
    for body in rig.floating:
        if body.name not in touched:
            raise RigRefusal(
                "LOOSE", f"There is no line on {body.name}. Lead a line to it or leave it out.", (body.name,)
            )
    drums = [line.name for line in rig.lines.values() if line.drum]
    if not drums:
        raise RigRefusal("NO_WINCH", "No line goes to a winch, so nothing is hauled. End one line on a drum.")
    if len(drums) > 1:
        raise RigRefusal(
            "UNSUPPORTED",
            f"{len(drums)} lines go to a drum; this version solves one winch. Give one.",
            tuple(drums),
        )
    for line in rig.lines.values():
        if len(line.points) < 2:
            raise RigRefusal(
                "OPEN_END",
                f"Line {line.name} is made fast at one end only. Give its other end.",
                (line.name,),
            )


def _check_input(rig: Rig) -> None:
    if not all(math.isfinite(x) for x in rig.direction) or not any(rig.direction):
        raise RigRefusal(
            "INPUT",
            "The load's direction is zero or not a number. Give a direction, or toward: a body.",
            (rig.load.name,),
        )
    if rig.resistance_N is not None and not (math.isfinite(rig.resistance_N) and rig.resistance_N > 0.0):
        raise RigRefusal(
            "INPUT", f"resistance = {rig.resistance_N:g} N: give a force above 0.", (rig.load.name,)
        )
    for body in rig.bodies.values():
        if not all(math.isfinite(x) for x in body.at):
            raise RigRefusal(
                "INPUT", f"{body.name}: its place is not a number. Give x and y in metres.", (body.name,)
            )
    _check_ropes(rig)
    for block in rig.blocks.values():
        if block.turn_rad is not None and not 0.0 <= block.turn_rad <= math.pi:
            raise RigRefusal(
                "INPUT",
                f"{block.name}: wrap {math.degrees(block.turn_rad):g} degrees. Give 0 to 180.",
                (block.name,),
            )


def _check_ropes(rig: Rig) -> None:
    for line in rig.lines.values():
        rope = line.rope or Rope()
        for what, value, unit, wanted in (
            ("EA", rope.EA_N, "N", "force"),
            ("break", rope.break_N, "N", "force"),
            ("diameter", rope.diameter_m, "m", "length"),
            ("length", line.stated_m, "m", "length"),
        ):
            if value is not None and not (math.isfinite(value) and value > 0.0):
                text = f"{line.name}: {what} {value:g} {unit}. Give a {wanted} above 0."
                raise RigRefusal("INPUT", text, (line.name,))


def _check_used(rig: Rig) -> None:
    used = {point.block for line in rig.lines.values() for point in line.points}
    for block in rig.blocks.values():
        if block.name not in used and rig.bodies[block.body].role != FLOATING:
            raise RigRefusal(
                "LOOSE",
                f"There is no line on {block.name}. Lead a line to it or leave it out.",
                (block.name,),
            )


def _check_lengths(rig: Rig) -> None:
    for line in rig.lines.values():
        for a, b in pairwise(line.points):
            if math.dist(rig.place(a), rig.place(b)) < 1e-9:
                raise RigRefusal(
                    "ZERO_PART",
                    f"Part {a.label}–{b.label} of {line.name} has no length: both points are at one place. "
                    "Give the bodies an order or places, or lead the line over something between.",
                    (line.name, a.label, b.label),
                )
