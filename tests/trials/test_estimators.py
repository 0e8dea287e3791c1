"""Estimators against general libraries, published worked examples and made-up runs of known truth."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from scipy.signal import lfilter
from scipy.stats import multivariate_normal

from haulwright.errors import TrialRefusal
from haulwright.trials.align import clock_offset, swing_log_likelihood
from haulwright.trials.budget import CellSpec, effective_dof, ratio_of_means
from haulwright.trials.condition import condition, spike_mask
from haulwright.trials.estimate import describe, measure
from haulwright.trials.grid import Grid, make_grid, on_grid
from haulwright.trials.log import Channel, ForceLog
from haulwright.trials.prepare import choose_by_hand
from haulwright.trials.result import TrialResult
from haulwright.trials.scatter import inefficiency, scatter_of_mean
from haulwright.trials.settling import find_settled
from haulwright.trials.simulate import RunPlan, SimulatedRun, draw_plan, simulate_run

KGF = 9.80665
CELLS = {place: CellSpec(place, None, 0.005) for place in ("line", "anchor")}


def measured(run: SimulatedRun, **options: Any) -> TrialResult:
    return measure(
        run.log, run="x", rig_name="two-part", frictionless=2.0, lowest=4 / 3, cells=CELLS, **options
    )


def ar1(rho: float, count: int, seed: int) -> np.ndarray:
    shocks = np.random.default_rng(seed).normal(size=count + 500)
    return np.asarray(lfilter([1.0], [1.0, -rho], shocks))[500:]


@pytest.mark.parametrize("rho", [0.0, 0.5, 0.8, 0.9])
def test_inefficiency_of_an_autoregression(rho: float) -> None:
    """Theory: (1 + rho) / (1 - rho) for a first-order autoregression (Bayley and Hammersley 1946; from memory)."""
    found = np.mean([inefficiency(ar1(rho, 4000, seed)) for seed in range(8)])
    assert found == pytest.approx((1 + rho) / (1 - rho), rel=0.15)


def test_scatter_covers_a_coloured_mean() -> None:
    from scipy.stats import t as student

    held = []
    for seed in range(300):
        series = ar1(0.6, 120, seed)
        scatter = scatter_of_mean(series)
        held.append(abs(series.mean()) <= student.ppf(0.975, scatter.dof) * scatter.u)
    assert 0.91 <= np.mean(held) <= 0.985


def test_welch_satterthwaite_worked_example() -> None:
    """GUM (JCGM 100:2008) G.4.1 example: 0.25, 0.57, 0.82 % from 10, 5, 15 readings give 19.0 (from memory)."""
    assert effective_dof([(0.25, 9), (0.57, 4), (0.82, 14)]) == pytest.approx(19.0, abs=0.05)


@pytest.mark.parametrize("frequency", [0.0, 0.4])
def test_swing_likelihood_is_the_joint_normal_density(frequency: float) -> None:
    draw = np.random.default_rng(5)
    tx, ty = np.sort(draw.uniform(0, 20, 9)), np.sort(draw.uniform(0, 20, 8))
    x, y = draw.normal(size=9), draw.normal(size=8)
    offset, fade, noise = 0.7, 2.5, 0.3
    times, values = np.concatenate((tx, ty - offset)), np.concatenate((x, y))
    share, apart = 1.0 / (1.0 + noise), np.abs(times[:, None] - times)
    covariance = share * np.exp(-apart / fade) * np.cos(2 * math.pi * frequency * apart) + (
        1.0 - share
    ) * np.eye(17)
    expected = multivariate_normal(np.zeros(17), covariance).logpdf(values) + 0.5 * 17 * math.log(2 * math.pi)
    found = swing_log_likelihood(tx, x, ty, y, np.array([offset]), [fade], [frequency], [noise])
    assert found[0, 0, 0] == pytest.approx(expected, rel=1e-9)


def test_ratio_of_means_not_mean_of_ratios() -> None:
    draw = np.random.default_rng(2)
    line = 8000.0 * (1.0 + 0.2 * draw.normal(size=4000))
    anchor = 1.8 * line.mean() * (1.0 + 0.2 * draw.normal(size=4000))
    found = ratio_of_means(Grid(np.arange(4000.0), 1.0, line, anchor), [(0.0, 4000.0)])
    assert found.ratio == pytest.approx(anchor.mean() / line.mean())
    assert np.mean(anchor / line) > 1.03 * found.ratio
    # independent channels: the delta method is then the root sum of squares of both relative errors
    expected = (
        found.ratio * math.hypot(line.std() / line.mean(), anchor.std() / anchor.mean()) / math.sqrt(4000)
    )
    assert 0.8 * expected < found.scatter.u < 2.0 * expected


def test_settling_end_of_a_clean_tail() -> None:
    """log load 0.08 exp(-t/8) is below 0.5 % after 8 ln(16) = 22.2 s."""
    time = np.arange(0.0, 140.0)
    noise = 0.003 * np.random.default_rng(1).normal(size=time.size)
    after = np.maximum(time - 6.0, 0.0)
    log_load = 9.0 + 0.08 * np.exp(-after / 8.0) - 0.05 * np.maximum(6.0 - time, 0.0) + 1e-4 * time + noise
    found = find_settled(time, log_load)
    assert found.ramp_end_s == pytest.approx(6.0, abs=1.0)
    assert found.steady_from_s == pytest.approx(6.0 + 8.0 * math.log(16.0), abs=4.0)


def test_spikes_go_and_stick_slip_stays() -> None:
    force = 8000.0 * (1.0 + 0.1 * np.sin(np.arange(200.0)))
    force[[50, 51, 120]] = 25000.0, 24000.0, -3000.0
    assert np.flatnonzero(spike_mask(force)).tolist() == [50, 51, 120]
    force[80:83] = 25000.0  # three in a row are no spike
    assert not spike_mask(force)[80:83].any()


def test_nothing_is_interpolated_across_a_gap() -> None:
    time = np.concatenate((np.arange(0.0, 30.0), np.arange(40.0, 80.0)))
    channel = Channel("line", "line", "f", "kgf", time, np.full(time.size, 5000.0))
    grid = make_grid(channel, channel, 0.0)
    assert np.flatnonzero(~grid.valid).tolist() == list(range(30, 40))
    assert channel.gaps == 1


def test_fast_readings_are_averaged_not_picked() -> None:
    """An 8 Hz vibration read at 1 kHz averages to a tenth of itself in a 0.1 s cell, and would alias if picked."""
    time = np.arange(0.0, 20.0, 0.001)
    channel = Channel("line", "line", "f", "kgf", time, 5000.0 + 500.0 * np.sin(2 * np.pi * 10.0 * time))
    values = on_grid(channel, 0.0, np.arange(1.0, 19.0, 0.1), 0.1)
    assert np.ptp(values) < 25.0


@pytest.mark.parametrize("rate", [1.0, 10.0])
def test_simulated_runs(rate: float) -> None:
    """40 mixed runs: total interval holds the truth in 90 % or more, ratio within 0.28 % RMS (gains taken out)."""
    held, errors, offsets = [], [], []
    for seed in range(40):
        plan = draw_plan(seed + 300, rate_Hz=rate, held=False)
        run = simulate_run(plan, seed + 300)
        cells = {place: CellSpec(place, None, plan.accuracy) for place in ("line", "anchor")}
        result = measure(
            run.log, run="x", rig_name=plan.rig, frictionless=run.frictionless, lowest=0.5, cells=cells
        )
        held.append(result.advantage.lo <= run.advantage <= result.advantage.hi)
        errors.append(result.advantage.value / run.advantage / run.gain_ratio - 1.0)
        offsets.append(abs(result.channels["anchor"].clock_offset_s.value - run.clock_offset_s))
        assert result.advantage.half95 < 0.018 * result.advantage.value
    assert np.mean(held) >= 0.9
    assert np.sqrt(np.mean(np.square(errors))) < 0.0028
    assert np.median(offsets) < 0.06
    assert np.percentile(offsets, 95) < (0.2 if rate < 4.0 else 0.03)


def test_stops_are_cut_out_of_simulated_runs() -> None:
    for seed in range(12):
        run = simulate_run(RunPlan(stop_s=25.0, steady_s=160.0), seed)
        (_, stop_start), (stop_end, _) = run.steady
        for stretch in measured(run).steady:
            assert stretch.end_s < stop_start + 2.0 or stretch.start_s > stop_start + 20.0
        assert stop_end > stop_start


def test_a_long_hold_with_a_short_pull_is_cut_out() -> None:
    """Most of the loaded record is a hold: its calm must not pass for the usual roughness of the rope."""
    for seed in range(6):
        run = simulate_run(RunPlan(stop_s=150.0, steady_s=80.0), seed)
        stop = next((a, b) for name, a, b in run.phases if name == "stop")
        for stretch in measured(run).steady:
            assert min(stretch.end_s, stop[1]) - max(stretch.start_s, stop[0]) < 3.0


def test_a_static_hold_alone_is_refused() -> None:
    run = simulate_run(RunPlan(stick_slip=0.0, friction_wander=0.0, vibration=0.001, step_kgf=5.0), 3)
    with pytest.raises(TrialRefusal, match="stands still") as caught:
        measured(run)
    assert caught.value.code == "STATIC"
    series = simulate_run(RunPlan(rig="series", stick_slip=0.0, vibration=0.001), 3)
    result = measure(series.log, run="x", rig_name="series", frictionless=1.0, lowest=1.0, cells=CELLS)
    assert (
        result.advantage.lo < 1.0 < result.advantage.hi
    )  # moving or not, two cells in one line read the same


def test_a_pull_too_short_is_refused() -> None:
    run = simulate_run(RunPlan(steady_s=4.0), 3)
    release = next(a for name, a, _ in run.phases if name == "release")
    ramp = next(b for name, _, b in run.phases if name == "ramp")
    channels = {
        place: replace(c, time_s=c.time_s[keep], force_N=c.force_N[keep])
        for place, c in run.log.channels.items()
        for keep in [
            (c.time_s < ramp + 2.0) | (c.time_s > release + run.clock_offset_s * (place == "anchor"))
        ]
    }
    with pytest.raises(TrialRefusal) as caught:
        measured(replace(run, log=replace(run.log, channels=channels)))
    assert caught.value.code in ("NO_STEADY", "TOO_SHORT")


def test_swapped_roles_and_a_wrong_rig_are_told() -> None:
    run = simulate_run(RunPlan(ratios=(1.1,)), 5)
    swapped = {
        "line": replace(run.log.channels["anchor"], place="line"),
        "anchor": replace(run.log.channels["line"], place="anchor"),
    }
    told = codes(replace(run.log, channels=swapped))
    assert {"IMPOSSIBLE_LOW", "ROLES"} <= set(told)
    three = simulate_run(RunPlan(rig="three-part", ratios=(1.1,)), 5)
    assert "IMPOSSIBLE_HIGH" in codes(three.log)  # measured as a two-part
    low = measure(run.log, run="x", rig_name="five-part", frictionless=5.0, lowest=2.2, cells=CELLS)
    assert "IMPOSSIBLE_LOW" in [notice.code for notice in low.notices]


def test_a_little_clipping_is_told() -> None:
    run = simulate_run(RunPlan(step_kgf=0.01), 4)
    channel = run.log.channels["line"]
    loaded = channel.force_N > 0.6 * np.percentile(channel.force_N, 97)
    cut = np.minimum(channel.force_N, np.percentile(channel.force_N[loaded], 95))
    assert "CLIPPED" in codes(altered(run, "line", force_N=cut))


def test_choices_by_hand_replace_the_rules() -> None:
    run = simulate_run(RunPlan(), 11)
    by_rule = measured(run)
    zero = by_rule.channels["line"].zero_N
    assert zero is not None
    result = measured(
        run,
        offsets_s={"anchor": run.clock_offset_s},
        zeros_N={"line": zero.value + 20.0},
        chosen_by="Kim",
        why="stopwatch",
    )
    assert result.channels["anchor"].clock_offset_s.value == run.clock_offset_s
    assert result.mean_N["line"].value == pytest.approx(by_rule.mean_N["line"].value - 20.0, rel=1e-3)
    assert result.choices["clock offset"] == "set by hand by Kim because: stopwatch"
    assert "set by hand" in result.choices["zero of the line"]
    assert "unloaded" in result.choices["zero of the anchor"]
    assert result.made is not None
    assert result.made.inputs["chosen_by"] == "Kim"
    with pytest.raises(TrialRefusal, match="fifth of its working load"):
        measured(run, zeros_N={"line": 5000.0})
    with pytest.raises(TrialRefusal, match="count from the line's clock"):
        measured(run, offsets_s={"line": 1.0})


def test_choices_by_hand_against_the_log_are_told() -> None:
    """A wrong sign of an offset, or a zero in the wrong unit, is used as given and said at once."""
    run = simulate_run(RunPlan(), 11)
    assert abs(run.clock_offset_s) > 1.0
    zero = measured(run).channels["line"].zero_N
    assert zero is not None
    told = {n.message for n in measured(run, offsets_s={"anchor": run.clock_offset_s}).notices}
    assert not any("set by hand" in message for message in told)
    wrong = measured(
        run,
        offsets_s={"anchor": -run.clock_offset_s},
        zeros_N={"line": zero.value + 200.0},
        chosen_by="Kim",
        why="x",
    )
    told = {n.message for n in wrong.notices if n.code == "UNCHECKED" and "set by hand" in n.message}
    assert any("clock offset of the anchor set by hand" in m and "check value and sign" in m for m in told)
    assert any("zero of the line set by hand" in m and "+200 N" in m for m in told)
    assert wrong.channels["anchor"].clock_offset_s.value == -run.clock_offset_s


def test_choices_in_plain_words() -> None:
    hand = choose_by_hand(["95:160"], "1.5 s", {"line": "2 kgf"}, "Kim", "calm", "2024-05-14")
    assert (hand.offsets_s, hand.why) == ({"anchor": 1.5}, "calm (2024-05-14)")
    assert hand.zeros_N["line"] == pytest.approx(2 * KGF)
    with pytest.raises(TrialRefusal, match="who made it and why"):
        choose_by_hand(["95:160"], None, {}, "", "calm", "2024-05-14")
    with pytest.raises(TrialRefusal, match="95:160"):
        choose_by_hand(["95-160"], None, {}, "Kim", "calm", "2024-05-14")


def test_moving_the_stretch_is_reported() -> None:
    run = simulate_run(RunPlan(stop_s=25.0, steady_s=160.0), 2)
    result = measured(run)
    moved = {one.moved: one.change for one in result.sensitivity}
    assert len(moved) == 6
    assert all(abs(change) < 0.005 for change in moved.values())
    names = [phase.name for phase in result.phases]
    assert set(names) == {"zero", "slack", "light tension", "ramp", "settling", "steady", "stop", "release"}
    assert names.index("stop") < len(names) - 1 - names[::-1].index("ramp")  # hauling again after the stop


def altered(run: SimulatedRun, place: str, **changes: Any) -> ForceLog:
    channel = run.log.channels[place]
    return replace(run.log, channels={**run.log.channels, place: replace(channel, **changes)})


def codes(log: ForceLog) -> list[str]:
    result = measure(log, run="x", rig_name="two-part", frictionless=2.0, lowest=4 / 3, cells=CELLS)
    return [notice.code for notice in result.notices]


def test_clipped_channel_is_refused() -> None:
    run = simulate_run(RunPlan(), 4)
    force = run.log.channels["anchor"].force_N
    cut = np.minimum(force, np.percentile(force[force > 0.6 * force.max()], 60))
    with pytest.raises(TrialRefusal, match="clipped") as caught:
        codes(altered(run, "anchor", force_N=cut))
    assert caught.value.code == "CLIPPED"


def test_strangers_are_told_apart() -> None:
    told = 0
    for seed in range(16):
        run, other = simulate_run(RunPlan(), seed), simulate_run(RunPlan(), seed + 50)
        stranger = other.log.channels["anchor"]
        late = float(
            other.steady[0][1] - run.steady[0][1]
        )  # both released at the same instant, or nothing would overlap
        mixed = altered(run, "anchor", time_s=stranger.time_s - late, force_N=stranger.force_N)
        told += "UNCORRELATED" in codes(mixed)
        assert "UNCORRELATED" not in codes(run.log)
    assert told >= 8  # a lucky lag makes some strangers look alike


def test_missing_zero_is_told_and_widens_the_interval() -> None:
    run = simulate_run(RunPlan(), 6)
    line = run.log.channels["line"]
    loaded = np.flatnonzero(line.force_N > 0.06 * line.force_N.max())
    part = slice(int(loaded[0]), int(loaded[-1]))
    cut = altered(run, "line", time_s=line.time_s[part], force_N=line.force_N[part])
    assert "NO_ZERO" in codes(cut)
    cells = {place: CellSpec(place, 3000.0 * KGF, 0.005) for place in ("line", "anchor")}
    options: dict[str, Any] = {
        "run": "x",
        "rig_name": "r",
        "frictionless": 2.0,
        "lowest": 1.0,
        "cells": cells,
    }
    assert measure(cut, **options).advantage.u > 1.3 * measure(run.log, **options).advantage.u


def test_class_of_range_and_of_reading() -> None:
    run = simulate_run(RunPlan(), 7)
    wide = {place: CellSpec(place, 8000.0 * KGF, 0.005, "range") for place in ("line", "anchor")}
    one = measured(run)
    other = measure(run.log, run="x", rig_name="r", frictionless=2.0, lowest=1.0, cells=wide)
    shares = {term.term: term.u / other.advantage.value for term in other.budget}
    assert shares["class of the line cell"] == pytest.approx(
        0.005 * 8000 * KGF / other.mean_N["line"].value / 3**0.5
    )
    assert other.advantage.u > one.advantage.u
    wrongs: tuple[dict[str, Any], ...] = (
        {"accuracy": 0.5},
        {"accuracy": 0.01, "of": "range"},
        {"of": "scale"},
    )
    for wrong in wrongs:
        with pytest.raises(TrialRefusal):
            CellSpec("c", **wrong)


def test_a_third_cell_is_carried_along() -> None:
    run = simulate_run(RunPlan(), 8)
    line = run.log.channels["line"]
    dead = replace(line, place="dead-end", time_s=line.time_s + 2.0, force_N=0.8 * line.force_N)
    result = measured(replace(run, log=replace(run.log, channels={**run.log.channels, "dead-end": dead})))
    assert result.channels["dead-end"].clock_offset_s.value == pytest.approx(2.0, abs=0.05)
    assert result.mean_N["dead-end"].value == pytest.approx(0.8 * result.mean_N["line"].value, rel=0.005)


def test_refusals_name_what_is_wrong() -> None:
    run = simulate_run(RunPlan(), 9)
    with pytest.raises(TrialRefusal, match="less than 8 s"):
        measured(run, steady=[(100.0, 103.0)])
    with pytest.raises(TrialRefusal, match="overlap"):
        measured(run, steady=[(120.0, 150.0), (140.0, 170.0)])
    with pytest.raises(TrialRefusal, match="no channel 'fall'"):
        measured(run, line="fall")
    idle = altered(run, "anchor", force_N=np.full(run.log.channels["anchor"].time_s.size, 3.0 * KGF))
    with pytest.raises(TrialRefusal, match="never carries a load"):
        codes(idle)
    assert [notice.code for notice in describe(idle).notices] == ["UNCHECKED"]
    with pytest.raises(TrialRefusal, match="does not rise"):
        measured(run, advantage_per_ratio=lambda ratio: 3.0 - ratio)


def test_offset_sign_is_stamp_minus_line_stamp() -> None:
    run = simulate_run(RunPlan(), 10)
    line = run.log.channels["line"]
    late = replace(line, place="anchor", time_s=line.time_s + 3.0)
    assert clock_offset(condition(line).channel, condition(late).channel).value == pytest.approx(
        3.0, abs=0.03
    )
