"""What would lower the resistance most: unload, dig, free the wheels, take the step away."""

from __future__ import annotations

from dataclasses import dataclass, replace

from haulwright.errors import PlanRefusal
from haulwright.field.obstacle import Step
from haulwright.field.published import shallower
from haulwright.field.resistance import estimate
from haulwright.field.stuck import Ground, StuckVehicle


@dataclass(frozen=True)
class Saving:
    """One thing to do before pulling, and the likely force it saves [N] by the named rule."""

    what: str
    saved_N: float
    rule: str


def savings(vehicle: StuckVehicle, ground: Ground, step: Step | None = None) -> tuple[Saving, ...]:
    """Return what would lower the likely resistance, the greatest saving first.

    Parameters
    ----------
    vehicle : StuckVehicle
        As it stands.
    ground : Ground
        As it lies.
    step : Step, optional
        An edge in front of the wheels.

    Returns
    -------
    tuple of Saving
        Differences of the same rule, that chosen for the case as it stands; a change that rule does not cover is
        not listed.

    Raises
    ------
    Refusal
        As :func:`haulwright.field.resistance.estimate`.

    References
    ----------
    Those of the rule chosen, as :func:`haulwright.field.resistance.estimate`; a saving is a difference of two estimates.

    Examples
    --------
    >>> found = savings(StuckVehicle(3000.0, load_kg=500.0, sunk="wheel"), Ground("bog"))
    >>> [(saving.what, round(saving.saved_N / 1e3, 1)) for saving in found]
    [('dig it free', 34.3), ('dig it free to the rim', 8.6), ('take off the load', 7.4)]
    """
    now = estimate("as it stands", vehicle, ground, step=step)
    likely = {rule.name: rule.likely_N for rule in now.rules}[now.chosen]
    found = []
    for what, other, edge in _changes(vehicle, step):
        try:
            then = estimate(what, other, ground, chosen=now.chosen, step=edge)
        except PlanRefusal:
            continue
        saved_N = likely - {rule.name: rule.likely_N for rule in then.rules}[now.chosen]
        if saved_N > 0.0:
            found.append(Saving(what, saved_N, now.chosen))
    return tuple(sorted(found, key=lambda saving: -saving.saved_N))


def _changes(vehicle: StuckVehicle, step: Step | None) -> list[tuple[str, StuckVehicle, Step | None]]:
    changes: list[tuple[str, StuckVehicle, Step | None]] = []
    if vehicle.load_kg > 0.0:
        changes.append(("take off the load", replace(vehicle, load_kg=0.0), step))
    for depth in shallower(vehicle.sunk):
        words = "dig it free" if depth == "none" else f"dig it free to the {depth}"
        changes.append((words, replace(vehicle, sunk=depth), step))
    if vehicle.wheels != "rolling":
        changes.append(("free the wheels", replace(vehicle, wheels="rolling"), step))
    if not vehicle.drive_helps:
        changes.append(("drive along with the pull", replace(vehicle, drive_helps=True), step))
    if step is not None:
        changes.append(("take the step away", vehicle, None))
    return changes
