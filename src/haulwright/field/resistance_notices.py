"""What is said beside an estimate of resistance: a runaway first, then the cautions, then what was left out."""

from __future__ import annotations

from dataclasses import dataclass, field

from haulwright.field.result import LeftOutRule, ResistanceRule
from haulwright.field.stuck import StuckVehicle
from haulwright.notices import Code, Notice

PROFESSIONAL_DEPTHS = ("body", "cab")


@dataclass
class Found:
    """What the rules answered."""

    rules: list[ResistanceRule] = field(default_factory=list)
    left_out: list[LeftOutRule] = field(default_factory=list)
    runs_away: dict[str, float] = field(
        default_factory=dict
    )  # by rule: downhill pull as a share of the weight
    own: tuple[ResistanceRule, ...] = ()
    own_on: str | None = None


def notices_of(vehicle: StuckVehicle, used: ResistanceRule, found: Found) -> tuple[Notice, ...]:
    """Return the notices of an estimate: a runaway, cautions, professionals, greater rules, rules left out.

    Parameters
    ----------
    vehicle : StuckVehicle
    used : ResistanceRule
        The rule chosen.
    found : Found
        What all rules answered.

    Returns
    -------
    tuple of Notice

    Raises
    ------
    Nothing
        The vehicle was checked before.

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> rule = ResistanceRule("a rule", 7e3, 10e3, 13e3, 13e3, "somewhere", ())
    >>> [notice.code for notice in notices_of(StuckVehicle(2000.0), rule, Found([rule]))]
    ['ESTIMATE', 'DEFER']
    """
    notices = [*_runaway(found), Code.ESTIMATE.notice(), Code.DEFER.notice()]
    if vehicle.lies != "on its wheels":
        text = f"a vehicle {vehicle.lies} is righted by people licensed for it, never by a winch line alone."
        notices.append(Code.STOP_PROFESSIONAL.notice(("vehicle",), text=text))
    if vehicle.sunk in PROFESSIONAL_DEPTHS:
        text = f"sunk to the {vehicle.sunk} is beyond what a vehicle winch is for."
        notices.append(Code.STOP_PROFESSIONAL.notice(("vehicle",), text=text))
    most = max(found.rules, key=lambda rule: rule.high_N)
    if most.high_N > used.high_N:
        text = (
            f"{most.name} asks for up to {most.high_N / used.high_N:.1f} times as much, more than {used.name}, which "
            "is used: see whether the winch pulls that too."
        )
        notices.append(Code.OUT_OF_RANGE.notice((most.name,), text=text))
    notices += [
        Code.RULE_OF_THUMB.notice((rule.name,), text=f"Left out: {rule.name}: {rule.reason}.")
        for rule in found.left_out
    ]
    return tuple(notices)


def _runaway(found: Found) -> list[Notice]:
    """Return the warning that comes before all others: the vehicle may run by itself."""
    now = [*found.runs_away, *(rule.name for rule in found.rules if rule.hold_N > 0.0 and rule.low_N == 0.0)]
    later = [rule.name for rule in found.rules if rule.hold_N > 0.0 and rule.low_N > 0.0]
    if not now and not later:
        return []
    texts = [
        "Downhill, this vehicle may run away by itself: hold it with a second line or chocks before pulling."
    ]
    if now:
        texts.append(f"So say {', '.join(now)}; near zero no rule is sure whether it must be pulled or held.")
    if later:
        texts.append(f"Once out of its hole or over the step it may run: so say {', '.join(later)}.")
    return [Code.RUNAWAY.notice(("ground",), text=" ".join(texts))]
