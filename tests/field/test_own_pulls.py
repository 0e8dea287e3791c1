"""Own pulls: Student's t against a statistics library, the interval by hand, and its coverage by simulation."""

from __future__ import annotations

import math
import random
from dataclasses import replace

import pytest
from scipy import stats

from haulwright.errors import PlanRefusal, QuantityRefusal
from haulwright.field.families import FRACTIONS, MILITARY, TRAINING
from haulwright.field.own_pulls import OWN, SeenPull, own_ratios, own_rule, student_t
from haulwright.field.resistance import Ground, StuckVehicle, estimate

CASE, BOG = StuckVehicle(3000.0, sunk="wheel"), Ground("bog")
LIKELY = {rule.name: rule.likely_N for rule in estimate("p", CASE, BOG).rules}


@pytest.mark.parametrize("degrees", [1, 2, 3, 4, 5, 9, 10, 29, 30, 200, 201])
@pytest.mark.parametrize("confidence", [0.5, 0.95, 0.99])
def test_student_t_against_a_statistics_library(degrees: int, confidence: float) -> None:
    assert student_t(degrees, confidence) == pytest.approx(
        stats.t.ppf(0.5 + confidence / 2, degrees), rel=1e-9
    )


def test_student_t_refuses_what_has_no_meaning() -> None:
    for degrees, confidence in ((0, 0.95), (3, 1.0), (3, 0.0)):
        with pytest.raises(QuantityRefusal):
            student_t(degrees, confidence)


def pulls(*seen_N: float, **more: object) -> list[SeenPull]:
    return [SeenPull("bog", "wheel", LIKELY, seen, **more) for seen in seen_N]  # type: ignore[arg-type]


def test_the_interval_by_hand() -> None:
    # prediction interval of one further observation of a normal sample, on logarithms
    seen = (14e3, 11e3, 17e3, 12e3)
    logs = [math.log(one / LIKELY[TRAINING]) for one in seen]
    mean = sum(logs) / 4
    sd = math.sqrt(sum((x - mean) ** 2 for x in logs) / 3)
    half = stats.t.ppf(0.975, 3) * sd * math.sqrt(1.25)
    ratio = next(one for one in own_ratios(pulls(*seen), "bog", "wheel") if one.rule == TRAINING)
    assert (ratio.n, ratio.used) == (4, True)
    assert ratio.ratio == pytest.approx(math.exp(mean))
    assert (ratio.low, ratio.high) == pytest.approx((math.exp(mean - half), math.exp(mean + half)))


def test_only_like_ground_that_moved_counts_and_one_hole_in_one_day_is_one_pull() -> None:
    like = pulls(14e3, 12e3)
    other = [replace(like[0], surface="clay"), replace(like[0], sunk="fender"), replace(like[0], moved=False)]
    assert {one.n for one in own_ratios([*like, *other], "bog", "wheel")} == {2}
    same = pulls(14e3, 14.1e3, 13.9e3, one_of="creek, 2026-05-02")
    assert {one.n for one in own_ratios(same, "bog", "wheel")} == {1}
    assert own_ratios([], "bog", "wheel") == ()


def test_fewer_than_three_are_shown_and_not_used() -> None:
    result = estimate("p", CASE, BOG, seen=pulls(14e3, 12e3))
    assert {one.used for one in result.own} == {False}
    assert OWN not in {rule.name for rule in result.rules}
    with pytest.raises(PlanRefusal, match=r"needs 3 own pulls .* there are 2") as caught:
        estimate("p", CASE, BOG, chosen=OWN, seen=pulls(14e3, 12e3))
    assert caught.value.code == "RULE"


def test_own_pulls_stand_beside_the_others_and_are_used_when_named() -> None:
    past = pulls(14e3, 12e3, 16e3)
    beside = estimate("p", CASE, BOG, seen=past)
    assert [rule.name for rule in beside.rules][-1] == OWN
    assert beside.chosen == FRACTIONS  # never by itself
    named = estimate("p", CASE, BOG, chosen=OWN, seen=past)
    own = named.rules[-1]
    assert named.chosen == OWN
    assert own.likely_N == pytest.approx((14e3 * 12e3 * 16e3) ** (1 / 3))
    assert own.low_N < own.likely_N < own.high_N == own.breakout_N
    assert sum(driver.force_N for driver in own.drivers) == pytest.approx(own.likely_N)
    assert any(
        MILITARY in n.message or FRACTIONS in n.message for n in named.notices if n.code == "OUT_OF_RANGE"
    )


def test_what_started_them_gives_the_breakout() -> None:
    past = [replace(one, breakout_N=3.0 * one.seen_N) for one in pulls(14e3, 12e3, 16e3)]
    own = estimate("p", CASE, BOG, chosen=OWN, seen=past).rules[-1]
    assert own.breakout_N == pytest.approx(3.0 * own.high_N)
    with_suction = estimate("p", replace(CASE, suction_N=2e3), BOG, chosen=OWN, seen=past).rules[-1]
    assert with_suction.breakout_N == pytest.approx(own.breakout_N + 2e3)


def test_equal_readings_do_not_make_it_certain() -> None:
    sure = own_ratios(pulls(14e3, 14e3, 14e3, u_share=0.03), "bog", "wheel")[0]
    assert sure.scatter == pytest.approx(0.03)
    assert (sure.high or 0) / (sure.low or 1) > 1.2


def test_where_it_may_run_away_no_own_rule_is_made() -> None:
    ground = Ground("grass", math.radians(8), "down")
    rules = estimate("d", StuckVehicle(3000.0), ground).rules
    past = [SeenPull("grass", "none", {rule.name: 1e3 for rule in rules}, seen) for seen in (900, 1000, 1100)]
    assert own_rule(own_ratios(past, "grass", "none"), rules, rules[0].name) is None


@pytest.mark.parametrize("n", [3, 5, 12])
@pytest.mark.parametrize("scatter", [0.15, 0.5])
def test_coverage_by_simulation(n: int, scatter: float) -> None:
    # truth: every pull asks 0.7 times the rule, times a lognormal scatter; 95 % of next pulls must lie inside
    dice, rounds, inside = random.Random(20 * n + int(100 * scatter)), 4000, 0
    rules = estimate("p", CASE, BOG).rules
    for _ in range(rounds):
        *past, coming = (0.7 * LIKELY[FRACTIONS] * math.exp(dice.gauss(0.0, scatter)) for _ in range(n + 1))
        found = own_rule(own_ratios(pulls(*past), "bog", "wheel"), rules, FRACTIONS)
        assert found is not None
        inside += found[0].low_N <= coming <= found[0].high_N
    assert inside / rounds == pytest.approx(0.95, abs=4 * math.sqrt(0.95 * 0.05 / rounds))
