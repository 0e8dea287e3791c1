"""A campaign before its day: order of the sheet, what it will tell, how many pulls, and rehearsal on known truth."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from haulwright.errors import RigRefusal, TrialRefusal
from haulwright.files.campaign import read_spec
from haulwright.files.runsheet import read_run_sheet
from haulwright.mechanics.tackles import named_rig
from haulwright.trials.combine import Pooled
from haulwright.trials.compare import runs_for_difference, runs_for_equivalence
from haulwright.trials.design import (
    configurations_of,
    design_campaign,
    expected_errors,
    make_sheet,
    power_of_difference,
    power_of_equivalence,
    rehearse,
)
from haulwright.trials.design.make import gain_sd, models
from haulwright.trials.design.pretend import Truth, from_logs, made_directly
from haulwright.trials.design.sheet import sheet_csv
from haulwright.trials.fit import FitRun, fit_friction
from haulwright.trials.friction import RigModel, rig_model
from haulwright.workflows import examples

TWO, THREE, FOUR = "two-part", "three-part", "stacked two-parts"


K = {"fine": 1.05, "fair": 1.20, "poor": 1.40}


def pulls(*rigs: str, devices: tuple[str, ...] = tuple(K)) -> list[RigModel]:
    """Return two pulls of each rig with each device, on all its blocks; of a series rig two in all."""
    found = []
    for name in rigs:
        rig = named_rig(name)
        blocks = len(rig_model(rig).devices)
        found += (
            [rig_model(rig, [one] * blocks) for one in devices for _ in range(2)]
            if blocks
            else [rig_model(rig)] * 2
        )
    return found


# Standard error of k × 1000 for three devices of one day, k = 1.05, 1.20, 1.40; two pulls each, 0.3 % each; gain of the
# cells known, known by classes of 0.7 %, not known. The closed forms by hand: two-part ln A = ln(1 + e) has the slope
# e / (1 + e) in ln k; three-part (e + 2 e²) / (1 + e + e²); stacked 2 e / (1 + e); worked out by linear regression.
TABLE = [
    ((TWO,), (5, 6, 7), (13, 16, 21), None),
    ((TWO, "series"), (5, 6, 7), (6, 8, 10), (7, 8, 10)),
    ((TWO, THREE), (2, 3, 3), (4, 5, 6), (4, 5, 7)),
    ((TWO, FOUR), (2, 3, 3), (4, 5, 6), (4, 5, 6)),
    ((TWO, THREE, FOUR), (1.5, 2, 2.5), (3, 4, 5), (4, 4, 6)),
    ((TWO, THREE, FOUR, "series"), (1.5, 2, 2.5), (2, 3, 4), (3, 3, 4)),
    ((THREE,), (2, 3, 4), (7, 8, 11), None),
    ((FOUR,), (2, 3, 4), (7, 8, 11), None),
]


@pytest.mark.parametrize(("rigs", "known", "classed", "unknown"), TABLE)
def test_expected_errors_of_the_usual_designs(
    rigs: tuple[str, ...],
    known: tuple[float, ...],
    classed: tuple[float, ...],
    unknown: tuple[float, ...] | None,
) -> None:
    for sd, row in ((0.0, known), (gain_sd([0.007, 0.007]), classed), (math.inf, unknown)):
        found = expected_errors(pulls(*rigs), K, scatter=0.003, gain_sd=sd)
        if row is None:
            assert found.unidentified == tuple(sorted(K))
            assert found.u == {}
        else:
            assert [1000.0 * found.u[name] for name in K] == pytest.approx(
                list(row), abs=0.8
            )  # printed rounded


def test_expected_errors_by_hand() -> None:
    # two-part twice, gain known: u(ln A) = 0.3 % / sqrt 2; k u (1 + e) / e
    found = expected_errors(pulls(TWO, devices=("d",)), {"d": 1.25}, gain_sd=0.0).u["d"]
    assert found == pytest.approx(1.25 * 0.003 / math.sqrt(2.0) * 1.8 / 0.8, rel=1e-6)
    # two-part and stacked, gain free: ln A4 - ln A2 = ln(1 + e) is all there is, with twice the variance
    found = expected_errors(pulls(TWO, FOUR, devices=("d",)), {"d": 1.25}).u["d"]
    assert found == pytest.approx(1.25 * 0.003 * 1.8 / 0.8, rel=1e-6)


def test_two_unknown_devices_of_one_stacked_rig_are_refused_by_name() -> None:
    stacked = rig_model(named_rig(FOUR), ["puck", "hoop"])
    found = expected_errors([stacked] * 4, {"puck": 1.1, "hoop": 1.1}, gain_sd=0.0)
    assert found.unidentified == ("hoop", "puck")
    assert found.u == {}


def test_expected_errors_are_those_of_the_fit() -> None:
    """The information matrix before the day is the covariance of the fit after it."""
    runs = make_sheet(configurations_of([TWO, THREE], ["a", "b"]), repeats=2, series=2, seed=2)
    truth = Truth({"a": 1.10, "b": 1.25}, 0.0, 0.003, (0.005, 0.005))
    rigs = models(runs)
    results = [made_directly(runs, rigs, truth, seed)[i] for i in range(len(runs)) for seed in (0,)]
    fit = fit_friction([FitRun(r, m) for r, m in zip(results, rigs, strict=True)], Pooled(0.0, 10_000))
    expected = expected_errors(rigs, truth.k, scatter=0.003, gain_sd=gain_sd([0.005, 0.005]))
    for name in "ab":
        assert fit.devices[name].k.u == pytest.approx(
            expected.u[name], rel=0.3
        )  # noise is drawn within ± 30 %


def test_power_against_a_general_library() -> None:
    # statsmodels.stats.power.TTestIndPower (noncentral t)
    power = pytest.importorskip("statsmodels.stats.power").TTestIndPower()
    for n in (2, 4, 9, 17):
        for d in (0.5, 1.0, 2.0):
            assert power_of_difference(n, 1.0, d) == pytest.approx(power.power(d, n, 0.05), abs=1e-6)
    for d, n in ((1.0, 17), (1.5, 9), (2.0, 6), (3.0, 4)):
        exact = power.solve_power(effect_size=d, alpha=0.05, power=0.8)
        assert math.ceil(exact - 1e-9) == runs_for_difference(1.0, d) == n


def test_power_of_equivalence_in_simulation() -> None:
    # two one-sided t tests on 20 000 drawn pairs of samples; statsmodels' ttost_ind on some of them
    weights = pytest.importorskip("statsmodels.stats.weightstats")
    rng = np.random.default_rng(6)
    n, sd, margin = 5, 0.35, 0.7
    a, b = rng.normal(0.0, sd, (20_000, n)), rng.normal(0.0, sd, (20_000, n))
    se = np.sqrt((a.var(axis=1, ddof=1) + b.var(axis=1, ddof=1)) / n)
    alike = (
        np.abs(a.mean(axis=1) - b.mean(axis=1)) + 1.859548 * se < margin
    )  # t table: 0.95, 8 degrees of freedom
    assert power_of_equivalence(n, sd, margin) == pytest.approx(alike.mean(), abs=0.012)
    for i in range(40):
        p, _, _ = weights.ttost_ind(a[i], b[i], -margin, margin)
        assert (p < 0.05) == alike[i]
    assert power_of_equivalence(runs_for_equivalence(0.35, 1.0), 0.35, 1.0) >= 0.8


def test_pulls_for_the_difference_that_matters() -> None:
    # with a scatter of 0.35 % a difference of 0.5 % takes 9 pulls each, 1 % takes 4 (t quantiles, iterated)
    assert runs_for_difference(0.35, 0.5) == 9
    assert runs_for_difference(0.35, 1.0) == 4


def test_order_is_random_mirrored_and_repeatable() -> None:
    configurations = [(TWO, (name,)) for name in "abcde"]
    runs = make_sheet(configurations, repeats=4, series=3, seed=7)
    assert runs == make_sheet(configurations, repeats=4, series=3, seed=7)
    assert runs != make_sheet(configurations, repeats=4, series=3, seed=8)
    blocks = {n: [r.devices for r in runs if r.block == n] for n in (1, 2, 3, 4)}
    assert all(sorted(block) == [(x,) for x in "abcde"] for block in blocks.values())
    assert blocks[2] == blocks[1][::-1]
    assert blocks[4] == blocks[3][::-1]
    series = [i for i, r in enumerate(runs) if r.role == "series"]
    assert series == [0, 11, 22]
    assert len({r.run for r in runs}) == len(runs)


def test_a_steady_drift_of_the_day_falls_on_all_alike() -> None:
    runs = make_sheet([(TWO, (name,)) for name in "abcd"], repeats=6, series=0, seed=3)
    place = {name: np.mean([i for i, r in enumerate(runs) if r.devices == (name,)]) for name in "abcd"}
    assert max(place.values()) - min(place.values()) < 1e-9


def test_the_sheet_is_a_run_sheet(tmp_path: Path) -> None:
    runs = make_sheet(configurations_of([TWO, "three-part=b;a"], ["a", "b"]), seed=5)
    (tmp_path / "runs.csv").write_text(sheet_csv(runs, ("l", "c")), encoding="utf-8")
    read = read_run_sheet(tmp_path / "runs.csv", tmp_path / "logs", logs_needed=False)
    assert [(r.run, r.rig, r.devices, r.repeat) for r in read] == [
        (r.run, r.rig, r.devices, r.repeat) for r in runs
    ]
    assert all(len(r.logs) == 2 for r in read)
    (tmp_path / "joint.csv").write_text(sheet_csv(runs, one_log=True), encoding="utf-8")
    assert all(
        len(r.logs) == 1 for r in read_run_sheet(tmp_path / "joint.csv", tmp_path / "logs", logs_needed=False)
    )


def test_wrong_input_is_refused_by_name() -> None:
    for rigs, devices, code, named in (
        (["three-part=a"], ["a"], "DEVICES", "1 device"),
        (["two-part=x"], ["a"], "DEVICES", "'x'"),
        (["two-part"], [], "DEVICES", "no device"),
    ):
        with pytest.raises(TrialRefusal) as caught:
            configurations_of(rigs, devices)
        assert caught.value.code == code
        assert named in caught.value.message
    with pytest.raises(RigRefusal):
        configurations_of(["two-prat"], ["a"])
    for options in ({"repeats": 0}, {"repeats": 99}, {"series": -1}):
        with pytest.raises(TrialRefusal, match="repeats"):
            make_sheet([(TWO, ("a",))], **options)
    with pytest.raises(TrialRefusal, match="Nothing to pull"):
        make_sheet([])
    with pytest.raises(TrialRefusal, match="above 0"):
        power_of_difference(4, 0.0, 1.0)


def test_design_of_the_example() -> None:
    spec = read_spec(examples() / "campaign")
    poor = design_campaign(spec, ["three-part=puck-A;hoop-B"], repeats=1, series=0)
    assert [one.u for one in poor.devices.values()] == [None, None]
    assert {n.code for n in poor.notices} >= {"NOT_IDENTIFIED", "ADVICE"}
    assert any("No series pull" in n.message for n in poor.notices)
    assert poor.pulls.power_difference == 0.0
    good = design_campaign(spec, [TWO, THREE], repeats=4, scatter=0.0035, difference=0.01)
    assert good.pulls.to_differ == 4
    assert all(one.u is not None and one.u < 0.006 for one in good.devices.values())
    assert not [n for n in good.notices if n.code == "NOT_IDENTIFIED"]


def test_a_rehearsal_tells_what_the_sheet_can_do() -> None:
    runs = make_sheet(configurations_of([TWO], ["a", "b", "c"]), repeats=3, seed=1)
    truth = Truth({"a": 1.20, "b": 1.20, "c": 1.30}, 0.002, 0.002, (0.002, 0.002))
    found = rehearse("x", runs, truth, margin=0.02, campaigns=25, seed=3)
    pairs = {frozenset((p.a[-1], p.b[-1])): p for p in found.pairs}
    assert pairs[frozenset("ac")].different > 0.9
    assert abs(math.log(pairs[frozenset("ac")].ratio)) == pytest.approx(
        math.log((1 + 1 / 1.2) / (1 + 1 / 1.3))
    )
    same = pairs[frozenset("ab")]
    assert same.ratio == pytest.approx(1.0)
    assert same.equivalent > 0.6
    assert same.different <= 0.12
    assert found.devices["a"].held >= 0.8
    assert found.to_dict() == rehearse("x", runs, truth, margin=0.02, campaigns=25, seed=3).to_dict()


def test_a_rehearsal_from_logs_finds_the_friction() -> None:
    runs = make_sheet(configurations_of([TWO], ["a"]), repeats=2, series=1, seed=1)
    truth = Truth({"a": 1.20}, 0.002, 0.002, (0.002, 0.002))
    results = from_logs(runs, models(runs), truth, 4)
    assert [r.run for r in results] == [r.run for r in runs]
    for result in results[1:]:
        assert result.advantage.value == pytest.approx(1 + 1 / 1.2, rel=0.015)
