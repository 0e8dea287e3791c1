"""Go through made-up campaigns of known truth and print how well repeats, comparisons, friction and predictions did.

``python benchmarks/campaigns.py [--campaigns N] [--logs N] [--seed S] [--processes P] [--json FILE]``. Nothing passes or
fails here: a row below its bar is marked, and the exit code stays 0. Most campaigns are made directly (true advantage,
gain of the cells, scatter between set-ups, noise); ``--logs`` of them are written as folders of CSV logs, in five layouts
by turns, and measured through the whole chain.
"""

from __future__ import annotations

import argparse
import json
import math
import os
import time
from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass, field, replace
from multiprocessing import get_context
from pathlib import Path
from typing import Any

import numpy as np
from written_campaigns import measured_from_files

from haulwright.errors import TrialRefusal
from haulwright.mechanics.tackles import named_rig
from haulwright.trials.combine import Pooled, combine, log_of, pooled_between_run
from haulwright.trials.compare import compare
from haulwright.trials.design import configurations_of, make_sheet
from haulwright.trials.design.make import models
from haulwright.trials.design.pretend import Truth, made_directly
from haulwright.trials.design.rehearse import Played, play
from haulwright.trials.design.result import PlannedRun
from haulwright.trials.friction import RigModel, rig_model
from haulwright.trials.result import Configuration, TrialResult

TAUS = (0.0, 0.001, 0.0025, 0.005)
CLASSES = ((0.001, 0.001), (0.002, 0.002), (0.005, 0.005), (0.01, 0.01))
NOISE_WIDTH = 0.003  # the upper part of that range; the bar on the width of two repeats was set with it
NOISE = 0.002  # ln R of one pull of two minutes; made-up logs of one reading a second give 0.1 to 0.35 %
FULL = ["two-part", "three-part", "stacked two-parts"]
UNTESTED = (("four-part", "aaa"), ("three-part", "ab"), ("stacked two-parts", "bc"), ("four-part", "cba"))
BLIND = (["stacked two-parts=a;b"], ["three-part=a;b"])  # two unknown devices, one rig: nobody can tell


@dataclass
class Found:
    """What one campaign gave."""

    k: dict[str, tuple[float, float, bool]] = field(default_factory=dict)  # error, half width, held
    untested: list[tuple[float, float, bool]] = field(
        default_factory=list
    )  # relative error, half width, held a new pull
    left_out: list[bool] = field(default_factory=list)
    single: dict[str, tuple[float, float, bool]] = field(default_factory=dict)  # devices seen in one rig only
    # two repeats: held, half width, that of one pull with its scatter, and without; all relative
    pairs: list[tuple[bool, float, float, float]] = field(default_factory=list)
    noise: list[float] = field(default_factory=list)  # repeatability of each pull, relative
    refused: int = 0  # runs without a result


def draw_truth(seed: int, tau: float = 0.0025, classes: tuple[float, float] = (0.005, 0.005)) -> Truth:
    """Return three devices and a day, drawn."""
    draw = np.random.default_rng((seed, 11))
    k = {
        name: float(draw.uniform(low, high))
        for name, low, high in (("a", 1.04, 1.12), ("b", 1.1, 1.25), ("c", 1.2, 1.4))
    }
    return Truth(k, tau, NOISE, classes)


def one_campaign(job: tuple[int, bool]) -> Found:
    """Return what the fit of one campaign gives: full design, and one device in one rig only."""
    seed, logs = job
    truth, found = draw_truth(seed), Found()
    draw = np.random.default_rng((seed, 13))
    runs = make_sheet(configurations_of(FULL, ["a", "b", "c"]), repeats=2, seed=seed)
    rigs = models(runs)
    played = _measured(runs, rigs, truth, seed, found) if logs else _made(runs, rigs, truth, seed, found)
    for name, friction in played.fit.devices.items():
        found.k[name] = _value(friction.k, truth.k[name])
    found.left_out = [one.inside for one in played.fit.left_out]
    for rig, devices in UNTESTED:
        model = rig_model(named_rig(rig), list(devices))
        predicted, true = (
            played.fit.predict(named_rig(rig), list(devices)),
            math.exp(truth.log_advantage(model)),
        )
        pull = true * math.exp(draw.normal(0.0, truth.tau))
        found.untested.append(
            (predicted.value / true - 1.0, predicted.half95 / true, predicted.lo <= pull <= predicted.hi)
        )
    sparse = make_sheet(configurations_of(["two-part"], ["a", "b", "c"]), repeats=2, seed=seed)
    rigs = models(sparse)
    single = (_measured if logs else _made)(sparse, rigs, truth, seed + 500_000, None)
    for name, friction in single.fit.devices.items():
        found.single[name] = _value(friction.k, truth.k[name])
    return found


