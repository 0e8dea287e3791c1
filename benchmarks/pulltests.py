"""Measure made-up pull tests of known truth and print how well the chain did, beside bars and common shortcuts.

``python benchmarks/pulltests.py [--tests N] [--seed S] [--processes P] [--json FILE] [--tugs]``. Nothing passes or fails here:
a row below its bar is marked, and the exit code stays 0.
"""

from __future__ import annotations

import argparse
import json
import os
import time
from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass
from multiprocessing import get_context
from pathlib import Path

import numpy as np
import tugs

from haulwright.errors import TrialRefusal
from haulwright.trials.cells import CellSpec
from haulwright.trials.condition import condition
from haulwright.trials.estimate import measure
from haulwright.trials.grid import make_grid
from haulwright.trials.simulate import (
    SimulatedRun,
    draw_plan,
    eyeballed,
    iid_interval,
    mean_of_ratios,
    overlap,
    side_by_side,
    simulate_run,
)
from haulwright.trials.steady import select

CAPACITY_N = 60000.0
STOP_LEFT_S = 2.0  # a stop is cut out if no stretch reaches further into it than this


@dataclass(frozen=True)
class Row:
    """One made-up test: truth, what was measured, what shortcuts make of it. Errors are relative."""

    seed: int
    rate_Hz: float
    accuracy: float
    stop: bool
    held: bool
    refused: str = ""
    error: float = float("nan")  # advantage, all errors in it
    error_without_gains: float = float("nan")
    u95: float = float("nan")
    u95_repeatability: float = float("nan")
    covered: bool = False
    covered_repeatability: bool = False
    offset_error_s: float = float("nan")
    offset_covered: bool = False
    overlap: float = float("nan")
    stop_cut: bool = True
    seconds: float = float("nan")
    naive_error: float = float("nan")
    naive_no_zero: float = float("nan")
    ratios_error: float = float("nan")
    ratios_covered: bool = False
    iid_covered: bool = False
    iid_error: float = float("nan")


def one_test(seed: int) -> Row:
    """Make one test, measure it, and let the shortcuts try."""
    plan = draw_plan(seed)
    run = simulate_run(plan, seed)
    begin = Row(seed, plan.rate_Hz, plan.accuracy, plan.stop_s > 0.0, plan.held)
    cells = {place: CellSpec(place, CAPACITY_N, plan.accuracy) for place in ("line", "anchor")}
    shortcuts: dict[str, float | bool] = {}
    try:
        shortcuts = _shortcuts(run)
        started = time.perf_counter()
        found = measure(
            run.log, run="r", rig_name=plan.rig, frictionless=run.frictionless, lowest=0.1, cells=cells
        )
        seconds = time.perf_counter() - started
    except TrialRefusal as refusal:
        return Row(**{**asdict(begin), **shortcuts, "refused": f"{refusal.code}: {refusal.message}"})
    read = run.advantage * run.gain_ratio
    spans = [(s.start_s, s.end_s) for s in found.steady]
    clock = found.channels["anchor"].clock_offset_s
    lo, hi = found.interval95_repeatability
    measured = {
        "error": found.advantage.value / run.advantage - 1.0,
        "error_without_gains": found.advantage.value / read - 1.0,
        "u95": found.advantage.half95 / found.advantage.value,
        "u95_repeatability": 0.5 * (hi - lo) / found.advantage.value,
        "covered": found.advantage.lo <= run.advantage <= found.advantage.hi,
        "covered_repeatability": lo <= read <= hi,
        "offset_error_s": clock.value - run.clock_offset_s,
        "offset_covered": clock.lo <= run.clock_offset_s <= clock.hi,
        "overlap": overlap(spans, run.steady),
        "stop_cut": _stop_cut(run, spans),
        "seconds": seconds,
    }
    return Row(**{**asdict(begin), **shortcuts, **measured})


def _stop_cut(run: SimulatedRun, spans: Sequence[tuple[float, float]]) -> bool:
    stops = [(a, b) for name, a, b in run.phases if name == "stop"]
    return all(min(end, b) - max(start, a) <= STOP_LEFT_S for a, b in stops for start, end in spans)


