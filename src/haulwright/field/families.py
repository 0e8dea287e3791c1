"""Published rules for the resistance of a stuck vehicle, each kept apart from the others.

A rule answers with its parts, or with the reason why it does not cover the case; it fills no gap of its own by guess.
"""

from __future__ import annotations

import math

from haulwright.field._parts import (
    FRACTIONS,
    HANDBOOK,
    MILITARY,
    RIGHTING,
    SHEETS,
    TRAINING,
    Applied,
    Family,
    Part,
    broad,
    credit,
    depth_reason,
    fixed,
    grade_sine,
    notes_of,
    of,
    share_of,
)
from haulwright.field.by_statics import fractions, handbook, sheets
from haulwright.field.by_statics import physics as physics
from haulwright.field.published import (
    Number,
    best_grip,
    grade_per_degree,
    mire,
    mire_reduction,
    righting,
    rolling,
)
from haulwright.field.result import LeftOutRule
from haulwright.field.stuck import Body, Ground, StuckVehicle

__all__ = [
    "FAMILIES",
    "FRACTIONS",
    "HANDBOOK",
    "MILITARY",
    "MIRE_SURFACES",
    "RIGHTING",
    "SHEETS",
    "TRAINING",
    "Applied",
    "Family",
    "Part",
    "fractions",
    "handbook",
    "military",
    "physics",
    "righted",
    "sheets",
    "training",
]

MIRE_SURFACES = ("shallow mud", "bog", "clay", "mud")
"""Surfaces of the training fractions that are a mire themselves, so that sinking into them is in the fraction."""

_GRADE_ENDS_deg = 45.0  # the rule of 1/60 per degree is printed for slopes up to here


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
    parts: list[Part] = []
    for body in vehicle.bodies:
        if body.sunk not in depths:
            return LeftOutRule(MILITARY, depth_reason(body, tuple(depths)))
        parts.append(_military_mire(vehicle, body, depths[body.sunk]))
    notes = ["the surface does not enter"]
    if any(body.locked or body.flats for body in vehicle.bodies):
        notes.append("wheels that do not turn and flat tyres are not counted")
    parts += grade_sine(vehicle.weight_N, ground)
    notes += _military_help(vehicle, depths[vehicle.sunk])
    return Applied(MILITARY, tuple(parts), depths[vehicle.sunk].source, "; ".join(notes), rolls=False)


def _military_mire(vehicle: StuckVehicle, body: Body, depth: Number) -> Part:
    """Return the mire of one body; at the high end its own drive gives nothing."""
    helps = vehicle.drive_helps and not body.name
    less = mire_reduction(vehicle.opposite_direction, helps)
    least = mire_reduction(vehicle.opposite_direction, False)
    words = "" if less is None else f", less {less.value:.0%}"
    left, most = (1.0 - (one.value if one else 0.0) for one in (less, least))
    weight_N = body.weight_N
    return Part(
        f"{of(body)}mire to the {body.sunk}{words}",
        depth.low * weight_N * left,
        depth.value * weight_N * left,
        depth.high * weight_N * most,
        stays=False,
    )


def _military_help(vehicle: StuckVehicle, depth: Number) -> list[str]:
    power = mire_reduction(False, True)
    if not vehicle.drive_helps or power is None:
        return []
    notes = ["the high end counts no help of its own drive"]
    taken, most = power.value * depth.value, best_grip()
    if taken > most.high:
        notes.append(
            f"the help it prints is {taken:.0%} of the weight, more than tyres ever grip ({most.high:.0%} at best): "
            "go by the high end"
        )
    return notes


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
    bodies = vehicle.bodies
    if any(body.locked or body.flats for body in bodies):
        return LeftOutRule(TRAINING, "its fractions are for sound wheels that turn")
    sunk = any(body.sunk != "none" for body in bodies)
    if sunk and ground.surface not in MIRE_SURFACES:
        return LeftOutRule(TRAINING, f"it knows no depth, and {ground.surface} is no mire of its own")
    degrees = math.degrees(ground.slope_rad)
    if degrees > _GRADE_ENDS_deg + 1e-9:
        return LeftOutRule(TRAINING, f"its grade rule ends at {_GRADE_ENDS_deg:g}°")
    parts = [share_of(f"{of(body)}rolling on {ground.surface}", fraction, body.weight_N) for body in bodies]
    if ground.slope_rad > 0.0:
        sign = -1.0 if ground.direction == "down" else 1.0
        force_N = sign * degrees * grade_per_degree().value * vehicle.weight_N
        parts.append(fixed("grade, degrees ÷ 60", force_N))
    note = "the depth does not enter: deep mire asks for more" if sunk else ""
    return Applied(TRAINING, tuple(parts), fraction.source, notes_of(note, broad(ground), credit(vehicle)))


def righted(vehicle: StuckVehicle) -> Applied:
    """Return the pull that rights a vehicle lying on its side or roof.

    Parameters
    ----------
    vehicle : StuckVehicle
        The vehicle.

    Returns
    -------
    Applied
        To set it on its wheels again; no figure for dragging it as it lies was found.

    Raises
    ------
    CatalogueRefusal
        ``UNKNOWN`` if the catalogue lacks the row.

    References
    ----------
    US Army recovery manuals, from memory: catalogue, surfaces, ``overturned``.

    Examples
    --------
    >>> part, = righted(StuckVehicle(2000.0, lies="on its side")).parts
    >>> round(part.likely_N / 9.80665)
    1000
    """
    number = righting()
    part = share_of("setting it on its wheels", number, vehicle.own_weight_N, stays=False)
    note = "rights it only; what dragging it as it lies asks is in no rule here"
    return Applied(RIGHTING, (part,), number.source, note, rolls=False)


FAMILIES: dict[str, Family] = {
    MILITARY: military,
    TRAINING: training,
    HANDBOOK: handbook,
    FRACTIONS: fractions,
    SHEETS: sheets,
}
"""Name of each rule and its function, in the order they are shown."""
