"""Tugs as clock marks: found in the log, never mistaken for anything else, never worse than without them.

Truth comes from made-up runs whose tugs have models of their own (``simulate.motion.add_tug``); nothing is published
about tugs of this kind.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from haulwright.errors import Refusal
from haulwright.quantities.measured import Measured
from haulwright.trials.clocks import joined, rate_of
from haulwright.trials.condition import condition
from haulwright.trials.estimate import describe, measure
from haulwright.trials.log import Channel, ForceLog
from haulwright.trials.prepare import Prepared, prepare
from haulwright.trials.simulate import RunPlan, SimulatedRun, draw_plan, simulate_run
from haulwright.trials.tugs import Tug, find_bumps, match_tugs, time_between


def marks(run: SimulatedRun) -> list[tuple[float, float]]:
    return [(a, b) for name, a, b in run.phases if name == "tug"]


def both_ways(run: SimulatedRun) -> tuple[Prepared, Prepared]:
    return prepare(run.log, "line", "anchor", tugs="none"), prepare(run.log, "line", "anchor")


def with_channel(log: ForceLog, place: str, force_N: np.ndarray) -> ForceLog:
    return replace(log, channels={**log.channels, place: replace(log.channels[place], force_N=force_N)})


def pulse(channel: Channel, at_s: float, height_N: float, length_s: float = 2.0) -> np.ndarray:
    """Return the force with a bump added."""
    away = np.clip(np.abs(channel.time_s - at_s) / length_s, 0.0, 1.0)
    return channel.force_N + height_N * np.cos(0.5 * np.pi * away) ** 2


@pytest.mark.parametrize(("rate", "bar_s"), [(1.0, 0.2), (10.0, 0.03)])
def test_the_offset_is_never_worse_with_tugs(rate: float, bar_s: float) -> None:
    """60 mixed runs: median, 90th percentile and root mean square within 5 ms of those without tugs, or better."""
    without, with_ = [], []
    found = 0
    for seed in range(500, 560):
        run = simulate_run(draw_plan(seed, rate_Hz=rate, tugs="both", held=False), seed)
        plain, marked = both_ways(run)
        clock = marked.clocks["anchor"]
        for tug, (start, end) in zip(clock.tugs, marks(run), strict=False):
            assert start - 1.5 < tug.start_s <= tug.end_s < end + 1.5
        found += len(clock.tugs)
        without.append(abs(plain.offsets["anchor"].value - run.clock_offset_s))
        with_.append(abs(clock.offset.value - run.clock_offset_s))
    assert found >= 116  # of 120
    for share in (50.0, 90.0):
        assert np.percentile(with_, share) <= np.percentile(without, share) + 0.005
    assert np.sqrt(np.mean(np.square(with_))) <= np.sqrt(np.mean(np.square(without))) + 0.005
    assert max(with_) < 1.7 * bar_s
    assert np.percentile(with_, 90.0) < bar_s


@pytest.mark.parametrize("rate", [1.0, 4.0, 10.0])
def test_a_tug_is_no_zero_no_stretch_no_stop_and_no_spike(rate: float) -> None:
    for seed in range(4):
        run = simulate_run(RunPlan(tugs="both", rate_Hz=rate, spikes=2), seed)
        result = measure(run.log, run="x", rig_name="two-part", frictionless=2.0, lowest=0.5)
        names = [phase.name for phase in result.phases]
        assert names.count("tug") == 2
        assert "stop" not in names
        for phase in result.phases:
            for start, end in marks(run):
                if phase.name in ("zero", "steady", "light tension", "ramp", "release"):
                    assert min(phase.end_s, end - 0.7) - max(phase.start_s, start + 0.7) <= 0.5
        assert all(
            one.end_s <= other.start_s for one, other in zip(result.phases, result.phases[1:], strict=False)
        )
        line = result.channels["line"]
        assert line.zero_N is not None
        assert abs(line.zero_N.value / 9.80665 - run.zero_kgf[0]) < 2.0
        # two spikes are wild readings, the tugs are none
        rejected = [int(result.choices[f"spikes of the {place}"].split()[0]) for place in ("line", "anchor")]
        assert sum(rejected) <= 2
        assert [phase.name for phase in describe(run.log).phases].count("tug") == 2


def test_no_tug_is_seen_where_there_is_none() -> None:
    for seed in range(12):
        run = simulate_run(draw_plan(seed), seed)
        assert prepare(run.log, "line", "anchor").clocks["anchor"].tugs == ()


def test_a_bump_of_one_cell_only_changes_nothing() -> None:
    """Somebody knocks against one cell: no partner, no tug, the same offset as before."""
    run = simulate_run(RunPlan(rate_Hz=10.0), 3)
    line = run.log.channels["line"]
    log = with_channel(run.log, "line", pulse(line, 8.0, 3000.0))
    assert len(find_bumps(log.channels["line"], condition(log.channels["line"]))) == 1
    clock = prepare(log, "line", "anchor").clocks["anchor"]
    assert clock.tugs == ()
    assert clock.offset.value == pytest.approx(
        prepare(run.log, "line", "anchor").offsets["anchor"].value, abs=1e-4
    )


def test_a_tug_is_never_matched_with_the_other_end_of_the_run() -> None:
    """The line keeps only its first tug, the anchor only its last: nothing is matched."""
    run = simulate_run(RunPlan(tugs="both", rate_Hz=10.0), 6)
    (first, last), log = marks(run), run.log
    for place, (start, end) in (("line", last), ("anchor", first)):
        channel = log.channels[place]
        moved = run.clock_offset_s if place == "anchor" else 0.0
        out = (channel.time_s > start + moved - 1.0) & (channel.time_s < end + moved + 1.0)
        level = float(np.median(channel.force_N[:50]))
        log = with_channel(log, place, np.where(out, level, channel.force_N))
    for place in ("line", "anchor"):
        assert len(find_bumps(log.channels[place], condition(log.channels[place]))) == 1
    assert prepare(log, "line", "anchor").clocks["anchor"].tugs == ()


def test_tugs_that_could_be_meant_twice_are_left_alone() -> None:
    """The anchor shows two bumps within reach of one of the line's: none counts, and it is said."""
    run = simulate_run(RunPlan(rate_Hz=10.0, clock_s=0.0), 3)
    line, anchor = run.log.channels["line"], run.log.channels["anchor"]
    log = with_channel(run.log, "line", pulse(line, 9.0, 3000.0, 0.8))
    both = replace(anchor, force_N=pulse(anchor, 6.2 + run.clock_offset_s, 6000.0, 0.4))
    log = with_channel(log, "anchor", pulse(both, 11.7 + run.clock_offset_s, 6000.0, 0.4))
    pair = [(log.channels[p], condition(log.channels[p])) for p in ("line", "anchor")]
    assert match_tugs(pair[0], pair[1], run.clock_offset_s) == ((), True)
    clock = prepare(log, "line", "anchor").clocks["anchor"]
    assert clock.tugs == ()
    assert "not used" in clock.notices[0].message


