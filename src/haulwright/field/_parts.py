"""What the rules of resistance are made of: parts with their range, and the words said beside them."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from haulwright.field.published import Number, narrower
from haulwright.field.result import LeftOutRule
from haulwright.field.stuck import Body, Ground, StuckVehicle

MILITARY = "military mire and grade"
TRAINING = "training fractions"
HANDBOOK = "handbook rolling and mire"
FRACTIONS = "fractions and mire"
SHEETS = "trade sheets"
RIGHTING = "military righting"


@dataclass(frozen=True)
class Part:
    """One contribution: name, and its low, likely and high force [N] (below zero helps the pull).

    ``stays``: it is still there once the vehicle is out of its hole and over the step.
    """

    name: str
    low_N: float
    likely_N: float
    high_N: float
    stays: bool = True


@dataclass(frozen=True)
class Applied:
    """A rule that covers the case: its parts, citation, what it does not count, and whether it knows rolling."""

    name: str
    parts: tuple[Part, ...]
    source: str
    note: str = ""
    rolls: bool = True


Family = Callable[[StuckVehicle, Ground], Applied | LeftOutRule]


def of(body: Body) -> str:
    """Return the prefix of a body's parts; empty for the vehicle."""
    return f"{body.name}: " if body.name else ""


def share_of(name: str, number: Number, weight_N: float, stays: bool = True) -> Part:
    """Return a part that is a share of a weight."""
    return Part(name, number.low * weight_N, number.value * weight_N, number.high * weight_N, stays)


def fixed(name: str, force_N: float) -> Part:
    """Return a part without a range."""
    return Part(name, force_N, force_N, force_N)


def grade_sine(weight_N: float, ground: Ground) -> tuple[Part, ...]:
    """Return grade resistance by the sine of the slope; nothing on the level."""
    if ground.slope_rad == 0.0:
        return ()
    force_N = weight_N * math.sin(ground.rise_rad)
    return (fixed(f"grade {ground.direction} {math.degrees(ground.slope_rad):.0f}°", force_N),)


def depth_reason(body: Body, words: tuple[str, ...]) -> str:
    """Return why a rule knows nothing of how deep a body stands."""
    if body.sunk == "none":
        return f"it speaks of a mired vehicle only{', and the trailer is not' if body.name else ''}"
    return f"it has no figure for '{body.sunk}'; its depths are {', '.join(words)}"


def broad(ground: Ground) -> str:
    """Return what a broad word for the ground is taken as; empty for a published word."""
    words = narrower(ground.surface)
    return f"{ground.surface}: taken as anything from {words[0]} to {words[-1]}" if len(words) > 1 else ""


def credit(vehicle: StuckVehicle) -> str:
    """Return that a rule knows nothing of help; empty where there is none."""
    helped = vehicle.drive_helps or vehicle.opposite_direction
    return "no credit for driving along or for the way it came in" if helped else ""


def notes_of(*texts: str) -> str:
    """Return remarks as one text."""
    return "; ".join(text for text in texts if text)