def _made(
    runs: Sequence[PlannedRun], rigs: Sequence[RigModel], truth: Truth, seed: int, found: Found | None
) -> Played:
    """Return a campaign made directly."""
    results = made_directly(runs, rigs, truth, seed)
    played = play(results, rigs, 0.02)
    if found:
        _note_pairs(found, played.configurations, results, truth, runs, rigs)
    return played


def _measured(
    runs: Sequence[PlannedRun], rigs: Sequence[RigModel], truth: Truth, seed: int, found: Found | None
) -> Played:
    """Return a campaign written to a folder and measured from its logs."""
    result, fit = measured_from_files(runs, rigs, truth, seed)
    if found:
        found.refused = len(result.excluded)
        _note_pairs(found, result.configurations, result.runs, truth, runs, rigs)
    pooled = _pooled(result.configurations, {one.run: one for one in result.runs})
    return Played(result.configurations, result.comparisons, fit, pooled)


def _pooled(configurations: Sequence[Configuration], by_run: dict[str, TrialResult]) -> Pooled:
    return pooled_between_run(
        [[log_of(by_run[run])[:2] for run in one.runs] for one in configurations if one.devices]
    )


def _note_pairs(
    found: Found, configurations: Sequence[Configuration], results: Sequence[TrialResult], truth: Truth,
    runs: Sequence[PlannedRun], rigs: Sequence[RigModel],
) -> None:  # fmt: skip
    """Note how the repeats of each configuration did, and what one of its pulls alone would have claimed."""
    by_run = {one.run: one for one in results}
    true = {run.run: math.exp(truth.log_advantage(model)) for run, model in zip(runs, rigs, strict=True)}
    pooled = _pooled(configurations, by_run)
    for one in configurations:
        if not one.devices:
            continue
        at = true[one.runs[0]]
        for run in one.runs:
            alone = combine([by_run[run]], pooled).advantage
            bare = by_run[run].advantage
            held = one.advantage.lo <= at <= one.advantage.hi
            found.pairs.append((held, one.advantage.half95 / at, alone.half95 / at, bare.half95 / at))
            found.noise.append(log_of(by_run[run])[1])


def _value(measured: Any, true: float) -> tuple[float, float, bool]:
    return measured.value - true, measured.half95, measured.lo <= true <= measured.hi


@dataclass
class Repeats:
    """Two repeats combined, one tau: coverage, half widths relative to the value, wrong and right verdicts."""

    tau: float
    held: float
    half95: float
    half95_one: float
    half95_bare: float
    false_different: float
    shown_2_percent: float
    shown_alike: float


def repeats(tau: float, count: int, seed: int) -> Repeats:
    """Return how pairs of pulls do: three devices in a two-part, a and b alike, c two per cent lower."""
    runs = make_sheet(configurations_of(["two-part"], ["a", "b", "c"]), repeats=2, series=0, seed=seed)
    rigs = models(runs)
    k_c = 1.0 / ((1.0 + 1.0 / 1.2) / 1.02 - 1.0)
    found, wrong, shown, alike = Found(), 0, 0, 0
    for number in range(count):
        truth = Truth({"a": 1.2, "b": 1.2, "c": k_c}, tau, NOISE, CLASSES[number % len(CLASSES)])
        results = made_directly(runs, rigs, truth, seed * 100_003 + number)
        by_run = {one.run: one for one in results}
        groups: dict[tuple[str, ...], list[TrialResult]] = {}
        for one in results:
            groups.setdefault(one.devices, []).append(one)
        pooled = pooled_between_run([[log_of(one)[:2] for one in group] for group in groups.values()])
        configurations = [combine(group, pooled) for group in groups.values()]
        _note_pairs(found, configurations, results, truth, runs, rigs)
        for one in compare(configurations, by_run, pooled, margin=0.02):
            pair = {one.a[-1], one.b[-1]}
            if pair == {"a", "b"}:
                wrong += one.verdict in ("different", "small_but_real")
                alike += one.verdict in ("equivalent", "small_but_real")
            elif pair == {"a", "c"}:
                shown += one.verdict in ("different", "small_but_real")
    held, halves, ones, bare = zip(*found.pairs, strict=True)
    return Repeats(
        tau, float(np.mean(held)), *(float(np.median(one)) for one in (halves, ones, bare)),
        wrong / count, shown / count, alike / count,
    )  # fmt: skip