def test_a_wrong_clock_rate_is_found_and_put_right() -> None:
    """Clocks that differ by 0.3 %: applied, within two uncertainties; good clocks are left alone."""
    run = simulate_run(RunPlan(tugs="both", rate_Hz=10.0, steady_s=160.0), 8)
    anchor = run.log.channels["anchor"]
    fast = replace(anchor, time_s=1.003 * anchor.time_s)
    channels = {**run.log.channels, "anchor": fast}
    ready = prepare(replace(run.log, channels=channels), "line", "anchor")
    clock = ready.clocks["anchor"]
    assert clock.rate is not None
    assert clock.rate_applied
    true = 1.003 * (1.0 + run.clock_rate) - 1.0
    assert abs(clock.rate.value - true) < 2.0 * clock.rate.u < 0.001
    assert "put right" in clock.notices[-1].message
    good = prepare(run.log, "line", "anchor").clocks["anchor"]
    assert not good.rate_applied
    assert "left alone" in good.notices[-1].message
    result = measure(
        replace(run.log, channels=channels), run="x", rig_name="two-part", frictionless=2.0, lowest=0.5
    )
    told = result.channels["anchor"]
    assert told.clock_rate_applied
    assert told.clock_rate_ppm is not None
    assert told.clock_rate_ppm.value == pytest.approx(1e6 * clock.rate.value)
    assert "tug" in told.clock_from


def test_the_rate_is_the_difference_over_the_time_between() -> None:
    near, far = (Tug(t, t + 2.0, t > 100.0, Measured.normal(0.01 * t, 0.03)) for t in (20.0, 220.0))
    rate = rate_of([near, far])
    assert rate is not None
    assert rate.value == pytest.approx(0.01)
    assert rate.u == pytest.approx(0.03 * 2.0**0.5 / 200.0)
    assert rate_of([near]) is None


@pytest.mark.parametrize(
    ("tugs", "slow", "value", "word"),
    [
        ([(1.05, 0.1)], True, 1.025, "joined"),
        ([(3.0, 0.1)], True, 1.0, "count for nothing"),
        ([(3.0, 0.1), (1.0, 0.1)], True, 1.0, "joined"),
        ([(3.0, 0.1), (3.1, 0.1)], True, 3.05, "alone"),
        ([(3.0, 0.1), (3.1, 0.1)], False, 3.05, "alone"),
        ([(1.05, 0.1)], False, 1.025, "confirmed"),
    ],
)
def test_motion_and_tugs_are_joined_by_what_agrees(
    tugs: list[tuple[float, float]], slow: bool, value: float, word: str
) -> None:
    """A lone tug never outvotes the motion; two that agree do."""
    motion = Measured.normal(1.0, 0.1 if slow else 0.02)
    found, told = joined(motion, [Measured.normal(*one) for one in tugs], slow=slow)
    assert word in told
    assert found.value == pytest.approx(1.0 if word == "confirmed" else value, abs=1e-6)


def test_the_time_between_two_bumps_is_theirs() -> None:
    """The same smooth bump sampled at other instants, 0.37 s later: told within 30 ms at 4 Hz, 0.15 s at 1 Hz."""
    for rate, bar in ((4.0, 0.03), (1.0, 0.15)):
        for phase in (0.0, 0.3, 0.6):
            one, other = (np.arange(s, 20.0, 1.0 / rate) for s in (0.1, 0.1 + phase / rate))
            x, y = (np.exp(-(((t - at) / 1.0) ** 2)) for t, at in ((one, 10.0), (other, 10.37)))
            found = time_between((one, x, 0.01), (other, y, 0.01))
            assert found is not None
            assert found.value == pytest.approx(0.37, abs=bar)


def test_what_the_run_sheet_states_is_checked() -> None:
    run = simulate_run(RunPlan(tugs="start", rate_Hz=4.0), 2)
    assert prepare(run.log, "line", "anchor", tugs="none").clocks["anchor"].tugs == ()
    told = prepare(run.log, "line", "anchor", tugs="both").clocks["anchor"].notices
    assert "a tug after the pull; none was found" in told[0].message
    with pytest.raises(Refusal, match="tugs = 'some'"):
        prepare(run.log, "line", "anchor", tugs="some")
