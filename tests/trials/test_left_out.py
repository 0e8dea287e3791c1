"""Configurations predicted from the runs of all others, against fits that really leave them out."""

from __future__ import annotations

import numpy as np
import pytest

from haulwright.mechanics.tackles import named_rig
from haulwright.trials.combine import Pooled
from haulwright.trials.design import configurations_of, make_sheet
from haulwright.trials.design.make import models
from haulwright.trials.design.pretend import Truth, made_directly
from haulwright.trials.fit import FitRun, fit_friction

TRUTH = Truth({"a": 1.08, "b": 1.28}, 0.0025, 0.002, (0.003, 0.003))


def fit_runs(rigs: list[str], seed: int, series: int = 2) -> list[FitRun]:
    runs = make_sheet(configurations_of(rigs, ["a", "b"]), repeats=2, series=series, seed=seed)
    found = models(runs)
    return [FitRun(r, m) for r, m in zip(made_directly(runs, found, TRUTH, seed), found, strict=True)]


@pytest.mark.parametrize("seed", range(4))
def test_prediction_is_that_of_a_fit_without_those_runs(seed: int) -> None:
    runs, pooled = fit_runs(["two-part", "three-part", "stacked two-parts"], seed), Pooled(0.0025**2, 9)
    told = fit_friction(runs, pooled).left_out
    assert len(told) == 6
    for one in told:
        rest = [run for run in runs if (run.result.rig, run.model.devices) != (one.rig, one.devices)]
        fit = fit_friction(rest, pooled)
        advantage = fit.predict(named_rig(one.rig), one.devices)
        gain = fit.cells["anchor cell"].gain.value if fit.cells else 1.0
        assert one.predicted.value == pytest.approx(
            advantage.value * gain, rel=4e-4
        )  # first order, about the full fit
        mine = [run.result.advantage.value for run in runs if run not in rest]
        assert one.measured == pytest.approx(
            float(np.exp(np.mean(np.log(mine)))), rel=2e-3
        )  # a weighted mean


def test_a_device_no_other_run_knows_is_not_predicted() -> None:
    runs = fit_runs(["two-part", "three-part=a;a"], 1)
    told = fit_friction(runs, Pooled(0.0025**2, 9)).left_out
    assert {(one.rig, one.devices) for one in told} == {("two-part", ("a",)), ("three-part", ("a", "a"))}


def test_a_faulty_configuration_stands_out() -> None:
    runs = fit_runs(["two-part", "three-part", "stacked two-parts"], 2)
    bad = [r for r in fit_runs(["two-part"], 2, series=0) if r.model.devices == ("b",)]
    kept = [r for r in runs if (r.result.rig, r.model.devices) != ("two-part", ("b",))]
    wrong = Truth({"a": 1.08, "b": 1.45}, 0.0, 0.002, (0.003, 0.003))
    sheet = make_sheet(configurations_of(["two-part=b"], ["a", "b"]), repeats=2, series=0)
    rigs = models(sheet)
    faulty = [FitRun(r, m) for r, m in zip(made_directly(sheet, rigs, wrong, 5), rigs, strict=True)]
    assert len(bad) == len(faulty)
    told = {
        (one.rig, one.devices): one for one in fit_friction([*kept, *faulty], Pooled(0.0025**2, 9)).left_out
    }
    worst = max(told.values(), key=lambda one: abs(one.measured / one.predicted.value - 1.0))
    assert (worst.rig, worst.devices) == ("two-part", ("b",))
    assert not worst.inside