def many_pairs(classes: Sequence[tuple[float, float]], count: int, seed: int) -> Found:
    """Return how pairs do in campaigns of nine configurations, scatter 0.25 %, noise 0.3 %."""
    runs = make_sheet(configurations_of(FULL, ["a", "b", "c"]), repeats=2, series=0, seed=seed)
    rigs, found = models(runs), Found()
    for number in range(count):
        truth = replace(
            draw_truth(seed * 7_919 + number, classes=classes[number % len(classes)]), noise=NOISE_WIDTH
        )
        results = made_directly(runs, rigs, truth, seed * 200_003 + number)
        by_rig: dict[tuple[str, ...], list[TrialResult]] = {}
        for one in results:
            by_rig.setdefault((one.rig, *one.devices), []).append(one)
        pooled = pooled_between_run([[log_of(one)[:2] for one in group] for group in by_rig.values()])
        configurations = [combine(group, pooled) for group in by_rig.values()]
        _note_pairs(found, configurations, results, truth, runs, rigs)
    return found


def blind_refused(count: int, seed: int) -> int:
    """Return how many campaigns on designs that cannot tell their devices are refused a number for every one."""
    refused = 0
    for number in range(count):
        runs = make_sheet(
            configurations_of(BLIND[number % len(BLIND)], ["a", "b", "c"]), repeats=2, seed=number + 1
        )
        rigs = models(runs)
        fit = play(made_directly(runs, rigs, draw_truth(seed + number), seed + number), rigs, 0.02).fit
        try:
            fit.predict(named_rig("two-part"), ["a"])
        except TrialRefusal:
            refused += not fit.devices and fit.unidentified == ("a", "b")
    return refused


def line(name: str, value: str, bar: str = "", good: bool = True) -> str:
    """Return one row of the printed table."""
    return f"{name:<62}{value:>16}   {bar}{'' if good else '   MISSED'}"


def pair_rows(found: Sequence[Found], told: str, at_bar: bool = False) -> list[str]:
    """Return the rows of two repeats combined; ``at_bar`` where they should not be wider than one pull's without scatter."""
    held, halves, ones, bare = (
        np.array(one) for one in zip(*(pair for one in found for pair in one.pairs), strict=True)
    )
    two, one, alone = (100.0 * float(np.median(width)) for width in (halves, ones, bare))
    share = float(np.mean(held))
    good = not at_bar or two <= alone
    return [
        line(f"{told}: intervals that hold", f"{100 * share:.1f} %", "93 to 98 %", 0.93 <= share <= 0.98),
        line(f"{told}: median U95", f"{two:.2f} %", f"<= {one:.2f} %, one pull's with its scatter", two <= one),
        line(
            f"{told}: the same", f"{two:.2f} %", ("<= " if at_bar else "")
            + f"{alone:.2f} %, one pull's without scatter", good,
        ),
    ]  # fmt: skip


