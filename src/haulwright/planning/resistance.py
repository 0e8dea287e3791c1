"""The resistance of the stuck vehicle as the plan uses it, and what digging would save."""

from __future__ import annotations

from haulwright.field.resistance import Ground, Resistance, StuckVehicle, estimate
from haulwright.field.savings import savings
from haulwright.files.pull import Pull
from haulwright.notices import Code, Notice
from haulwright.planning.result import ResistanceSummary
from haulwright.quantities.units import show


def estimate_for(pull: Pull) -> Resistance:
    """Return the resistance of the pull's vehicle by every published rule.

    Raises
    ------
    Refusal
        What the rules do not cover.
    """
    return estimate(pull.name, _vehicle(pull), _ground(pull), pull.rule)


def summary(resistance: Resistance) -> ResistanceSummary:
    """Return the range of the chosen rule with every rule beside it."""
    rule = next(rule for rule in resistance.rules if rule.name == resistance.chosen)
    return ResistanceSummary(
        rule.low_N, rule.likely_N, rule.high_N, rule.breakout_N, rule.name, resistance.rules
    )


def advice(pull: Pull) -> tuple[Notice, ...]:
    """Return what would lower the resistance before anything is rigged, the greatest saving first."""
    return tuple(
        Code.ADVICE.notice(
            ("vehicle",), text=f"Before rigging: {saving.what} saves about {show(saving.saved_N, 'kN')}."
        )
        for saving in savings(_vehicle(pull), _ground(pull))
    )


def _vehicle(pull: Pull) -> StuckVehicle:
    vehicle = pull.vehicle
    return StuckVehicle(
        vehicle.mass,
        vehicle.load,
        vehicle.wheels,
        vehicle.sunk,
        vehicle.drive_helps,
        vehicle.opposite_direction,
    )


def _ground(pull: Pull) -> Ground:
    return Ground(pull.ground.surface, pull.ground.slope, pull.ground.direction)
