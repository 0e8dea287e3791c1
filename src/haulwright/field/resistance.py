"""Resistance of the stuck vehicle: several published rules side by side, never blended.

The rules disagree by a factor of two or more for the same bog. Each is shown with its range and its source; the plan
uses the one that asks the most, unless the user names another.
"""

from __future__ import annotations

from dataclasses import asdict, replace

from haulwright.errors import PlanRefusal
from haulwright.field.families import FAMILIES, Applied, Part
from haulwright.field.inputs import one_of
from haulwright.field.obstacle import Step, step_pull
from haulwright.field.published import house
from haulwright.field.result import Driver, LeftOutRule, Resistance, ResistanceRule
from haulwright.field.stuck import Ground, StuckVehicle, check
from haulwright.notices import Code, Notice
from haulwright.quantities.units import show
from haulwright.records import Made

__all__ = ["Ground", "Resistance", "Step", "StuckVehicle", "estimate"]

PROFESSIONAL_DEPTHS = ("body", "cab")
BREAKOUT = (
    "breakout: no published figure was found, so it is set equal to the high end of the range "
    "(common practice, no source); suction can ask for more"
)
DECISION = "the rule with the greatest likely value, unless another is named"


def estimate(
    pull_name: str,
    vehicle: StuckVehicle,
    ground: Ground,
    chosen: str | None = None,
    step: Step | None = None,
) -> Resistance:
    """Return the resistance of a stuck vehicle by every published rule that covers it.

    Parameters
    ----------
    pull_name : str
        Name of the pull.
    vehicle : StuckVehicle
        Mass, load, wheels, depth.
    ground : Ground
        Surface and slope along the pull.
    chosen : str, optional
        Rule to use. Without it: the rule with the greatest likely value.
    step : Step, optional
        An edge the wheels must climb; its pull is added to every rule as a driver of its own.

    Returns
    -------
    Resistance
        Rules with low, likely, high, breakout [N]; rules left out, with the reason.

    Raises
    ------
    QuantityRefusal
        For a surface, depth or other word that is not known, or a number out of range.
    PlanRefusal
        ``NO_RULE`` if no rule covers the case; ``RUNS_AWAY`` if by all that do the vehicle rolls down by itself;
        ``RULE`` if the rule named does not cover the case; ``STEP`` if the step cannot be climbed.

    Notes
    -----
    Range: the rule's own low and high, widened to at least the house spread (±30 %) of the forces that enter, taken
    without sign, so that a downhill pull does not look surer than it is. Breakout is set equal to the high end:
    no published figure was found.

    References
    ----------
    Each rule carries its own, see :mod:`haulwright.field.families` and the catalogue.

    Examples
    --------
    >>> bogged = estimate("creek", StuckVehicle(3000.0, sunk="wheel"), Ground("bog"))
    >>> [(rule.name, round(rule.likely_N / 1e3, 1)) for rule in bogged.rules]
    [('military mire and grade', 29.4), ('training fractions', 14.7), ('fractions and mire', 44.1)]
    >>> bogged.chosen
    'fractions and mire'
    """
    check(vehicle, ground)
    if chosen is not None:
        one_of(chosen, FAMILIES, "chosen rule", "RULE")
    extra = () if step is None else (_step_part(step),)
    rules: list[ResistanceRule] = []
    left_out: list[LeftOutRule] = []
    runs_away: list[str] = []
    for family in FAMILIES.values():
        answer = family(vehicle, ground)
        if isinstance(answer, LeftOutRule):
            left_out.append(answer)
            continue
        parts = answer.parts + extra
        likely_N = sum(part.likely_N for part in parts)
        if likely_N <= 0.0:
            runs_away.append(answer.name)
            left_out.append(
                LeftOutRule(answer.name, "by it the vehicle runs down the slope by itself", answer.source)
            )
            continue
        rules.append(_rule(replace(answer, parts=parts), likely_N))
    used = _choose(rules, left_out, runs_away, chosen)
    return Resistance(
        pull=pull_name,
        weight_N=vehicle.weight_N,
        rules=tuple(rules),
        chosen=used.name,
        left_out=tuple(left_out),
        notices=_notices(vehicle, used, rules, left_out, runs_away),
        made=Made(
            f"published rules side by side; chosen: {DECISION}",
            {
                "vehicle": asdict(vehicle),
                "ground": asdict(ground),
                "step": step and asdict(step),
                "chosen": chosen,
            },
            tuple(dict.fromkeys(rule.source for rule in rules)),
        ),
    )


