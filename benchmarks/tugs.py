"""What tugs as clock marks do for the offset of two clocks; called by ``pulltests.py --tugs``."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from multiprocessing import get_context

import numpy as np

from haulwright.errors import TrialRefusal
from haulwright.trials.prepare import prepare
from haulwright.trials.simulate import SimulatedRun, draw_plan, simulate_run
from haulwright.trials.tugs import Tug

RATES_HZ = (1.0, 10.0)
FAR_PPM = 2000.0  # a clock that is really wrong


@dataclass(frozen=True)
class TugRow:
    """One made-up run with tugs: errors of the offset [s] with and without them, tugs found, rate of the clock [ppm]."""

    rate_Hz: float
    without: float
    with_: float
    covered: bool
    found: int
    right: int
    ppm_error: float
    ppm_u: float
    applied: bool


def one_run(seed: int, rate_Hz: float, ppm: float = 50.0, tugs: str = "both") -> TugRow | None:
    """Make a run with tugs, and find its clock offset both ways from the same log."""
    run = simulate_run(draw_plan(seed, rate_Hz=rate_Hz, tugs=tugs, clock_ppm=ppm), seed)
    try:
        plain = prepare(run.log, "line", "anchor", tugs="none")
        marked = prepare(run.log, "line", "anchor")
    except TrialRefusal:
        return None
    clock = marked.clocks["anchor"]
    marks = [(a, b) for name, a, b in run.phases if name == "tug"]
    right = sum(any(_touches(tug, a, b) for a, b in marks) for tug in clock.tugs)
    begin, end = run.steady[0][0], run.steady[-1][1]
    at_middle = run.clock_offset_s + run.clock_rate * (clock.at_s - 0.5 * (begin + end))
    put_right = clock.rate.value if clock.rate and clock.rate_applied else 0.0
    return TugRow(
        rate_Hz,
        _root_mean_square(marked.clocks["anchor"].at_s, plain.offsets["anchor"].value, 0.0, run),
        _root_mean_square(clock.at_s, clock.offset.value, put_right, run),
        clock.offset.lo <= at_middle <= clock.offset.hi,
        len(clock.tugs),
        right,
        1e6 * (clock.rate.value - run.clock_rate) if clock.rate else float("nan"),
        1e6 * clock.rate.u if clock.rate else float("nan"),
        clock.rate_applied,
    )


def _root_mean_square(at_s: float, offset_s: float, rate: float, run: SimulatedRun) -> float:
    """Return the root mean square error of the anchor's stamps over the steady pull [s]."""
    begin, end = run.steady[0][0], run.steady[-1][1]
    middle = 0.5 * (begin + end)
    error = offset_s + rate * (middle - at_s) - run.clock_offset_s
    return float(np.hypot(error, (rate - run.clock_rate) * (end - begin) / 12.0**0.5))


def _touches(tug: Tug, start: float, end: float) -> bool:
    return tug.start_s < end + 1.0 and start - 1.0 < tug.end_s


def show(tests: int, seed: int, processes: int) -> None:
    """Print the gain at each rate, what a lone tug does, and clocks whose rate is wrong."""
    with get_context("spawn").Pool(processes) as pool:
        print(f"{tests} made-up runs of each kind, seeds from {seed}; errors of the clock offset, s")
        print(
            f"{'':26}{'':9}{'median':>8}{'95 %':>8}{'99 %':>8}{'worst':>8}{'within 0.2 s':>14}  interval covers"
        )
        for rate in RATES_HZ:
            for tugs in ("both", "start", "end"):
                rows = _rows(
                    pool.map(partial(one_run, rate_Hz=rate, tugs=tugs), range(seed, seed + tests), 10)
                )
                _pair(f"{rate:g} Hz, tugs: {tugs}", rows)
                if tugs == "both":
                    _found(rows)
        for rate in (1.0, 10.0):
            far = partial(one_run, rate_Hz=rate, ppm=FAR_PPM)
            rows = _rows(pool.map(far, range(seed, seed + tests), 10))
            _pair(f"{rate:g} Hz, clocks {FAR_PPM:g} ppm off", rows)
            _found(rows)


def _rows(rows: list[TugRow | None]) -> list[TugRow]:
    return [row for row in rows if row is not None]


def _pair(name: str, rows: list[TugRow]) -> None:
    for label, values in (("without", [r.without for r in rows]), ("with", [r.with_ for r in rows])):
        off = np.abs(values)
        places = "".join(f"{np.percentile(off, p):8.3f}" for p in (50, 95, 99, 100))
        held = f"  {np.mean([r.covered for r in rows]):.1%}" if label == "with" else ""
        print(f"{name if label == 'without' else '':26}{label:9}{places}{np.mean(off < 0.2):14.1%}{held}")


def _found(rows: list[TugRow]) -> None:
    both = [row for row in rows if np.isfinite(row.ppm_u)]
    z = np.array([row.ppm_error / row.ppm_u for row in both])
    print(
        f"{'':26}tugs found {sum(r.right for r in rows)} of {2 * len(rows)}, wrong {sum(r.found - r.right for r in rows)}; "
        f"rate: median u {np.median([r.ppm_u for r in both]):.0f} ppm, within two u {np.mean(np.abs(z) < 2.0):.1%}, "
        f"median error {np.median([abs(r.ppm_error) for r in both]):.0f} ppm, applied in {sum(r.applied for r in rows)}"
    )