def report(found: Sequence[Found], title: str) -> list[str]:
    """Return the rows of the fits."""
    if not found:
        return []
    rows = ["", title, *pair_rows(found, "two repeats")]
    noise = [one for each in found for one in each.noise]
    rows.append(line("repeatability of one pull, median", f"{100 * float(np.median(noise)):.2f} %"))
    rows.append(line("runs without a result", f"{sum(one.refused for one in found)}"))

    def rmse(errors: Sequence[float]) -> float:
        return float(np.sqrt(np.mean(np.square(errors))))

    def values(pick: Callable[[Found], Any], where: int) -> list[float]:
        return [value[where] for one in found for value in pick(one)]

    for name, pick, bar in (
        ("k per device, three rigs and series", lambda one: one.k.values(), 0.004),
        ("k per device, one rig and series", lambda one: one.single.values(), 0.011),
    ):
        error, held = rmse(values(pick, 0)), float(np.mean(values(pick, 2)))
        rows.append(line(f"{name}: rms error", f"{error:.4f}", f"< {bar}", error < bar))
        rows.append(
            line(
                f"{name}: 95 % intervals that hold",
                f"{100 * held:.1f} %",
                "93 to 98 %",
                0.93 <= held <= 0.98,
            )
        )
    error = rmse(values(lambda one: one.untested, 0))
    held = float(np.mean(values(lambda one: one.untested, 2)))
    half = float(np.median(values(lambda one: one.untested, 1)))
    rows.append(line("untested rig: rms error", f"{100 * error:.2f} %", "< 0.45 %", error < 0.0045))
    rows.append(
        line(
            "untested rig: intervals that hold a new pull",
            f"{100 * held:.1f} %",
            "93 to 98 %",
            0.93 <= held <= 0.98,
        )
    )
    rows.append(line("untested rig: median half width", f"{100 * half:.2f} %"))
    unseen = [inside for one in found for inside in one.left_out]
    share = float(np.mean(unseen))
    rows.append(
        line(
            "runs left out: inside the interval predicted from the rest",
            f"{100 * share:.1f} %",
            "93 to 98 %",
            0.93 <= share <= 0.98,
        )
    )
    return rows


def main(argv: Sequence[str] | None = None) -> int:
    """Run everything and print it."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--campaigns", type=int, default=150)
    parser.add_argument("--logs", type=int, default=60, help="campaigns written as CSV logs")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--processes", type=int, default=min(2, os.cpu_count() or 1))
    parser.add_argument("--json", type=Path, default=None, help="every value, for plots")
    given = parser.parse_args(argv)
    began = time.perf_counter()
    pairs = [repeats(tau, 4 * given.campaigns, given.seed) for tau in TAUS]
    jobs = [(given.seed * 1_000_003 + n, False) for n in range(given.campaigns)]
    jobs += [(given.seed * 2_000_003 + n, True) for n in range(given.logs)]
    with get_context("spawn").Pool(given.processes) as pool:
        found = pool.map(one_campaign, jobs, chunksize=1)
    direct, logged = found[: given.campaigns], found[given.campaigns :]
    print(line("two repeats of three devices in a two-part", "", "bar"))
    for one in pairs:
        told = f"scatter {100 * one.tau:.2f} %"
        print(
            line(
                f"{told}: combined intervals that hold",
                f"{100 * one.held:.1f} %",
                "93 to 98 %",
                0.93 <= one.held <= 0.98,
            )
        )
        wide = one.half95 <= one.half95_one
        print(
            line(
                f"{told}: median U95, against one pull's with its scatter",
                f"{100 * one.half95:.2f} %",
                f"<= {100 * one.half95_one:.2f} %",
                wide,
            )
        )
        print(
            line(
                f"{told}: like devices called different",
                f"{100 * one.false_different:.1f} %",
                "<= 5 %",
                one.false_different <= 0.05,
            )
        )
        print(line(f"{told}: one pull's U95 without the scatter", f"{100 * one.half95_bare:.2f} %"))
        print(
            line(
                f"{told}: 2 % shown / alike shown (margin 2 %)",
                f"{100 * one.shown_2_percent:.0f} / {100 * one.shown_alike:.0f} %",
            )
        )
    print("\nnine configurations, two pulls of each, noise 0.3 %, scatter 0.25 %, no series pull")
    for name, classes in (("class 0.5 %", CLASSES[2:3]), ("classes 0.1 to 1 %", CLASSES)):
        for row in pair_rows([many_pairs(classes, 2 * given.campaigns, given.seed)], name, at_bar=True):
            print(row)
    for row in report(
        direct, f"{len(direct)} campaigns made directly, class 0.5 %, scatter 0.25 %, noise 0.2 %"
    ):
        print(row)
    for row in report(
        logged,
        f"{len(logged)} campaigns written as CSV logs (1 Hz) and measured, class 0.5 %, scatter 0.25 %",
    ):
        print(row)
    blind = blind_refused(20, given.seed)
    print(line("unidentified designs refused by name", f"{blind} of 20", "all", blind == 20))
    print(f"\n{time.perf_counter() - began:.0f} s")
    if given.json:
        told = {"repeats": [asdict(one) for one in pairs], "direct": [asdict(one) for one in direct]}
        given.json.write_text(json.dumps({**told, "logs": [asdict(one) for one in logged]}), encoding="utf-8")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
