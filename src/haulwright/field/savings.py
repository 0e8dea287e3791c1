"""What would lower the resistance most: unload, dig, free the wheels, unhitch, take the step away."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from haulwright.errors import PlanRefusal
from haulwright.field.families import MIRE_SURFACES
from haulwright.field.obstacle import Step
from haulwright.field.published import shallower
from haulwright.field.resistance import estimate
from haulwright.field.result import Saving
from haulwright.field.stuck import Ground, StuckVehicle

__all__ = ["Saving", "also", "savings"]

Case = tuple[str, StuckVehicle, Ground, Step | None]
_OTHER_GROUND = {"soft dry sand": ("wet the sand, or wait for rain", "soft wet sand")}


def savings(
    vehicle: StuckVehicle, ground: Ground, step: Step | None = None, chosen: str | None = None
) -> tuple[Saving, ...]:
    """Return what would lower the likely resistance, the greatest saving first.

    Parameters
    ----------
    vehicle : StuckVehicle
        As it stands.
    ground : Ground
        As it lies.
    step : Step, optional
        An edge in front of the wheels.
    chosen : str, optional
        The rule to count by, as for :func:`haulwright.field.resistance.estimate`.

    Returns
    -------
    tuple of Saving
        Differences of the same rule, that chosen for the case as it stands; where only another rule knows the
        change, by that one. A change that no rule covers is not listed.

    Raises
    ------
    QuantityRefusal, PlanRefusal
        As :func:`haulwright.field.resistance.estimate` for the case as it stands.

    References
    ----------
    Differences of the rules, no numbers of its own.

    Examples
    --------
    >>> found = savings(StuckVehicle(3000.0, load_kg=500.0, sunk="wheel"), Ground("bog"))
    >>> [(saving.what, round(saving.saved_N / 1e3, 1)) for saving in found[:3]]
    [('dig it free', 34.3), ('drive along with the pull', 13.7), ('dig it free to the rim', 8.6)]
    """
    now = estimate("as it stands", vehicle, ground, chosen, step)
    likely = {rule.name: rule.likely_N for rule in now.rules}
    found = []
    for what, other, lie, edge in _changes(vehicle, ground, step):
        by_rule = _by_rule(likely, other, lie, edge)
        best = [rule for rule in (now.chosen, *by_rule) if by_rule.get(rule, 0.0) > 0.0]
        if best:
            rule = best[0]
            found.append(Saving(what, by_rule[rule], rule, by_rule[rule] / likely[rule], by_rule))
    return tuple(sorted(found, key=lambda saving: -saving.saved_N))


def _by_rule(
    likely: Mapping[str, float], vehicle: StuckVehicle, ground: Ground, step: Step | None
) -> dict[str, float]:
    """Return what a change saves by every rule that covers both cases; empty where it would run away [N]."""
    try:
        then = estimate("changed", vehicle, ground, step=step)
    except PlanRefusal:
        return {}
    return {rule.name: likely[rule.name] - rule.likely_N for rule in then.rules if rule.name in likely}


def _changes(vehicle: StuckVehicle, ground: Ground, step: Step | None) -> list[Case]:
    def but(what: str, **changed: object) -> Case:
        return what, replace(vehicle, **changed), ground, step  # type: ignore[arg-type]

    changes: list[Case] = []
    if vehicle.load_kg > 0.0:
        changes.append(but("take off the load", load_kg=0.0))
    if vehicle.people_kg > 0.0:
        changes.append(but("let everybody out", people_kg=0.0))
    for depth in shallower(vehicle.sunk):
        changes.append(but("dig it free" if depth == "none" else f"dig it free to the {depth}", sunk=depth))
    if vehicle.bodies[0].locked or vehicle.bodies[0].flats:
        freed = (
            "free the wheels" if vehicle.bodies[0].locked else "",
            "mend the flat tyres" if vehicle.bodies[0].flats else "",
        )
        words = " and ".join(word for word in freed if word)
        changes.append(but(words, wheels="rolling", each_wheel=()))
    if not vehicle.drive_helps:
        changes.append(but("drive along with the pull", drive_helps=True))
    if not vehicle.opposite_direction:
        changes.append(but("pull it out the way it came in", opposite_direction=True))
    if vehicle.trailer is not None:
        changes.append(but("unhitch the trailer", trailer=None))
        if vehicle.trailer.wheels != "rolling":
            rolling = replace(vehicle.trailer, wheels="rolling")
            changes.append(but("free the trailer's wheels", trailer=rolling))
    if step is not None:
        changes.append(("take the step away", vehicle, ground, None))
    if ground.surface in _OTHER_GROUND:
        words, surface = _OTHER_GROUND[ground.surface]
        changes.append((words, vehicle, replace(ground, surface=surface), step))
    return changes


def also(vehicle: StuckVehicle, ground: Ground) -> tuple[str, ...]:
    """Return what may help too, but no rule here puts a number on.

    Parameters
    ----------
    vehicle : StuckVehicle
    ground : Ground

    Returns
    -------
    tuple of str
        In the order they are tried.

    Raises
    ------
    Nothing
        A word that is not known brings no advice.

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> also(StuckVehicle(3000.0), Ground("road"))
    ()
    >>> [advice.split(":")[0] for advice in also(StuckVehicle(3000.0, sunk="wheel"), Ground("bog"))]
    ['let air out of the tyres', 'wait', 'boards or branches under the wheels', 'let air in under belly and tyres']
    """
    mire = ground.surface in MIRE_SURFACES
    soft = mire or "sand" in ground.surface or ground.surface == "soft ground"
    mired = vehicle.sunk != "none" or mire
    found = []
    if soft or mired:
        found.append("let air out of the tyres: they tread broader and sink less; pump up before driving on")
    if mire:
        found.append("wait: ground that drains or dries holds less; by daylight you see more")
    if soft or mired:
        found.append("boards or branches under the wheels: they climb instead of ploughing")
    if mired:
        found.append("let air in under belly and tyres: dig or lever a channel, so that suction breaks first")
    return tuple(found)
