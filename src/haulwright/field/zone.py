"""Where nobody may stand: every published distance rule side by side, and the places no distance makes safe."""

from __future__ import annotations

import math
from dataclasses import dataclass

from haulwright.field.inputs import positive
from haulwright.field.published_gear import DistanceRule, distance_rules

NEVER = (
    "in line with any part, before or behind either end, at any distance",
    "inside any bend of a line (the bight), where a failed block or strap flies",
    "between the vehicles, or between a vehicle and an anchor",
    "over, astride or under a line, or within reach of the drum and fairlead",
    "down the slope from the stuck vehicle",
)
"""Places that stay forbidden however far away they are (accident reports; common practice)."""


@dataclass(frozen=True)
class StandClear:
    """One distance rule applied.

    Attributes
    ----------
    name : str
        The rule in words.
    distance_m : float or None
        Stand at least so far away [m]; None when the length it needs was not given.
    source : str
        Citation.
    note : str
        Why no distance is given, or empty.
    """

    name: str
    distance_m: float | None
    source: str
    note: str = ""


@dataclass(frozen=True)
class StandClearZone:
    """The zone of a pull.

    Attributes
    ----------
    radius_m : float
        The largest of the distances [m], from every line, block and anchor.
    rule : str
        The rule that gave it.
    rules : tuple of StandClear
        Every published rule, also those that could not be applied.
    never : tuple of str
        Places forbidden at any distance.
    """

    radius_m: float
    rule: str
    rules: tuple[StandClear, ...]
    never: tuple[str, ...]


def stand_clear(
    *,
    line_m: float | None = None,
    paid_out_m: float | None = None,
    spread_m: float | None = None,
    strap_m: float | None = None,
) -> StandClearZone:
    """Return how far people must stand, by every published rule; the largest wins.

    Parameters
    ----------
    line_m : float, optional
        Length of the whole winch line with its extensions [m].
    paid_out_m : float, optional
        Line off the drum at the start of the pull, every part counted [m].
    spread_m : float, optional
        Greatest distance between any two of vehicles, blocks and anchors [m].
    strap_m : float, optional
        Unstretched length of a strap that is pulled with [m].

    Returns
    -------
    StandClearZone
        A rule whose length is not given is listed without a distance, with the reason.

    Raises
    ------
    QuantityRefusal
        ``NOT_POSITIVE`` for a length.

    Notes
    -----
    The rules disagree and none is a proof: heavy parts have flown much further. Distances never make the places
    of :data:`NEVER` safe.

    References
    ----------
    Catalogue, table rules; each row carries its own source.

    Examples
    --------
    >>> stand_clear(line_m=30.0, paid_out_m=28.0, spread_m=20.0).radius_m
    56.0
    """
    lengths = {"line": line_m, "paid-out": paid_out_m, "spread": spread_m, "strap": strap_m}
    for name, length in lengths.items():
        if length is not None:
            positive(length, f"length of {name} [m]")
    rules = tuple(_apply(rule, lengths) for rule in distance_rules())
    widest = max(rules, key=lambda rule: -math.inf if rule.distance_m is None else rule.distance_m)
    return StandClearZone(widest.distance_m or 0.0, widest.name, rules, NEVER)


def _apply(rule: DistanceRule, lengths: dict[str, float | None]) -> StandClear:
    if not rule.of:
        return StandClear(rule.name, rule.factor, rule.source)
    given = [length for name in rule.of if (length := lengths[name]) is not None]
    if not given:
        return StandClear(rule.name, None, rule.source, f"the {' or '.join(rule.of)} length is not given")
    return StandClear(rule.name, rule.factor * max(given), rule.source)
