"""What was seen after a pull, against what was foretold; own pulls in a plan; a runaway named first."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from haulwright.errors import PlanRefusal, QuantityRefusal
from haulwright.files.seen import beside, read_seen
from haulwright.interfaces.cli.main import main
from haulwright.planning.plan import make_plan
from haulwright.planning.resistance import estimate_for
from haulwright.planning.seen import reading, record_seen, times
from haulwright.quantities.measured import Z95, Measured


@pytest.fixture
def file(pull: dict[str, Any], tmp_path: Path) -> Path:
    path = tmp_path / "pull.yaml"
    path.write_text(json.dumps(pull), encoding="utf-8")  # JSON is YAML
    return path


@pytest.mark.parametrize(
    ("given", "value", "half"),
    [
        ("8.4 ± 0.2 kN", 8400.0, 200.0),
        ("8.4 kN ± 200 N", 8400.0, 200.0),
        ("8,4+-0,2 kN", 8400.0, 200.0),
        ("8.4 kN", 8400.0, 252.0),  # 3 % where the swing is not told (house number)
        (8400.0, 8400.0, 252.0),
    ],
)
def test_readings_as_they_are_typed(given: str | float, value: float, half: float) -> None:
    read = reading(given, "line")
    assert read.value == pytest.approx(value)
    assert read.hi - read.value == pytest.approx(half)
    assert read.u == pytest.approx(half / Z95)


@pytest.mark.parametrize("given", ["0 kN", "-2 kN", "8.4", "8.4 ± kN", "many kN", "8.4 kN ± -1 kN"])
def test_a_reading_that_makes_no_sense_is_refused(given: str) -> None:
    with pytest.raises(QuantityRefusal):
        reading(given, "line")


def test_a_product_carries_both_errors() -> None:
    # independent errors to first order: JCGM 100:2008, 5.1: relative variances add
    product = times(Measured.normal(8400.0, 84.0), Measured.normal(1.8, 0.036))
    assert product.u / product.value == pytest.approx((0.01**2 + 0.02**2) ** 0.5)
    assert product.hi - product.value == pytest.approx(Z95 * product.u)


def test_line_reading_times_advantage_against_every_rule(file: Path) -> None:
    plan = make_plan(file)
    best = plan.best
    assert best is not None
    record = record_seen(file, line="9 ± 0.1 kN", by="me", note="damp", when="2026-05-02T10:00:00")
    advantage = plan.measured(best, "advantage")
    assert record.rig == best.rig
    assert record.seen_N.value == pytest.approx(9e3 * advantage.value)
    assert record.seen_N.lo < record.seen_N.value < record.seen_N.hi
    for rule, said in zip(plan.resistance_N.rules, record.rules, strict=True):
        assert (said.rule, said.likely_N) == (rule.name, rule.likely_N)
        assert said.ratio.value == pytest.approx(record.seen_N.value / rule.likely_N)
        inside = rule.low_N <= record.seen_N.value <= rule.high_N
        assert (said.verdict == "inside") == inside
    assert record.entries == 1
    (pull,) = read_seen(beside(file))
    assert pull.seen_N == pytest.approx(record.seen_N.value, rel=1e-4)
    assert set(pull.predicted_N) == {rule.name for rule in plan.resistance_N.rules}


def test_the_anchors_reading_is_the_sibling(file: Path) -> None:
    # winch on the vehicle, line doubled: the tree carries the whole resistance, whatever the block's friction
    rig = "two-part/on-load"
    plan = make_plan(file, rig=rig)
    best = plan.best
    assert best is not None
    line_N = 16e3 / best.advantage
    agree = record_seen(file, line=f"{line_N:.0f} ± 100 N", anchor="16 ± 0.1 kN", rig=rig)
    assert agree.by_anchor_N is not None
    assert agree.by_anchor_N.value == pytest.approx(16e3, rel=1e-3)
    assert agree.by_line_N.value == pytest.approx(16e3, rel=1e-3)
    assert not any("disagree" in notice.message for notice in agree.notices)
    swapped = record_seen(file, line="16 ± 0.1 kN", anchor=f"{line_N:.0f} ± 100 N", rig=rig)
    assert any("disagree" in notice.message for notice in swapped.notices)
    assert swapped.entries == 2


def test_one_that_did_not_move_is_kept_and_enters_no_ratio(file: Path) -> None:
    for day in (1, 2, 3):
        record_seen(file, line="9 kN", moved=False, when=f"2026-05-0{day}")
    assert [pull.moved for pull in read_seen(beside(file))] == [False] * 3
    case = {**json.loads(file.read_text(encoding="utf-8")), "own": str(beside(file))}
    from haulwright.files.pull import read_pull

    assert estimate_for(read_pull(case)).own == ()


def test_a_plan_goes_by_own_pulls_when_told(pull: dict[str, Any], file: Path) -> None:
    for day, line in ((1, "9 kN"), (2, "10 kN"), (3, "8.5 kN")):
        record_seen(file, line=line, breakout="12 kN", when=f"2026-05-0{day}")
    plain = make_plan(pull)
    with pytest.raises(PlanRefusal, match="needs 3 own pulls"):
        make_plan({**pull, "rule": "own pulls"})
    plan = make_plan({**pull, "rule": "own pulls", "own": str(beside(file))})
    r = plan.resistance_N
    assert r.chosen == "own pulls"
    assert r.low < r.likely < r.high <= r.breakout
    assert r.likely < plain.resistance_N.likely
    assert r.high - r.low < plain.resistance_N.high - plain.resistance_N.low


def test_a_runaway_is_all_a_plan_says(
    pull: dict[str, Any], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "pull.yaml"
    pull["vehicle"]["sunk"] = "none"
    pull["ground"] = {"surface": "road", "slope": "12 deg", "direction": "down"}
    file.write_text(json.dumps(pull), encoding="utf-8")
    assert main(["plan", "make", str(file)]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert err.startswith("Refused (RUNS_AWAY): Downhill, this vehicle runs away by itself")


def test_one_that_may_run_away_is_the_first_warning_of_a_plan(pull: dict[str, Any]) -> None:
    pull["vehicle"]["sunk"] = "none"
    pull["ground"] = {"surface": "gravel", "slope": "5 deg", "direction": "down"}
    plan = make_plan(pull)
    warnings = [notice for notice in plan.notices if notice.level == "warning"]
    assert warnings[0].code == "RUNAWAY"
    assert warnings[0].message.startswith("Downhill, this vehicle may run away by itself")


def test_pulled_back_the_slope_turns_about(pull: dict[str, Any]) -> None:
    from haulwright.files.pull import read_pull

    up = estimate_for(read_pull(pull))
    down = estimate_for(read_pull({**pull, "ground": {**pull["ground"], "direction": "down"}}))
    back = estimate_for(read_pull(pull), back=True)
    assert [rule.likely_N for rule in back.rules] == [rule.likely_N for rule in down.rules]
    assert back.rules[0].likely_N < up.rules[0].likely_N


def test_own_savings_scale_as_the_own_rule(pull: dict[str, Any], file: Path) -> None:
    from haulwright.files.pull import read_pull

    for day, line in ((1, "9 kN"), (2, "10 kN"), (3, "8.5 kN")):
        record_seen(file, line=line, when=f"2026-05-0{day}")
    own = estimate_for(read_pull({**pull, "rule": "own pulls", "own": str(beside(file))}))
    base = estimate_for(read_pull({**pull, "rule": own.own_on}))
    for ours, theirs in zip(own.savings, base.savings, strict=True):
        assert ours.what == theirs.what
        assert ours.share == pytest.approx(theirs.share)
        if theirs.rule == own.own_on:
            ratio = next(one.ratio for one in own.own if one.rule == own.own_on)
            assert ours.rule == "own pulls"
            assert ours.saved_N == pytest.approx(ratio * theirs.saved_N)


def test_a_pull_without_a_file_makes_the_record_and_writes_nothing(
    pull: dict[str, Any], tmp_path: Path
) -> None:
    record = record_seen(pull, line="9 kN")
    assert (record.file, record.entries) == ("", 0)
    assert record.to_dict()["seen_N"]["value"] == record.seen_N.value
    assert not list(tmp_path.iterdir())
