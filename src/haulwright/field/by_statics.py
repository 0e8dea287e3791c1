"""Resistance by statics: grade, rolling, mire, wheels that do not turn, with the coefficients of three tables."""

from __future__ import annotations

import math

from haulwright.field._parts import (
    FRACTIONS,
    HANDBOOK,
    SHEETS,
    Applied,
    Part,
    broad,
    depth_reason,
    fixed,
    grade_sine,
    notes_of,
    of,
    share_of,
)
from haulwright.field.published import (
    Number,
    flat_tyre,
    grip,
    grip_words,
    locked_wheels,
    mire,
    narrower,
    rolling,
)
from haulwright.field.result import LeftOutRule
from haulwright.field.stuck import Body, Ground, StuckVehicle


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
    parts: list[Part] = []
    sources = [coefficient.source]
    for body in vehicle.bodies:
        if body.sunk != "none" and body.sunk not in depths:
            return LeftOutRule(name, depth_reason(body, tuple(depths)))
        level_N = body.weight_N * math.cos(ground.slope_rad)
        parts.append(share_of(f"{of(body)}rolling on {ground.surface}", coefficient, level_N))
        found = _hindrances(body, depths)
        parts += [part for part, _ in found]
        sources += [source for _, source in found]
    parts += grade_sine(vehicle.weight_N, ground)
    drive, note = _own_drive(vehicle, ground)
    parts += drive
    back = "no credit for the way it came in" if vehicle.opposite_direction else ""
    return Applied(name, tuple(parts), notes_of(*dict.fromkeys(sources)), notes_of(broad(ground), note, back))


def _hindrances(body: Body, depths: dict[str, Number]) -> list[tuple[Part, str]]:
    """Return mire, wheels that do not turn and flat tyres of one body, each with its source."""
    found = []
    if body.sunk != "none":
        depth = depths[body.sunk]
        part = share_of(f"{of(body)}mire to the {body.sunk}", depth, body.weight_N, stays=False)
        found.append((part, depth.source))
    if body.locked:
        number = locked_wheels(body.locked)
        found.append((share_of(f"{of(body)}{body.locked_words}", number, body.weight_N), number.source))
    if body.flats:
        flat = flat_tyre(body.weight_N)
        words = f"{of(body)}{body.flats} flat tyre{'s' if body.flats > 1 else ''}"
        found.append((fixed(words, body.flats * flat.value), flat.source))
    return found


def _own_drive(vehicle: StuckVehicle, ground: Ground) -> tuple[list[Part], str]:
    """Return what its own wheels may add at the low end, never more than they grip; else why nothing is counted."""
    if not vehicle.drive_helps:
        return [], ""
    own = vehicle.bodies[0]
    surface = next(
        (word for word in (ground.surface, *narrower(ground.surface)) if word in grip_words()), None
    )
    if surface is None:
        return [], f"no credit for its own drive: no grip of tyres on {ground.surface} is published here"
    number = grip(surface)
    share = number.high * vehicle.driven * (1.0 - own.locked)
    most_N = share * own.weight_N * math.cos(ground.slope_rad)
    note = (
        f"its own drive may take off up to {share:.0%} of the weight, what its tyres grip on {surface} "
        f"({number.source}); counted at the low end only: a wheel that spins gives nothing"
    )
    return [Part("own drive", -most_N, 0.0, 0.0)], note
