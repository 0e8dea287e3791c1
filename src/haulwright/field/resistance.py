"""Resistance of the stuck vehicle: several published rules side by side, never blended.

The rules disagree by a factor of two or more for the same bog. Each is shown with its range and its source; the plan
uses the one that asks the most, unless the user names another.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import asdict, replace

from haulwright.errors import PlanRefusal
from haulwright.field.families import FAMILIES, RIGHTING, Applied, Family, Part, righted
from haulwright.field.inputs import one_of
from haulwright.field.obstacle import Step, step_pull
from haulwright.field.own_pulls import OWN, SeenPull, own_ratios, own_rule
from haulwright.field.published import house
from haulwright.field.resistance_notices import Found, notices_of
from haulwright.field.result import Driver, LeftOutRule, OwnRatio, Resistance, ResistanceRule
from haulwright.field.stuck import Ground, StuckVehicle, check
from haulwright.records import Made

__all__ = ["Ground", "Resistance", "Step", "StuckVehicle", "estimate"]

BREAKOUT = (
    "breakout: no published figure was found, so it is set equal to the high end of the range "
    "(common practice, no source)"
)
SUCTION = "suction is not covered: no open source gives it; where it holds, tell it as a force"
SUCTION_TOLD = "the suction told is added to it"
DECISION = "the rule with the greatest likely value, unless another is named"


def estimate(
    pull_name: str,
    vehicle: StuckVehicle,
    ground: Ground,
    chosen: str | None = None,
    step: Step | None = None,
    seen: Sequence[SeenPull] = (),
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
        Rule to use, ``own pulls`` among them. Without it: the published rule with the greatest likely value.
    step : Step, optional
        An edge the wheels must climb; its pull is added to every rule as a driver of its own.
    seen : sequence of SeenPull
        Own past pulls; those on like ground make one more rule, ``own pulls``.

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
    without sign, so that a downhill pull does not look surer than it is; over the least and the greatest mass where
    these are told. Breakout is set equal to the high end: no published figure was found; a suction told is added.

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
        one_of(chosen, (*FAMILIES, OWN, RIGHTING), "chosen rule", "RULE")
    found = _apply(vehicle, ground, () if step is None else (_step_part(step, ground),))
    ratios = own_ratios(seen, ground.surface, vehicle.sunk)
    used = _choose(found, chosen, ratios, vehicle.suction_N)
    rules = (*found.rules, *found.own)
    return Resistance(
        pull=pull_name,
        weight_N=vehicle.weight_N,
        rules=rules,
        chosen=used.name,
        left_out=tuple(found.left_out),
        own=ratios,
        own_on=found.own_on,
        notices=notices_of(vehicle, used, found),
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


def _apply(vehicle: StuckVehicle, ground: Ground, extra: tuple[Part, ...]) -> Found:
    found = Found()
    if vehicle.lies != "on its wheels":
        reason = f"it speaks of a vehicle on its wheels; no published drag of one {vehicle.lies} was found"
        found.left_out = [LeftOutRule(name, reason) for name in FAMILIES]
        found.rules = [_rule([righted(one) for one in vehicle.masses], vehicle.suction_N)]
        return found
    for family in FAMILIES.values():
        _apply_one(found, family, vehicle, ground, extra)
    return found


def _apply_one(
    found: Found, family: Family, vehicle: StuckVehicle, ground: Ground, extra: tuple[Part, ...]
) -> None:
    answers: list[Applied] = []
    for one in vehicle.masses:
        answer = family(one, ground)
        if isinstance(answer, LeftOutRule):
            found.left_out.append(answer)
            return
        answers.append(replace(answer, parts=answer.parts + extra))
    first = answers[0]
    likely_N = sum(part.likely_N for part in first.parts)
    if likely_N <= 0.0:
        share = -likely_N / vehicle.weight_N
        found.runs_away[first.name] = share
        reason = f"by it the vehicle runs down the slope by itself, with {share:.0%} of its weight"
        found.left_out.append(LeftOutRule(first.name, reason, first.source))
        return
    found.rules.append(_rule(answers, vehicle.suction_N))


def _step_part(step: Step, ground: Ground) -> Part:
    """Return the pull over the edge; on a slope only the weight square to the ground presses the wheel down."""
    force_N = step_pull(step) * math.cos(ground.slope_rad)
    return Part(f"step of {step.height_m:.2f} m", force_N, force_N, force_N, stays=False)


def _ends(applied: Applied) -> tuple[float, float]:
    """Return the low and high end of a rule at one mass, the low end below zero where the vehicle may run away [N]."""
    likely_N = sum(part.likely_N for part in applied.parts)
    half_N = house("resistance-range").value * sum(abs(part.likely_N) for part in applied.parts)
    low_N = min(sum(part.low_N for part in applied.parts), likely_N - half_N)
    return low_N, max(sum(part.high_N for part in applied.parts), likely_N + half_N)


def _rule(by_mass: Sequence[Applied], suction_N: float) -> ResistanceRule:
    """Return a rule from what it says at the likely mass, which comes first, and at the other masses."""
    applied = by_mass[0]
    likely_N = sum(part.likely_N for part in applied.parts)
    ends = [_ends(one) for one in by_mass]
    low_N, high_N = min(low for low, _ in ends), max(high for _, high in ends)
    drivers = tuple(
        Driver(part.name, part.likely_N, part.likely_N / likely_N) for part in applied.parts if part.likely_N
    )
    suction = SUCTION_TOLD if suction_N > 0.0 else SUCTION
    note = "; ".join(text for text in (applied.note, BREAKOUT, suction) if text)
    clear = [replace(one, parts=tuple(part for part in one.parts if part.stays)) for one in by_mass]
    clear_N = sum(part.likely_N for part in clear[0].parts) if applied.rolls else None
    least_N = min(low_N, *(_ends(one)[0] for one in clear)) if applied.rolls else low_N
    return ResistanceRule(
        applied.name,
        max(0.0, low_N),
        likely_N,
        high_N,
        high_N + suction_N,
        applied.source,
        drivers,
        note,
        clear_N,
        max(0.0, -least_N),
    )


def _choose(found: Found, chosen: str | None, ratios: Sequence[OwnRatio], suction_N: float) -> ResistanceRule:
    """Return the rule to use, and add that of the own pulls to what was found."""
    reasons = " ".join(f"{rule.name}: {rule.reason}." for rule in found.left_out)
    if not found.rules and found.runs_away:
        raise PlanRefusal(
            "RUNS_AWAY",
            "Downhill, this vehicle runs away by itself: there is nothing to pull. Hold it and let it back under "
            f"control, or pull it another way. {reasons}",
            ("ground",),
        )
    if not found.rules:
        raise PlanRefusal(
            "NO_RULE",
            f"No published rule covers this vehicle and ground. {reasons} Describe it in the words of one rule.",
            ("vehicle", "ground"),
        )
    most = max(found.rules, key=lambda rule: rule.likely_N)
    own = own_rule(ratios, found.rules, most.name, suction_N)
    if own is not None:
        found.own, found.own_on = own[:1], own[1]
    if chosen is None:
        return most
    for rule in (*found.rules, *found.own):
        if rule.name == chosen:
            return rule
    if chosen == OWN:
        least = house("own-pulls-least").value
        have = max((one.n for one in ratios), default=0)
        reasons = f"It needs {least:g} own pulls with the same surface and depth; there are {have}."
    raise PlanRefusal("RULE", f"The rule '{chosen}' does not cover this case. {reasons}", (chosen,))
