"""The made-up runs are what they claim: physics against the rig solver, noise against theory, files against the reader."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from haulwright.errors import Refusal
from haulwright.mechanics.statics import solve_rig
from haulwright.mechanics.tackles import named_rig
from haulwright.trials.cells import CellSpec
from haulwright.trials.estimate import measure
from haulwright.trials.readers import read_log
from haulwright.trials.simulate import (
    DIALECTS,
    RunPlan,
    draw_plan,
    eyeballed,
    iid_interval,
    mean_of_ratios,
    overlap,
    side_by_side,
    simulate_run,
    write_run,
)
from haulwright.trials.simulate.forces import make_forces, run_rig
from haulwright.trials.simulate.motion import make_course, mobilisation
from haulwright.trials.simulate.noise import swing, vibration, wander

TICK = 0.02


@pytest.mark.parametrize(
    "rig", ["series", "two-part", "three-part", "stacked two-parts/on-load", "five-part"]
)
def test_truth_is_the_rig_solver_s(rig: str) -> None:
    """Without wandering friction the long-run advantage is the solved one."""
    run = simulate_run(RunPlan(rig=rig, ratios=(1.2,), friction_wander=0.0), 1)
    assert run.advantage == pytest.approx(solve_rig(named_rig(rig), ratio=1.2).advantage, rel=1e-9)
    assert run.frictionless == pytest.approx(
        named_rig(rig) and solve_rig(named_rig(rig), ratio=1.0).advantage
    )


def test_truth_is_the_long_run_ratio_of_means() -> None:
    plan = RunPlan(rig="three-part", ratios=(1.1, 1.3), steady_s=4000.0, vibration=0.0)
    forces = make_forces(plan, 0.1, np.random.default_rng(3))
    ((start, end),) = forces.course.spans("steady")
    part = slice(int(start / 0.1), int(end / 0.1))
    ratio = forces.anchor_kgf[part].mean() / forces.line_kgf[part].mean()
    assert ratio == pytest.approx(forces.advantage, rel=1e-3)


def test_friction_rests_in_its_band_and_turns_round() -> None:
    course = make_course(RunPlan(stop_s=30.0), TICK, np.random.default_rng(2))
    turned = mobilisation(course, np.random.default_rng(2))
    assert turned.min() == -1.0
    assert turned.max() == 1.0
    at = {name: slice(int(a / TICK), int(b / TICK)) for name, a, b in course.phases}
    assert np.allclose(turned[at["steady"]][500:], 1.0, atol=1e-3)
    assert turned[at["release"]][-1] == -1.0
    assert turned[at["stop"]][-1] < 1.0
    # a two-part lets back with its ratio the other way round: load over effort is above 2 then
    rig = run_rig("two-part", (1.2,))
    back = 1.0 / rig.effort(np.array([[-np.log(1.2)]]))[0]
    assert 2.0 < back < 2.0 + 0.2 + 0.02


def test_noise_has_the_variance_and_colour_it_claims() -> None:
    """Theory of the Ornstein-Uhlenbeck process: variance 1, correlation exp(-t / tau)."""
    slow = wander(400_000, TICK, 0.5, np.random.default_rng(1))
    assert slow.var() == pytest.approx(1.0, rel=0.05)
    assert np.corrcoef(slow[:-25], slow[25:])[0, 1] == pytest.approx(np.exp(-1.0), abs=0.03)
    slip = swing(400_000, TICK, 2.0, 0.3, np.random.default_rng(1))
    assert slip.var() == pytest.approx(1.0, rel=0.1)
    spectrum = np.abs(np.fft.rfft(vibration(50_000, TICK, np.random.default_rng(1)))) ** 2
    assert 6.0 * 0.9 < np.fft.rfftfreq(50_000, TICK)[np.argmax(spectrum)] < 9.0 * 1.1


def test_the_same_seed_gives_the_same_run() -> None:
    one, other = (simulate_run(draw_plan(7), 7) for _ in range(2))
    assert np.array_equal(one.log.channels["line"].force_N, other.log.channels["line"].force_N)
    assert not np.array_equal(
        one.log.channels["line"].force_N[:50], simulate_run(draw_plan(7), 8).log.channels["line"].force_N[:50]
    )


def test_faults_are_there() -> None:
    clean = simulate_run(RunPlan(), 3).log.channels
    faulty = simulate_run(RunPlan(dropouts=2, spikes=3), 3).log.channels
    assert sum(c.gaps for c in faulty.values()) > sum(c.gaps for c in clean.values())
    top = max(float(c.force_N.max()) for c in clean.values())
    low = min(float(c.force_N.min()) for c in faulty.values())
    assert max(float(c.force_N.max()) for c in faulty.values()) > 1.2 * top or low < -500.0
    whole = simulate_run(RunPlan(whole_seconds=True), 3).log.channels["line"]
    assert np.allclose(whole.time_s, np.round(whole.time_s))
    held = simulate_run(RunPlan(held=True), 3).log.channels
    assert np.array_equal(held["line"].time_s[:50], held["anchor"].time_s[:50])


@pytest.mark.parametrize("dialect", DIALECTS)
def test_every_dialect_is_read_and_measured(dialect: str, tmp_path: Path) -> None:
    run = simulate_run(RunPlan(rate_Hz=2.0, ratios=(1.15,)), 6)
    paths = write_run(run, tmp_path, "run", dialect)
    cells = {place: CellSpec(place, None, 0.005) for place in ("line", "anchor")}
    options = {"run": "r", "rig_name": "two-part", "frictionless": 2.0, "lowest": 1.3, "cells": cells}
    result = measure(read_log(paths), **options)
    inside = measure(run.log, **options)
    assert result.advantage.value == pytest.approx(inside.advantage.value, rel=0.003)
    assert result.advantage.lo <= run.advantage <= result.advantage.hi
    length, known = (sum(s.end_s - s.start_s for s in one.steady) for one in (result, inside))
    assert length == pytest.approx(known, abs=6.0)


def test_an_unknown_dialect_and_ratios_that_do_not_fit_are_refused(tmp_path: Path) -> None:
    run = simulate_run(RunPlan(), 1)
    with pytest.raises(Refusal, match="No dialect 'x'"):
        write_run(run, tmp_path, "run", "x")
    with pytest.raises(Refusal, match="2 blocks"):
        simulate_run(RunPlan(rig="three-part", ratios=(1.1, 1.1, 1.1)), 1)


def test_shortcuts_cost_what_they_are_said_to_cost() -> None:
    """Naive practice misses by more than 1 %, single samples taken as witnesses cover too seldom; 60 runs."""
    errors, covered = [], []
    for seed in range(60):
        run = simulate_run(draw_plan(seed), seed)
        assert 0.05 < overlap([eyeballed(run)], run.steady) <= 1.0
        errors.append(side_by_side(run) / run.advantage - 1.0)
        ratio, u = mean_of_ratios(run, eyeballed(run))
        covered.append(abs(ratio - run.advantage) < 1.96 * u)
    assert np.sqrt(np.mean(np.square(errors))) > 0.006
    assert np.mean(covered) < 0.8
    ratio, u = iid_interval(np.full(4, 2.0), np.array([4.0, 4.2, 3.8, 4.0]))
    assert (ratio, u) == pytest.approx((2.0, 0.0816 / 2), rel=1e-2)
