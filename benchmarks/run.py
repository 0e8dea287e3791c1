"""Time tasks against a reference in one run and print the ratios (medians over alternating pairs)."""

from __future__ import annotations

import csv
import statistics
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import haulwright as hw
from haulwright.workflows import examples

LOG = examples() / "campaign" / "logs" / "meadow-two-b2.csv"
PULL = examples() / "pulls" / "rutted-clearing.yaml"
Task = Callable[[], object]


def seconds(task: Task, repeats: int) -> float:
    """Return the time of one call, averaged over ``repeats`` [s]."""
    begun = time.perf_counter()
    for _ in range(repeats):
        task()
    return (time.perf_counter() - begun) / repeats


def pair(
    task: Task, reference: Task, repeats: int = 20, reference_repeats: int = 200, pairs: int = 7
) -> tuple[float, float, float]:
    """Return task time, reference time and their ratio, each the median over alternating pairs."""
    task(), reference()
    timed = [(seconds(task, repeats), seconds(reference, reference_repeats)) for _ in range(pairs)]
    return (
        statistics.median(a for a, _ in timed),
        statistics.median(b for _, b in timed),
        statistics.median(a / b for a, b in timed),
    )


def closed_form(k: float = 1.1, parts: int = 4) -> float:
    """Advantage of a one-rope rig whose fall comes off the moving block."""
    return (k**parts - 1.0) / (k ** (parts - 1) * (k - 1.0))


def naive_ratio() -> float:
    """Quotient of two plain means of a log, as a spreadsheet would give it: no zero, no clock, no steady stretch."""
    with LOG.open(newline="", encoding="utf-8") as file:
        rows = [row for row in csv.DictReader(file) if row["line_kgf"] and row["anchor_kgf"]]
    return statistics.fmean(float(r["anchor_kgf"]) for r in rows) / statistics.fmean(
        float(r["line_kgf"]) for r in rows
    )


def process(*words: str) -> Task:
    """Return a task that runs Python in a process of its own."""
    return lambda: subprocess.run([sys.executable, *words], stdout=subprocess.DEVNULL, check=True)


def main() -> None:
    """Run every pair and print one line each."""
    four, luff, single = (hw.read_rig(name) for name in ("four-part", "luff on luff", "single line"))
    wagon = hw.make_plan(PULL, friction=None)
    chosen = wagon.candidates[0]
    tasks = (
        (
            "haulwright --help",
            process("-m", "haulwright", "--help"),
            "python -c pass",
            process("-c", "pass"),
            1,
            1,
        ),
        ("solve a four-part rig", lambda: hw.solve_rig(four, 1.1), "closed form", closed_form, 50, 5000),
        (
            "solve a luff on luff",
            lambda: hw.solve_rig(luff, 1.1),
            "solve a single line",
            lambda: hw.solve_rig(single),
            50,
            50,
        ),
        (
            "measure one run",
            lambda: hw.measure_trial(LOG, rig="two-part"),
            "csv and two means",
            naive_ratio,
            3,
            20,
        ),
        (
            "plan the shipped pull",
            lambda: hw.make_plan(PULL),
            "solve one of its rigs",
            lambda: hw.solve_rig(chosen.path, 1.1),
            2,
            50,
        ),
    )
    print(f"{'task':26}{'reference':24}{'task, ms':>10}{'ref., ms':>12}{'ratio':>12}")
    for name, task, reference_name, reference, repeats, reference_repeats in tasks:
        a, b, ratio = pair(task, reference, repeats, reference_repeats)
        print(f"{name:26}{reference_name:24}{1e3 * a:10.3f}{1e3 * b:12.5f}{ratio:12.1f}", flush=True)


if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "src"))
    main()
