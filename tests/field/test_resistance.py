"""Resistance: each rule against worked sums, the range, the choice, and what is left out or refused."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import event, given, settings
from hypothesis import strategies as st

from haulwright import catalogue
from haulwright.errors import PlanRefusal, QuantityRefusal, Refusal
from haulwright.field.families import FAMILIES, FRACTIONS, HANDBOOK, MILITARY, SHEETS, TRAINING, physics
from haulwright.field.obstacle import Step
from haulwright.field.published import depth_words, surface_words
from haulwright.field.resistance import Ground, Resistance, StuckVehicle, estimate

G = 9.80665
SPREAD = catalogue.row("rules", "resistance-range").si


def vehicle(
    kN: float, sunk: str = "none", wheels: str = "rolling", helps: bool = False, back: bool = False
) -> StuckVehicle:
    return StuckVehicle(kN * 1e3 / G, 0.0, wheels, sunk, helps, back)


def slope(surface: str, degrees: float, direction: str = "up") -> Ground:
    return Ground(surface, math.radians(degrees), direction)


def likely(result: Resistance, name: str) -> float:
    return next(rule.likely_N for rule in result.rules if rule.name == name) / 1e3


# worked by hand: F = W (sin θ + C cos θ) + m W
def test_worked_sums() -> None:
    assert physics(45.0, math.radians(15), 0.17) == pytest.approx(19.04, abs=0.005)
    assert physics(45.0, 0.0, 0.04, 0.75) == pytest.approx(35.55, abs=0.005)
    assert physics(80.0, math.radians(5), 0.25, 1.0) == pytest.approx(106.9, abs=0.05)


def test_worked_sums_through_the_rules() -> None:
    # the same three, with the fractions as printed (1/6 where the sum rounds to 0.17)
    sand = estimate("a", vehicle(45), slope("hard wet sand", 15))
    by_hand = 45 * (math.sin(math.radians(15)) + math.cos(math.radians(15)) / 6)
    assert likely(sand, FRACTIONS) == pytest.approx(by_hand)
    assert likely(sand, FRACTIONS) == pytest.approx(19.04, rel=0.01)
    assert likely(estimate("b", vehicle(45, "rim"), Ground("road")), FRACTIONS) == pytest.approx(
        35.55, abs=0.005
    )
    steep = estimate("c", vehicle(80, "wheel"), slope("soft dry sand", 5))
    assert likely(steep, FRACTIONS) == pytest.approx(106.9, abs=0.05)


@pytest.mark.parametrize(("sunk", "factor"), [("wheel", 1), ("fender", 2), ("cab", 3)])
def test_military_mire_factors(sunk: str, factor: float) -> None:
    # US Army recovery manuals (from memory): 1, 2, 3 times the weight
    assert likely(estimate("m", vehicle(60, sunk), Ground("bog")), MILITARY) == pytest.approx(60 * factor)


@pytest.mark.parametrize(
    ("helps", "back", "left"), [(False, True, 0.9), (True, False, 0.6), (True, True, 0.5)]
)
def test_military_reductions_add(helps: bool, back: bool, left: float) -> None:
    # US Army recovery manuals (from memory): less 10 %, less 40 %, both less 50 % (not 1 - 0.9 × 0.6 = 46 %)
    result = estimate("m", vehicle(60, "fender", helps=helps, back=back), Ground("bog"))
    assert likely(result, MILITARY) == pytest.approx(2 * 60 * left)


def test_military_chain_with_reduction() -> None:
    # after US Army lesson 63H34F01: 6000 kg, mire 2, reduction 40 % -> 7200 kg
    result = estimate("m", StuckVehicle(6000.0, sunk="fender", drive_helps=True), Ground("bog"))
    assert likely(result, MILITARY) * 1e3 / G == pytest.approx(7200)


def test_reduction_leaves_the_grade_alone() -> None:
    result = estimate("m", vehicle(60, "wheel", helps=True), slope("bog", 20))
    assert likely(result, MILITARY) == pytest.approx(60 * (0.6 + math.sin(math.radians(20))))


@pytest.mark.parametrize(
    ("surface", "one_in"),
    [
        ("road", 25),
        ("grass", 7),
        ("hard wet sand", 6),
        ("gravel", 5),
        ("soft wet sand", 5),
        ("soft dry sand", 4),
        ("shallow mud", 3),
        ("bog", 2),
        ("clay", 2),
    ],
)
def test_training_fractions(surface: str, one_in: float) -> None:
    # commonwealth training fractions (from memory)
    assert likely(estimate("t", vehicle(35), Ground(surface)), TRAINING) == pytest.approx(35 / one_in)


def test_training_grade_is_a_sixtieth_per_degree() -> None:
    # against sin: exact at 30°, 4.4 % under at 5°, 6.1 % over at 45°
    for degrees, off in ((30, 0.0), (5, -0.044), (45, 0.0607)):
        grade = likely(estimate("t", vehicle(60), slope("grass", degrees)), TRAINING) - 60 / 7
        assert grade == pytest.approx(degrees)
        assert grade / (60 * math.sin(math.radians(degrees))) - 1 == pytest.approx(off, abs=1e-3)


def test_training_grade_ends_at_45_degrees() -> None:
    result = estimate("t", vehicle(60), slope("grass", 46))
    assert TRAINING in {rule.name for rule in result.left_out}
    assert FRACTIONS in {rule.name for rule in result.rules}


def test_handbook_range_is_what_the_handbooks_print() -> None:
    # sand: 0.1 to 0.2 (Carvill), 0.2 to 0.4 loose (web tables), 0.30 and 0.25 (Gillespie)
    rule = next(rule for rule in estimate("h", vehicle(100), Ground("sand")).rules if rule.name == HANDBOOK)
    assert [rule.low_N, rule.high_N] == pytest.approx([10e3, 40e3])
    assert rule.low_N < rule.likely_N < rule.high_N
    assert "Carvill" in rule.source
    assert "Gillespie" in rule.source


@pytest.mark.parametrize(("wheels", "share"), [("half locked", 1 / 3), ("all locked", 2 / 3)])
def test_locked_wheels(wheels: str, share: float) -> None:
    # trade sheets (from memory): add a third or two thirds of the weight; printed to three digits
    free = estimate("l", vehicle(30), Ground("gravel"))
    locked = estimate("l", vehicle(30, wheels=wheels), Ground("gravel"))
    assert likely(locked, FRACTIONS) - likely(free, FRACTIONS) == pytest.approx(30 * share, rel=2e-3)
    assert TRAINING in {rule.name for rule in locked.left_out}


def test_trade_sheets_own_shares() -> None:
    # one tenth on hard level ground, a third on soft
    assert likely(estimate("s", vehicle(30), Ground("road")), SHEETS) == pytest.approx(3.0)
    assert likely(estimate("s", vehicle(30), Ground("soft ground")), SHEETS) == pytest.approx(10.0, rel=2e-3)


def test_at_least_three_rules_stand_side_by_side() -> None:
    result = estimate("road", vehicle(30), Ground("road"))
    assert [rule.name for rule in result.rules] == [TRAINING, HANDBOOK, FRACTIONS, SHEETS]
    assert all(rule.source for rule in result.rules)
    assert [rule.name for rule in estimate("bog", vehicle(30, "wheel"), Ground("bog")).rules] == [
        MILITARY,
        TRAINING,
        FRACTIONS,
    ]


def test_the_greatest_likely_is_chosen_unless_named() -> None:
    result = estimate("r", vehicle(30, "wheel"), Ground("bog"))
    assert result.chosen == max(result.rules, key=lambda rule: rule.likely_N).name == FRACTIONS
    assert estimate("r", vehicle(30, "wheel"), Ground("bog"), chosen=MILITARY).chosen == MILITARY
    named = estimate("r", vehicle(30, "wheel"), Ground("bog"), chosen=MILITARY)
    assert any(FRACTIONS in n.message and "more than" in n.message for n in named.notices)
    assert not any("more than" in n.message for n in result.notices)
    with pytest.raises(PlanRefusal, match="no rolling coefficient for bog") as caught:
        estimate("r", vehicle(30, "wheel"), Ground("bog"), chosen=HANDBOOK)
    assert caught.value.code == "RULE"
    with pytest.raises(QuantityRefusal, match="did you mean 'trade sheets'"):
        estimate("r", vehicle(30), Ground("road"), chosen="trade sheet")


def test_every_rule_left_out_says_why() -> None:
    result = estimate("r", vehicle(30, "fender", wheels="all locked"), Ground("bog"))
    names = {rule.name for rule in result.rules} | {rule.name for rule in result.left_out}
    assert names == set(FAMILIES)
    assert all(rule.reason for rule in result.left_out)
    told = " ".join(notice.message for notice in result.notices)
    assert all(rule.name in told for rule in result.left_out)


def test_a_rule_knows_its_own_depth_words_only() -> None:
    result = estimate("r", vehicle(30, "cab"), Ground("bog"))
    reasons = {rule.name: rule.reason for rule in result.left_out}
    assert "'cab'" in reasons[FRACTIONS]
    assert "STOP_PROFESSIONAL" in {notice.code for notice in result.notices}
    assert MILITARY in {rule.name for rule in estimate("r", vehicle(30, "rim"), Ground("bog")).left_out}


def test_no_rule_is_a_refusal(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("haulwright.field.resistance.FAMILIES", {MILITARY: FAMILIES[MILITARY]})
    with pytest.raises(PlanRefusal, match="mired vehicle only") as caught:
        estimate("r", vehicle(30), Ground("road"))
    assert caught.value.code == "NO_RULE"


def test_downhill_reduces_and_running_away_is_refused() -> None:
    level = estimate("d", vehicle(30), Ground("soft dry sand"))
    down = estimate("d", vehicle(30), slope("soft dry sand", 5, "down"))
    by_hand = 30 * (0.25 * math.cos(math.radians(5)) - math.sin(math.radians(5)))
    assert likely(down, FRACTIONS) == pytest.approx(by_hand)
    assert likely(down, TRAINING) == pytest.approx(30 * (0.25 - 5 / 60))
    assert likely(down, FRACTIONS) < likely(level, FRACTIONS)
    with pytest.raises(PlanRefusal, match="runs away") as caught:
        estimate("d", vehicle(30), slope("road", 10, "down"))
    assert caught.value.code == "RUNS_AWAY"


def test_downhill_range_is_wider_than_a_share_of_the_small_difference() -> None:
    rule = estimate("d", vehicle(30), slope("grass", 8, "down")).rules[0]
    assert rule.high_N - rule.likely_N > 3 * SPREAD * rule.likely_N
    notices = estimate("d", vehicle(30), slope("grass", 8, "down")).notices
    assert any("may run away" in notice.message for notice in notices)


def test_step_is_a_driver_of_its_own() -> None:
    step = Step(0.10, 0.40, 15e3)
    plain = estimate("s", vehicle(30), Ground("gravel"))
    stepped = estimate("s", vehicle(30), Ground("gravel"), step=step)
    for before, after in zip(plain.rules, stepped.rules, strict=True):
        assert after.likely_N - before.likely_N == pytest.approx(0.8819 * 15e3, rel=1e-4)
        assert "step" in after.drivers[-1].name


def test_cautions_always_stand_with_it() -> None:
    codes = [notice.code for notice in estimate("c", vehicle(30), Ground("road")).notices]
    assert codes[:2] == ["ESTIMATE", "DEFER"]


def test_record_keeps_the_contract_keys() -> None:
    body = estimate("c", vehicle(30, "wheel"), Ground("bog")).to_dict()
    assert body["kind"] == "resistance"
    assert {"pull", "weight_N", "rules", "chosen", "notices", "left_out"} <= set(body)
    assert {"name", "low_N", "likely_N", "high_N", "breakout_N", "source", "drivers"} <= set(body["rules"][0])
    assert "breakout" in body["rules"][0]["note"]


@pytest.mark.parametrize(
    ("changed", "ground", "code", "words"),
    [
        ({}, Ground("gras"), "SURFACE", "did you mean 'grass'"),
        ({"sunk": "fendr"}, Ground("bog"), "DEPTH", "did you mean 'fender'"),
        ({"wheels": "locked"}, Ground("bog"), "WHEELS", "all locked"),
        ({}, Ground("bog", 0.1, "uphill"), "DIRECTION", "up, down, level"),
        ({}, Ground("bog", 0.1), "SLOPE", "say up or down"),
        ({}, Ground("bog", -0.1, "up"), "RANGE", "slope"),
        ({"mass_kg": 0.0}, Ground("bog"), "NOT_POSITIVE", "mass"),
        ({"load_kg": -1.0}, Ground("bog"), "NEGATIVE", "load"),
    ],
)
def test_wrong_words_and_numbers_are_refused(
    changed: dict[str, object], ground: Ground, code: str, words: str
) -> None:
    with pytest.raises(Refusal, match=words) as caught:
        estimate("w", replace(vehicle(30), **changed), ground)  # type: ignore[arg-type]
    assert caught.value.code == code


@settings(max_examples=150, deadline=None)
@given(
    mass=st.floats(500, 30000),
    load=st.floats(0, 5000),
    sunk=st.sampled_from(("none", *depth_words())),
    wheels=st.sampled_from(("rolling", "half locked", "all locked")),
    surface=st.sampled_from(surface_words()),
    degrees=st.floats(0.1, 60),
    direction=st.sampled_from(("up", "down")),
)
def test_what_holds_for_every_case(
    mass: float, load: float, sunk: str, wheels: str, surface: str, degrees: float, direction: str
) -> None:
    case = StuckVehicle(mass, load, wheels, sunk)
    try:
        result = estimate("any", case, slope(surface, degrees, direction))
    except PlanRefusal:
        event("refused")
        return
    assert result.weight_N == pytest.approx((mass + load) * G)
    for rule in result.rules:
        assert 0 <= rule.low_N <= rule.likely_N * (1 - SPREAD) + 1e-6
        assert rule.high_N >= rule.likely_N * (1 + SPREAD) - 1e-6
        assert rule.breakout_N >= rule.likely_N
        assert sum(driver.force_N for driver in rule.drivers) == pytest.approx(rule.likely_N)
        assert sum(driver.share for driver in rule.drivers) == pytest.approx(1.0)
        # every family is proportional to the weight
        double = estimate(
            "any", replace(case, mass_kg=2 * mass, load_kg=2 * load), slope(surface, degrees, direction)
        )
        assert next(r.likely_N for r in double.rules if r.name == rule.name) == pytest.approx(
            2 * rule.likely_N
        )
