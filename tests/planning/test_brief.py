"""Brief, marks and the end of a pull: each number of people has its tasks, and no safety line goes missing."""

import copy

import pytest

from haulwright.planning.plan import make_plan, planned
from haulwright.quantities.units import speaking

PULL = "examples/pulls/rutted-clearing.yaml"
HELPER = "examples/pulls/helper-ahead.yaml"


@pytest.fixture(scope="module")
def plan():
    return make_plan(PULL)


def test_without_a_number_there_is_a_brief_for_two_and_one_for_five(plan):
    assert set(plan.briefs) == {"2", "5"}
    assert plan.brief == plan.briefs["5"]


@pytest.mark.parametrize("source", [PULL, HELPER])
@pytest.mark.parametrize("crew", ["2", "5"])
def test_every_brief_has_what_must_be_said(source, crew):
    text = " ".join(make_plan(source).briefs[crew])
    for words in (
        "stalls at",
        "Nobody within",
        "inside a bend",
        "Anyone may call stop",
        "secured",
        "Say back",
        "leads",
    ):
        assert words in text or (words == "leads" and "leader" in text), words


@pytest.mark.parametrize("crew", [3, 4, 5, 8])
def test_with_three_or_more_the_leader_works_nothing(pull, crew):
    given = copy.deepcopy(pull)
    given["want"] = {"travel": "5 m", "people": crew}
    brief = " ".join(make_plan(given).brief)
    assert "leader outside gives every signal and works nothing" in brief


def test_one_person_alone_is_told_to_wait(pull):
    given = copy.deepcopy(pull)
    given["want"] = {"travel": "5 m", "people": 1}
    assert "Not alone" in " ".join(make_plan(given).brief)


def test_the_vehicle_is_secured_before_the_line_goes_slack_and_the_winch_isolated_before_unhooking(plan):
    steps = [words.lower() for words in plan.closing]
    order = [
        next(i for i, words in enumerate(steps) if key in words)
        for key in ("secure it", "slacken slowly", "isolate")
    ]
    assert order == sorted(order)
    assert "unhook" in steps[order[-1]]


def test_marks_stop_at_the_high_resistance_or_before_a_limit(plan):
    best = plan.best
    line, *anchors = plan.marks
    assert line.stop_N == pytest.approx(min(best.effort_N.high, best.winch_limit_N))
    checks = {item.item: item for item in best.items}
    assert [mark.place for mark in anchors] == ["oak"]
    for mark in anchors:
        assert mark.stop_N <= checks[mark.place].limit_N
        assert mark.low_N < mark.high_N


def test_sentences_speak_the_unit_asked_and_numbers_stay_si(plan):
    with speaking("kgf"):
        other = make_plan(PULL)
    assert "kgf" in " ".join(other.brief)
    assert "kN" not in " ".join(other.brief)
    assert other.best.effort_N == plan.best.effort_N


def test_the_zone_follows_the_rig_from_start_to_end():
    found = planned(PULL)
    zone = found.plan.zone
    names = {part.name for part in zone.parts}
    assert names == {"wagon to oak", "oak to wagon"}
    starts = {part.ends_m for part in zone.parts if part.name == "wagon to oak"}
    assert any(ends[0] == (0.0, 0.0) for ends in starts)
    assert zone.stand_m
    for spot in zone.stand_m:
        assert abs(spot[1]) >= zone.radius_m - 1e-6
