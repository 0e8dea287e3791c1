"""Published rules for the resistance of a stuck vehicle, each kept apart from the others.

A rule answers with its parts, or with the reason why it does not cover the case; it fills no gap of its own by guess.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from haulwright.field.published import Number, grade_per_degree, locked_wheels, mire, mire_reduction, rolling
from haulwright.field.result import LeftOutRule
from haulwright.field.stuck import Ground, StuckVehicle

MILITARY = "military mire and grade"
TRAINING = "training fractions"
HANDBOOK = "handbook rolling and mire"
FRACTIONS = "fractions and mire"
SHEETS = "trade sheets"

MIRE_SURFACES = ("shallow mud", "bog", "clay")
"""Surfaces of the training fractions that are a mire themselves, so that sinking into them is in the fraction."""

_GRADE_ENDS_deg = 45.0  # the rule of 1/60 per degree is printed for slopes up to here


@dataclass(frozen=True)
class Part:
    """One contribution: name, and its low, likely and high force [N] (below zero helps the pull)."""

    name: str
    low_N: float
    likely_N: float
    high_N: float


@dataclass(frozen=True)
class Applied:
    """A rule that covers the case: its parts, citation, and what it does not count."""

    name: str
    parts: tuple[Part, ...]
    source: str
    note: str = ""


Family = Callable[[StuckVehicle, Ground], Applied | LeftOutRule]


def physics(weight_N: float, rise_rad: float, rolling_share: float, mire_share: float = 0.0) -> float:
    """Return grade, rolling and mire resistance by statics [N].

    Parameters
    ----------
    weight_N : float
        Weight with load [N].
    rise_rad : float
        Slope along the pull, below zero downhill [rad].
    rolling_share : float
        Rolling resistance ÷ load on the wheels.
    mire_share : float
        Mire (and damage) resistance ÷ weight.

    Returns
    -------
    float
        ``W (sin(theta) + f cos(theta)) + m W`` [N].

    Raises
    ------
    ValueError
        If the slope is infinite. Nothing else is checked: give what :func:`haulwright.field.stuck.check` accepts.

    References
    ----------
    Statics of a body on a slope; f from engineering handbooks.

    Examples
    --------
    >>> round(physics(45e3, math.radians(15.0), 0.17) / 1e3, 2)
    19.04
    """
    return weight_N * (math.sin(rise_rad) + rolling_share * math.cos(rise_rad) + mire_share)


def military(vehicle: StuckVehicle, ground: Ground) -> Applied | LeftOutRule:
    """Apply the military mire and grade rule.

    Parameters
    ----------
    vehicle : StuckVehicle
        The vehicle.
    ground : Ground
        The ground; its surface does not enter.

    Returns
    -------
    Applied or LeftOutRule
        Left out for a vehicle that is not mired, or a depth word that is not its own.

    Raises
    ------
    ValueError
        If the slope is infinite. A rule does not check its inputs: :func:`haulwright.field.stuck.check` does.
    CatalogueRefusal
        ``UNKNOWN`` if the catalogue lacks a row of the rule.

    Notes
    -----
    Mire 1, 2, 3 times the weight at wheel, fender, cab depth; less 10 % when pulled out the way it came in, less
    40 % when it drives along, less 50 % for both (added, not multiplied); grade by the sine.

    References
    ----------
    US Army recovery manuals, from memory: catalogue, surfaces, ``mire-wheel`` and on. Sum below: after US Army
    lesson 63H34F01, 6000 kg gives 7200 kgf.

    Examples
    --------
    >>> rule = military(StuckVehicle(6000.0, sunk="fender", drive_helps=True), Ground("bog"))
    >>> [(part.name, round(part.likely_N / 9.80665)) for part in rule.parts]
    [('mire to the fender, less 40%', 7200)]
    """
    depths = mire("military")
    if vehicle.sunk not in depths:
        return LeftOutRule(MILITARY, _depth_reason(vehicle.sunk, tuple(depths)))
    depth = depths[vehicle.sunk]
    less, words = _reduction(vehicle)
    weight_N = vehicle.weight_N
    parts = (
        _share(f"mire to the {vehicle.sunk}{words}", depth, weight_N * (1.0 - less)),
        *_grade_sine(weight_N, ground),
    )
    notes = ["the surface does not enter"]
    if vehicle.wheels != "rolling":
        notes.append("locked wheels are not counted")
    return Applied(MILITARY, parts, depth.source, "; ".join(notes))


def _reduction(vehicle: StuckVehicle) -> tuple[float, str]:
    less = mire_reduction(vehicle.opposite_direction, vehicle.drive_helps)
    return (0.0, "") if less is None else (less.value, f", less {less.value:.0%}")


def training(vehicle: StuckVehicle, ground: Ground) -> Applied | LeftOutRule:
    """Apply the commonwealth training fractions with their grade rule.

    Parameters
    ----------
    vehicle, ground : StuckVehicle, Ground
        What is known of both.

    Returns
    -------
    Applied or LeftOutRule
        Left out where it has no fraction for the surface, for locked wheels, above 45°, or for a vehicle sunk in a
        surface that is not itself a mire.

    Raises
    ------
    CatalogueRefusal
        ``UNKNOWN`` if the catalogue lacks the row of the grade.

    Notes
    -----
    ``W / n`` by surface, and 1/60 of the weight per degree of slope.

    References
    ----------
    Commonwealth army training fractions (editions differ), from memory: catalogue, surfaces, ``commonwealth-…``.

    Examples
    --------
    >>> rule = training(StuckVehicle(60e3 / 9.80665), Ground("grass", math.radians(30.0), "up"))
    >>> [(part.name, round(part.likely_N / 1e3, 2)) for part in rule.parts]
    [('rolling on grass', 8.57), ('grade, degrees ÷ 60', 30.0)]
    """
    fraction = rolling(ground.surface, "training")
    if fraction is None:
        return LeftOutRule(TRAINING, f"it has no fraction for {ground.surface}")
    if vehicle.wheels != "rolling":
        return LeftOutRule(TRAINING, "its fractions are for wheels that turn")
    soft = ground.surface in MIRE_SURFACES
    if vehicle.sunk != "none" and not soft:
        return LeftOutRule(TRAINING, f"it knows no depth, and {ground.surface} is no mire of its own")
    degrees = math.degrees(ground.slope_rad)
    if degrees > _GRADE_ENDS_deg + 1e-9:
        return LeftOutRule(TRAINING, f"its grade rule ends at {_GRADE_ENDS_deg:g}°")
    weight_N = vehicle.weight_N
    parts = [_share(f"rolling on {ground.surface}", fraction, weight_N)]
    if ground.slope_rad > 0.0:
        sign = -1.0 if ground.direction == "down" else 1.0
        parts.append(_fixed("grade, degrees ÷ 60", sign * degrees * grade_per_degree().value * weight_N))
    note = "the depth does not enter: deep mire asks for more" if vehicle.sunk != "none" else ""
    return Applied(TRAINING, tuple(parts), fraction.source, _credit(note, vehicle))


def handbook(vehicle: StuckVehicle, ground: Ground) -> Applied | LeftOutRule:
    """Apply statics with handbook rolling coefficients, trade-sheet mire and locked wheels.

    Parameters
    ----------
    vehicle, ground : StuckVehicle, Ground
        What is known of both.

    Returns
    -------
    Applied or LeftOutRule
        Left out where no handbook coefficient is known for the surface, or for a depth word not its own.

    Raises
    ------
    QuantityRefusal
        ``WHEELS`` for an unknown word for the wheels.
    ValueError, CatalogueRefusal
        As :func:`military`.

    Notes
    -----
    ``W (sin(theta) + f cos(theta)) + m W + d W``: f by handbook, m by depth, d by locked wheels.

    References
    ----------
    Engineering handbooks, some from memory, and towing trade sheets, from memory; each part's row is cited.

    Examples
    --------
    >>> rolling_part, = handbook(StuckVehicle(100e3 / 9.80665), Ground("sand")).parts
    >>> [round(force_N / 1e3, 1) for force_N in (rolling_part.low_N, rolling_part.likely_N, rolling_part.high_N)]
    [10.0, 27.5, 40.0]
    """
    return _statics(HANDBOOK, "handbook", vehicle, ground)


def fractions(vehicle: StuckVehicle, ground: Ground) -> Applied | LeftOutRule:
    """Apply statics with the training surface fractions, trade-sheet mire and locked wheels.

    Parameters
    ----------
    vehicle, ground : StuckVehicle, Ground
        What is known of both.

    Returns
    -------
    Applied or LeftOutRule
        Left out where there is no fraction for the surface, or for a depth word not its own.

    Raises
    ------
    QuantityRefusal, ValueError, CatalogueRefusal
        As :func:`handbook`.

    Notes
    -----
    As :func:`handbook`, f by training fraction: the sum in field use, which counts a soft surface and the mire on
    top of it, and so reads high.

    References
    ----------
    Common practice, no source for the sum. Its numbers as :func:`training` and the trade sheets, from memory.

    Examples
    --------
    >>> rule = fractions(StuckVehicle(45e3 / 9.80665, sunk="rim"), Ground("road"))
    >>> round(sum(part.likely_N for part in rule.parts) / 1e3, 2)
    35.55
    """
    return _statics(FRACTIONS, "training", vehicle, ground)


def sheets(vehicle: StuckVehicle, ground: Ground) -> Applied | LeftOutRule:
    """Apply the trade sheets with their own rolling share for hard and for soft ground.

    Parameters
    ----------
    vehicle, ground : StuckVehicle, Ground
        What is known of both.

    Returns
    -------
    Applied or LeftOutRule
        Left out where the sheets have no share for the surface, or for a depth word not its own.

    Raises
    ------
    QuantityRefusal, ValueError, CatalogueRefusal
        As :func:`handbook`.

    Notes
    -----
    As :func:`handbook`, f by trade sheet.

    References
    ----------
    Towing trade resistance sheets, from memory: catalogue, surfaces, ``trade-…``.

    Examples
    --------
    >>> rule = sheets(StuckVehicle(30e3 / 9.80665), Ground("road"))
    >>> [(part.name, round(part.likely_N / 1e3, 2)) for part in rule.parts]
    [('rolling on road', 3.0)]
    """
    return _statics(SHEETS, "trade", vehicle, ground)


def _statics(name: str, table: str, vehicle: StuckVehicle, ground: Ground) -> Applied | LeftOutRule:
    coefficient = rolling(ground.surface, table)
    if coefficient is None:
        return LeftOutRule(name, f"it has no rolling coefficient for {ground.surface}")
    depths = mire("trade")
    if vehicle.sunk != "none" and vehicle.sunk not in depths:
        return LeftOutRule(name, _depth_reason(vehicle.sunk, tuple(depths)))
    weight_N = vehicle.weight_N
    level_N = weight_N * math.cos(ground.slope_rad)
    parts = [_share(f"rolling on {ground.surface}", coefficient, level_N), *_grade_sine(weight_N, ground)]
    sources = [coefficient.source]
    if vehicle.sunk != "none":
        parts.append(_share(f"mire to the {vehicle.sunk}", depths[vehicle.sunk], weight_N))
        sources.append(depths[vehicle.sunk].source)
    if vehicle.wheels != "rolling":
        locked = locked_wheels(vehicle.wheels)
        parts.append(_share(f"wheels {vehicle.wheels}", locked, weight_N))
        sources.append(locked.source)
    return Applied(name, tuple(parts), "; ".join(dict.fromkeys(sources)), _credit("", vehicle))


def _share(name: str, number: Number, weight_N: float) -> Part:
    return Part(name, number.low * weight_N, number.value * weight_N, number.high * weight_N)


def _fixed(name: str, force_N: float) -> Part:
    return Part(name, force_N, force_N, force_N)


def _grade_sine(weight_N: float, ground: Ground) -> tuple[Part, ...]:
    if ground.slope_rad == 0.0:
        return ()
    return (
        _fixed(
            f"grade {ground.direction} {math.degrees(ground.slope_rad):.0f}°",
            weight_N * math.sin(ground.rise_rad),
        ),
    )


def _depth_reason(sunk: str, words: tuple[str, ...]) -> str:
    if sunk == "none":
        return "it speaks of a mired vehicle only"
    return f"it has no figure for '{sunk}'; its depths are {', '.join(words)}"


def _credit(note: str, vehicle: StuckVehicle) -> str:
    helped = vehicle.drive_helps or vehicle.opposite_direction
    extra = "no credit for driving along or for the way it came in" if helped else ""
    return "; ".join(text for text in (note, extra) if text)


FAMILIES: dict[str, Family] = {
    MILITARY: military,
    TRAINING: training,
    HANDBOOK: handbook,
    FRACTIONS: fractions,
    SHEETS: sheets,
}
"""Name of each rule and its function, in the order they are shown."""
