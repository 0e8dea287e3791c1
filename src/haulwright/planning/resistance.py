"""The resistance of the stuck vehicle as the plan uses it, and what digging would save."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from haulwright.errors import PlanRefusal
from haulwright.field.obstacle import Step
from haulwright.field.own_pulls import OWN, SeenPull
from haulwright.field.resistance import Ground, Resistance, StuckVehicle, estimate
from haulwright.field.savings import Saving, also, savings
from haulwright.field.stuck import Trailer
from haulwright.files import stuck as written
from haulwright.files.pull import Pull
from haulwright.notices import Code, Notice
from haulwright.planning.result import ResistanceSummary
from haulwright.quantities.conversion import show

_TURNED = {"up": "down", "down": "up", "level": "level"}


def estimate_for(pull: Pull, *, back: bool = False) -> Resistance:
    """Return the resistance of the pull's vehicle by every published rule.

    Parameters
    ----------
    pull : Pull
    back : bool
        It is pulled back, against the direction the ground is described for: its slope turns about.

    Returns
    -------
    Resistance

    Raises
    ------
    Refusal
        What the rules do not cover.
    """
    return estimate_stuck(pull.name, pull.vehicle, pull.ground, pull.rule, pull.own, back=back)


def estimate_stuck(
    name: str,
    vehicle: written.Stuck,
    ground: written.Ground,
    rule: str | None = None,
    own: Sequence[SeenPull] = (),
    *,
    back: bool = False,
) -> Resistance:
    """Return the resistance of a vehicle and ground as a file holds them, with what would lower it.

    Parameters
    ----------
    name : str
    vehicle, ground : Stuck, Ground
    rule : str or None
        The rule to use; None takes the published rule that asks the most.
    own : sequence of SeenPull
        Own past pulls, for the rule ``own pulls``.
    back : bool
        As in :func:`estimate_for`.

    Returns
    -------
    Resistance

    Raises
    ------
    Refusal
        What the rules do not cover.
    """
    stuck, lie = _vehicle(vehicle), _ground(ground, back)
    step = _step(vehicle, ground)
    found = estimate(name, stuck, lie, rule, step, own)
    used = next(one for one in found.rules if one.name == found.chosen)
    sure = (
        stuck.lies == "on its wheels" and used.low_N > 0.0
    )  # where it may run away, less to pull is no gain
    saving = savings(stuck, lie, step, found.own_on if rule == OWN else rule) if sure else ()
    if rule == OWN:
        saving = tuple(_own_saving(one, found) for one in saving)
    said = (*found.notices, *_readings(vehicle))
    return replace(found, savings=saving, also=also(stuck, lie), notices=said)


def summary(resistance: Resistance) -> ResistanceSummary:
    """Return the range of the chosen rule with every rule beside it."""
    rule = next(rule for rule in resistance.rules if rule.name == resistance.chosen)
    return ResistanceSummary(
        rule.low_N, rule.likely_N, rule.high_N, rule.breakout_N, rule.name, resistance.rules
    )


def advice(pull: Pull) -> tuple[Notice, ...]:
    """Return what would lower the resistance before anything is rigged, the greatest saving first."""
    found = estimate_for(pull)
    return tuple(
        Code.ADVICE.notice(("vehicle",), text=f"Before rigging: {saving_words(one, found.chosen)}.")
        for one in found.savings
    )


def saving_words(saving: Saving, chosen: str) -> str:
    """Return one saving in words, without a unit of force.

    Examples
    --------
    >>> saving_words(Saving("dig it free", 8e3, "trade sheets", 0.4), "trade sheets")
    'dig it free: the pull falls by about 40 %'
    """
    by = (
        "" if saving.rule == chosen or chosen == OWN else f" ({saving.rule}; {chosen} knows no number for it)"
    )
    return f"{saving.what}: the pull falls by about {100 * saving.share:.0f} %{by}"


def _own_saving(saving: Saving, found: Resistance) -> Saving:
    """Return a saving scaled as own pulls scale the rule they are built on."""
    likely_N = {one.name: one.likely_N for one in found.rules}
    if found.own_on is None or saving.rule != found.own_on:
        return saving
    return replace(saving, rule=OWN, saved_N=saving.saved_N * likely_N[OWN] / likely_N[found.own_on])


def _readings(vehicle: written.Stuck) -> tuple[Notice, ...]:
    """Return how what was written was read, where there was something to read into it."""
    texts = []
    if vehicle.sunk_depth is not None and vehicle.wheel_radius is not None:
        deep, radius = show(vehicle.sunk_depth, "cm"), show(vehicle.wheel_radius, "cm")
        texts.append(
            f"{deep} sunk on a wheel of radius {radius} is read as '{vehicle.sunk}': to half the radius is rim, to the hub "
            "wheel, to the top of the tyre fender (house numbers; the tables print words)."
        )
    if "damaged" in vehicle.each_wheel.values():
        texts.append("A damaged wheel is counted as one that does not turn (common practice, no source).")
    if vehicle.suction is not None:
        texts.append(f"Suction as told, by: {vehicle.suction_source}.")
    return tuple(Code.RULE_OF_THUMB.notice(("vehicle",), text=text) for text in texts)


def _vehicle(vehicle: written.Stuck) -> StuckVehicle:
    named = tuple(vehicle.each_wheel.values())
    turning = ("turns",) * (vehicle.wheel_count - len(named))
    return StuckVehicle(
        vehicle.mass,
        vehicle.load,
        vehicle.wheels,
        vehicle.sunk,
        vehicle.drive_helps,
        vehicle.opposite_direction,
        mass_low_kg=vehicle.mass_low,
        mass_high_kg=vehicle.mass_high,
        people_kg=vehicle.people,
        each_wheel=(*named, *turning) if named else (),
        driven=vehicle.driven,
        trailer=_trailer(vehicle),
        suction_N=vehicle.suction or 0.0,
        lies=vehicle.lies,
    )


def _trailer(vehicle: written.Stuck) -> Trailer | None:
    towed = vehicle.trailer
    if towed is None:
        return None
    wheels = "all locked" if towed.braked else towed.wheels
    return Trailer(towed.mass, towed.load, wheels, vehicle.sunk if towed.sunk is None else towed.sunk)


def _ground(ground: written.Ground, back: bool) -> Ground:
    direction = _TURNED[ground.direction] if back else ground.direction
    return Ground(ground.surface, ground.slope, direction)


def _step(vehicle: written.Stuck, ground: written.Ground) -> Step | None:
    step = ground.step
    if step is None:
        return None
    radius = vehicle.wheel_radius if step.wheel_radius is None else step.wheel_radius
    if radius is None:
        raise PlanRefusal(
            "STEP",
            "A step needs the radius of the wheel that climbs it: give wheel_radius of the vehicle, such as 390 mm.",
            ("ground.step", "vehicle.wheel_radius"),
        )
    stuck = _vehicle(vehicle)
    share = min(1.0, step.wheels / vehicle.wheel_count)
    gravity = stuck.own_weight_N / (vehicle.mass + vehicle.load + vehicle.people)
    load_N = share * stuck.own_weight_N if step.load is None else step.load * gravity
    return Step(step.height, radius, load_N, step.pulled_at)