def _shortcuts(run: SimulatedRun) -> dict[str, float | bool]:
    """Return what is usually done: columns side by side, no zero; mean of ratios; every sample a new witness."""
    span = eyeballed(run)
    truth, read = run.advantage, run.advantage * run.gain_ratio
    ratios, u = mean_of_ratios(run, span)
    channels = {place: condition(channel).channel for place, channel in run.log.channels.items()}
    grid = make_grid(channels["line"], channels["anchor"], run.clock_offset_s)
    inside = select(grid, run.steady)
    ratio, u_iid = iid_interval(grid.line_N[inside], grid.anchor_N[inside])
    raw = make_grid(run.log.channels["line"], run.log.channels["anchor"], run.clock_offset_s)
    inside = select(raw, run.steady)
    no_zero = float(raw.anchor_N[inside].mean() / raw.line_N[inside].mean())
    return {
        "naive_error": side_by_side(run, span) / truth - 1.0,
        "naive_no_zero": no_zero / read - 1.0,
        "ratios_error": ratios / truth - 1.0,
        "ratios_covered": bool(abs(ratios - truth) <= 1.96 * u),
        "iid_error": ratio / read - 1.0,
        "iid_covered": bool(abs(ratio - read) <= 1.96 * u_iid),
    }


class Table:
    """The rows of the printed table."""

    def __init__(self, rows: Sequence[Row]) -> None:
        self.rows = [row for row in rows if not row.refused]
        self.lines: list[tuple[str, str, str, str, bool | None]] = []

    def of(self, name: str, keep: Callable[[Row], bool] = lambda row: True) -> np.ndarray:
        """Return one figure of all tests that count."""
        return np.array([float(getattr(row, name)) for row in self.rows if keep(row)])

    def add(self, what: str, found: str, bar: str, ok: bool | None, beside: str = "") -> None:
        """Add a line: ``ok`` None where there is no bar."""
        self.lines.append((what, found, bar, beside, ok))

    def show(self) -> None:
        """Print all lines."""
        print(f"{'quantity':46}{'measured':>26}  {'bar':28}{'':7}beside")
        for what, found, bar, beside, ok in self.lines:
            mark = "" if ok is None else "met" if ok else "MISSED"
            print(f"{what:46}{found:>26}  {bar:28}{mark:7}{beside}")


def rms(values: np.ndarray) -> float:
    """Return the root mean square."""
    return float(np.sqrt(np.mean(values**2)))


def slow(row: Row) -> bool:
    """Tell a log of 1 Hz."""
    return row.rate_Hz == 1.0


def fast(row: Row) -> bool:
    """Tell a log of 10 Hz."""
    return row.rate_Hz >= 10.0


def fine(row: Row) -> bool:
    """Tell a test with cells of class 0.1 or 0.2."""
    return row.accuracy <= 0.002


def coarse(row: Row) -> bool:
    """Tell a test with cells of class 0.5 or 1."""
    return not fine(row)


def _offsets(t: Table) -> None:
    one, ten = (np.abs(t.of("offset_error_s", keep)) for keep in (slow, fast))
    p50, p95, top = np.percentile(one, 50), np.percentile(one, 95), np.percentile(ten, 95)
    share = float(np.mean(np.abs(t.of("offset_error_s")) < 0.2))
    t.add("offset, 1 Hz: median", f"{p50:.3f} s", "< 0.08 s", p50 < 0.08)
    t.add("offset, 1 Hz: 95 %", f"{p95:.3f} s", "< 0.3 s", p95 < 0.3)
    t.add("offset, 10 Hz: 95 %", f"{top:.3f} s", "< 0.1 s", top < 0.1)
    t.add("offset, all: within 0.2 s", f"{share:.1%}", ">= 94 %", share >= 0.94)
    t.add("offset: its 95 % interval covers", f"{t.of('offset_covered').mean():.1%}", "", None)


def _stretches(t: Table) -> None:
    iou = t.of("overlap")
    tenth, least = float(np.percentile(iou, 10)), float(iou.min())
    t.add("stretch overlap: mean", f"{iou.mean():.3f}", "> 0.92", iou.mean() > 0.92)
    t.add("stretch overlap: 10th percentile", f"{tenth:.3f}", "> 0.85", tenth > 0.85)
    t.add("stretch overlap: least", f"{least:.3f}", ">= 0.6", least >= 0.6)
    stops = t.of("overlap", lambda row: row.stop)
    cut = t.of("stop_cut", lambda row: row.stop)
    left = int(cut.size - cut.sum())
    t.add("stops cut out", f"{int(cut.sum())} of {cut.size}", "all", left == 0)
    t.add("stretch overlap, runs with a stop: mean", f"{stops.mean():.3f}", "", None)


