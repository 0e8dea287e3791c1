"""Two readings against the rig as drawn: what is wrong is caught, what is right passes.

The readings are made up by closed forms, not by the solver: a two-part gives 1 + 1/k hauling, a sheave that does not
turn is a post with k = exp(mu pi) (capstan law, any statics text), a single line gives 1.
"""

import math
import random

import pytest

from haulwright.errors import PlanRefusal, QuantityRefusal
from haulwright.planning.plan import planned
from haulwright.planning.readings import check_readings

PULL = "examples/pulls/rutted-clearing.yaml"
CELL, ZERO_N = 0.01, 20.0
NINE_IN_TEN = 0.9  # a 95 % interval is held against a ratio that is one number


@pytest.fixture(scope="module")
def two_part():
    found = planned(PULL, rig="two-part/on-load")
    assert found.plan.chosen
    return found


def readings(rng, line_N, ratio):
    """Return what two cells would show: class 1 % each way, zero within 20 N."""
    return tuple(
        f"{force * (1.0 + rng.uniform(-CELL, CELL)) + rng.uniform(-ZERO_N, ZERO_N):.1f} N"
        for force in (line_N, line_N * ratio)
    )


def verdicts(found, line_N, ratio, n=60, **how):
    rng = random.Random(5)
    for _ in range(n):
        line, anchor = readings(rng, line_N, ratio)
        yield check_readings(found, line=line, anchor=anchor, zero=f"{ZERO_N:g} N", **how)


def share(records, verdict):
    found = [one.verdict == verdict for one in records]
    return sum(found) / len(found)


@pytest.mark.parametrize("moving", [True, False])
@pytest.mark.parametrize("k", [1.0, 1.06, 1.1])
def test_the_rig_as_drawn_passes(two_part, k, moving):
    assert share(verdicts(two_part, 2500.0, 1.0 + 1.0 / k, moving=moving), "as drawn") >= NINE_IN_TEN


def test_standing_still_friction_may_point_the_other_way(two_part):
    assert share(verdicts(two_part, 2500.0, 1.0 + 1.08, moving=False), "as drawn") == 1.0
    assert share(verdicts(two_part, 2500.0, 1.0 + 1.25, moving=True), "suspect") == 1.0


def explained(records, what):
    found = [any(e.what == what and e.fits for e in one.explanations[1:]) for one in records]
    return sum(found) / len(found)


@pytest.mark.parametrize("moving", [True, False])
def test_exchanged_cells_are_caught(two_part, moving):
    records = list(verdicts(two_part, 4000.0, 1.0 / 1.9, moving=moving))
    assert share(records, "suspect") == 1.0
    assert explained(records, "cells swapped") > 0.95


@pytest.mark.parametrize("moving", [True, False])
def test_a_line_that_misses_the_block_is_caught(two_part, moving):
    records = list(verdicts(two_part, 2500.0, 1.0, moving=moving))
    assert share(records, "suspect") == 1.0
    assert explained(records, "wrong path") >= NINE_IN_TEN


@pytest.mark.parametrize("mu", [0.15, 0.2, 0.25])
def test_a_sheave_that_does_not_turn_is_caught_while_it_moves(two_part, mu):
    ratio = 1.0 + math.exp(-mu * math.pi)
    records = list(verdicts(two_part, 2500.0, ratio, moving=True))
    assert share(records, "suspect") == 1.0
    assert explained(records, "stuck block") == 1.0


def test_a_sheave_that_does_not_turn_is_named_as_what_standing_still_cannot_show(two_part):
    record = check_readings(two_part, line="2500 N", anchor="4800 N")
    assert record.verdict == "as drawn"
    assert any("does not turn" in words for words in record.words)


def test_a_zero_that_was_lost_is_named_with_its_size(two_part):
    record = check_readings(two_part, line="2500 N", anchor="4000 N", moving=True, zero="20 N")
    assert record.verdict == "suspect"
    lost = [one.words for one in record.explanations if one.what == "zero lost"]
    assert any("anchor cell reads 0.4" in words and "too low" in words for words in lost), lost


def test_too_light_to_tell_says_what_to_pull_to_and_that_is_enough(two_part):
    light = check_readings(two_part, line="80 N", anchor="130 N")
    assert light.verdict == "cannot tell"
    assert light.pull_to_N is not None
    assert light.pull_to_N > 80.0
    more = check_readings(two_part, line=light.pull_to_N, anchor=1.9 * light.pull_to_N)
    assert more.verdict == "as drawn"
    wrong = check_readings(two_part, line=1.1 * light.pull_to_N, anchor=1.1 * light.pull_to_N)
    assert wrong.verdict == "suspect"


@pytest.mark.parametrize(
    ("line", "against"), [("5 kN", "below"), ("17 kN", "inside"), ("26 kN", "above"), ("31 kN", "near stall")]
)
def test_a_moving_line_is_held_against_the_effort_planned(two_part, line, against):
    newtons = 1000.0 * float(line.split()[0])
    record = check_readings(two_part, line=line, anchor=1.9 * newtons, moving=True)
    assert record.against_plan == against
    assert any(words.startswith("STOP") for words in record.words) == (against in ("above", "near stall"))


def test_what_cannot_be_judged_is_refused(two_part):
    with pytest.raises(PlanRefusal, match="oka"):
        check_readings(two_part, line="2 kN", anchor="3.8 kN", at="oka")
    with pytest.raises(QuantityRefusal, match="line"):
        check_readings(two_part, line="0 kN", anchor="3.8 kN")