def _step_part(step: Step) -> Part:
    force_N = step_pull(step)
    return Part(f"step of {step.height_m:.2f} m", force_N, force_N, force_N)


def _rule(applied: Applied, likely_N: float) -> ResistanceRule:
    half_N = house("resistance-range").value * sum(abs(part.likely_N) for part in applied.parts)
    low_N = max(0.0, min(sum(part.low_N for part in applied.parts), likely_N - half_N))
    high_N = max(sum(part.high_N for part in applied.parts), likely_N + half_N)
    drivers = tuple(Driver(part.name, part.likely_N, part.likely_N / likely_N) for part in applied.parts)
    note = "; ".join(text for text in (applied.note, BREAKOUT) if text)
    return ResistanceRule(applied.name, low_N, likely_N, high_N, high_N, applied.source, drivers, note)


def _choose(
    rules: list[ResistanceRule], left_out: list[LeftOutRule], runs_away: list[str], chosen: str | None
) -> ResistanceRule:
    reasons = " ".join(f"{rule.name}: {rule.reason}." for rule in left_out)
    if not rules and runs_away:
        raise PlanRefusal(
            "RUNS_AWAY",
            "Downhill, this vehicle runs away by itself: there is nothing to pull. Hold it and let it back under "
            f"control, or pull it another way. {reasons}",
            ("ground",),
        )
    if not rules:
        raise PlanRefusal(
            "NO_RULE",
            f"No published rule covers this vehicle and ground. {reasons} Describe it in the words of one rule.",
            ("vehicle", "ground"),
        )
    if chosen is None:
        return max(rules, key=lambda rule: rule.likely_N)
    for rule in rules:
        if rule.name == chosen:
            return rule
    raise PlanRefusal("RULE", f"The rule '{chosen}' does not cover this case. {reasons}", (chosen,))


def _notices(
    vehicle: StuckVehicle,
    used: ResistanceRule,
    rules: list[ResistanceRule],
    left_out: list[LeftOutRule],
    runs_away: list[str],
) -> tuple[Notice, ...]:
    notices = [Code.ESTIMATE.notice(), Code.DEFER.notice()]
    if vehicle.sunk in PROFESSIONAL_DEPTHS:
        notices.append(
            Code.STOP_PROFESSIONAL.notice(
                ("vehicle",), text=f"sunk to the {vehicle.sunk} is beyond what a vehicle winch is for."
            )
        )
    if runs_away or used.low_N <= 0.0:
        text = "Downhill, this vehicle may run away by itself: hold it with a second line or chocks before pulling."
        notices.append(Code.OUT_OF_RANGE.notice(("ground",), text=text))
    most = max(rules, key=lambda rule: rule.high_N)
    if most.high_N > used.high_N:
        text = (
            f"{most.name} asks for up to {show(most.high_N, 'kN')}, more than the {show(used.high_N, 'kN')} of "
            f"{used.name}, which is used: see whether the winch pulls that too."
        )
        notices.append(Code.OUT_OF_RANGE.notice((most.name,), text=text))
    notices += [
        Code.RULE_OF_THUMB.notice((rule.name,), text=f"Left out: {rule.name}: {rule.reason}.")
        for rule in left_out
    ]
    return tuple(notices)