def _errors(t: Table) -> None:
    pure = t.of("error_without_gains")
    bias, spread = float(pure.mean()), rms(pure)
    naive = (
        f"naive {rms(t.of('naive_error')):.2%}, true stretch without zero {rms(t.of('naive_no_zero')):.2%}"
    )
    se = float(pure.std() / pure.size**0.5)
    t.add("advantage, gains removed: bias", f"{bias:+.3%} (se {se:.3%})", "< 0.05 %", abs(bias) < 0.0005)
    t.add("advantage, gains removed: RMSE", f"{spread:.3%}", "< 0.30 %", spread < 0.003, naive)
    for name, keep, bar in (("0.1/0.2", fine, 0.0035), ("0.5/1", coarse, 0.008)):
        found = rms(t.of("error", keep))
        beside = f"naive {rms(t.of('naive_error', keep)):.2%}"
        t.add(f"advantage, class {name}: RMSE", f"{found:.3%}", f"< {bar:.2%}", found < bar, beside)
    error = np.abs(t.of("error"))
    naive_error = np.abs(t.of("naive_error"))
    t.add(
        "advantage: within 1 %, 2 %, worst",
        f"{np.mean(error < 0.01):.0%}, {np.mean(error < 0.02):.1%}, {error.max():.1%}",
        "",
        None,
        f"naive {np.mean(naive_error < 0.01):.0%}, {np.mean(naive_error < 0.02):.0%}, {naive_error.max():.1%}",
    )


def _intervals(t: Table) -> None:
    total = float(t.of("covered").mean())
    ratios = f"mean of ratios with s/√n {t.of('ratios_covered').mean():.0%}"
    t.add("95 % interval, total: covers", f"{total:.1%}", "93 … 98 %", 0.93 <= total <= 0.98, ratios)
    rep = float(t.of("covered_repeatability").mean())
    iid = f"every sample a witness {t.of('iid_covered').mean():.0%}"
    t.add("95 % interval, repeatability: covers", f"{rep:.1%}", "93 … 98 %", 0.93 <= rep <= 0.98, iid)
    for name, keep in (("1 Hz", slow), ("10 Hz", fast)):
        held = float(t.of("covered_repeatability", keep).mean())
        iid = f"every sample a witness {t.of('iid_covered', keep).mean():.0%}"
        t.add(f"  at {name}", f"{held:.1%}", ">= 91 %", held >= 0.91, iid)
    for name, keep, bar in (("0.1/0.2", fine, 0.006), ("0.5/1", coarse, 0.018)):
        width = float(np.median(t.of("u95", keep)))
        t.add(f"median U95, class {name}", f"{width:.3%}", f"< {bar:.1%}", width < bar)
    t.add("median U95, repeatability", f"{np.median(t.of('u95_repeatability')):.3%}", "", None)


def main() -> None:
    """Run the tests and print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--tests", type=int, default=1000)
    parser.add_argument("--seed", type=int, default=0, help="the first; tests are seeded one by one")
    parser.add_argument("--processes", type=int, default=2)
    parser.add_argument("--json", type=Path, help="write every test here")
    parser.add_argument("--tugs", action="store_true", help="only what tugs do for the clock offset")
    asked = parser.parse_args()
    if asked.tugs:
        os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
        tugs.show(asked.tests, asked.seed, asked.processes)
        return
    seeds = range(asked.seed, asked.seed + asked.tests)
    started = time.perf_counter()
    if asked.processes > 1:
        os.environ.setdefault(
            "OPENBLAS_NUM_THREADS", "1"
        )  # small matrices: threads would wait for each other
        with get_context("spawn").Pool(asked.processes) as pool:
            rows = pool.map(one_test, seeds, chunksize=20)
    else:
        rows = [one_test(seed) for seed in seeds]
    table = Table(rows)
    print(f"{asked.tests} made-up pull tests, seeds {seeds[0]} to {seeds[-1]}")
    for fill in (_offsets, _stretches, _errors, _intervals):
        fill(table)
    pace = [f"{np.median(table.of('seconds', keep)):.2f} s" for keep in (slow, fast)]
    table.add("time of one test, 1 Hz, 10 Hz: median", ", ".join(pace), "", None)
    table.show()
    refused = [row for row in rows if row.refused]
    print(f"refused: {len(refused)}")
    for row in refused[:10]:
        print(f"  seed {row.seed}: {row.refused}")
    print(f"{time.perf_counter() - started:.0f} s in all")
    if asked.json:
        asked.json.write_text(json.dumps([asdict(row) for row in rows], indent=0), encoding="utf-8")


if __name__ == "__main__":
    main()
