"""Whether a rig is well formed: what needs neither motion nor forces to be refused."""

from __future__ import annotations

import math
from itertools import pairwise

from haulwright.errors import RigRefusal
from haulwright.mechanics.rig import FLOATING, LOAD, Rig, Rope
from haulwright.mechanics.stepped import check_stepped


def check(rig: Rig) -> None:
    """Refuse a rig that is not well formed: names, ends, lengths, one-way blocks (in that order).

    Parameters
    ----------
    rig : Rig

    Raises
    ------
    RigRefusal
        NO_LOAD, LOOSE, NO_WINCH, UNSUPPORTED, OPEN_END, ZERO_PART or INPUT.

    Examples
    --------
    >>> from haulwright.mechanics.notation import parse_notation
    >>> check(parse_notation("!truck.drum > tree > truck"))
    """
    _check_ends(rig)
    _check_input(rig)
    check_stepped(rig)
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
    drums = [line.drum for line in rig.lines.values() if line.drum]
    if not drums:
        raise RigRefusal("NO_WINCH", "No line goes to a winch, so nothing is hauled. End one line on a drum.")
    for drum in drums:
        if drums.count(drum) > 1:
            raise RigRefusal(
                "UNSUPPORTED",
                f"{drums.count(drum)} lines fall to {drum}; one drum takes one line. Give each line its own winch.",
                (drum,),
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
    for drum, winch in rig.winches.items():
        if winch.pull_N is not None and not (math.isfinite(winch.pull_N) and winch.pull_N > 0.0):
            raise RigRefusal(
                "INPUT", f"{drum}: line_pull = {winch.pull_N:g} N: give a force above 0.", (drum,)
            )
        if winch.speed_m_s is not None and not math.isfinite(winch.speed_m_s):
            raise RigRefusal("INPUT", f"{drum}: its speed is not a number. Give e.g. 3 m/min.", (drum,))
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
