"""Phases of a run, named for charts and for whoever reads the log: zero, slack, light tension, ramp, and on."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from scipy.ndimage import median_filter

from haulwright.trials.condition import UNLOADED_SHARE, Conditioned
from haulwright.trials.log import Floats
from haulwright.trials.result import Phase, SteadyStretch
from haulwright.trials.steady import Found
from haulwright.trials.tugs import Tug, tug_spans


def name_phases(line: Conditioned, found: Found, tugs: Sequence[Tug] = ()) -> tuple[Phase, ...]:
    """Return the phases of a run on the line's clock, in order, without overlap."""
    time, force = line.channel.time_s, line.channel.force_N.copy()
    spans = tug_spans(tugs)
    for start, end in spans:
        force[(time >= start) & (time <= end)] = 0.0
    smooth = median_filter(force, size=5, mode="nearest")
    first_run, last_run = found.runs[0], found.runs[-1]
    marks = _before(time, smooth, line, first_run[0])
    marks += _loaded(found)
    rest = line.zero_start_s if line.zero_start_s is not None and line.zero_start_s > last_run[1] else None
    let_go = rest if rest is not None else float(time[-1])
    if any(start > last_run[1] for start, _ in spans):  # slack, not release, lies around a tug
        loaded = time[(time > last_run[1]) & (smooth > UNLOADED_SHARE * line.working_N)]
        slack = float(loaded[-1]) if loaded.size else last_run[1]
        marks += [("release", last_run[1], slack), ("slack", slack, let_go)]
    else:
        marks.append(("release", last_run[1], let_go))
    if rest is not None:
        marks.append(("zero", rest, float(time[-1])))
    for start, end in spans:
        marks = [part for mark in marks for part in _cut_out(mark, start, end)]
    marks += [("tug", max(start, float(time[0])), min(end, float(time[-1]))) for start, end in spans]
    marks.sort(key=lambda mark: mark[1])
    return tuple(Phase(name, start, end) for name, start, end in marks if end > start)


def _cut_out(mark: tuple[str, float, float], start: float, end: float) -> list[tuple[str, float, float]]:
    """Return what is left of a phase outside a span."""
    name, begin, stop = mark
    if stop <= start or begin >= end:
        return [mark]
    return [(name, begin, start)] * (begin < start) + [(name, end, stop)] * (end < stop)


def _before(
    time: Floats, smooth: Floats, line: Conditioned, run_start: float
) -> list[tuple[str, float, float]]:
    """Name what lies before the load first reaches its working level."""
    begin = float(time[0])
    zero_end = min(line.zero_end_s if line.zero_end_s is not None else begin, run_start)
    early = time < run_start
    heavy = np.flatnonzero(early & (smooth > UNLOADED_SHARE * line.working_N))
    light_start = float(time[heavy[0]]) if heavy.size else run_start
    light_start = max(light_start, zero_end)
    plateau = smooth[early & (time >= light_start) & (smooth < 0.4 * line.working_N)]
    level = float(np.median(plateau)) if plateau.size else 0.0
    calm = np.flatnonzero(early & (time >= light_start) & (smooth < level + 0.05 * line.working_N))
    ramp_start = float(time[calm[-1]]) if calm.size else light_start
    return [
        ("zero", begin, zero_end),
        ("slack", zero_end, light_start),
        ("light tension", light_start, ramp_start),
        ("ramp", ramp_start, run_start),
    ]


def _loaded(found: Found) -> list[tuple[str, float, float]]:
    """Name what lies between ramp and release: settling, steady, and stops between."""
    marks: list[tuple[str, float, float]] = []
    reached = found.runs[0][0]
    for start, end in found.runs:
        stretch = _within(found.stretches, start, end)
        if start > reached:
            again = max((b for _, b in found.holds if reached <= b <= start), default=start)
            marks += [("stop", reached, again), ("ramp", again, start)]
        if stretch is None:
            marks.append(("settling", start, end))
        else:
            marks.append(("settling", start, stretch.start_s))
            marks.append(("steady", stretch.start_s, stretch.end_s))
        reached = end
    return marks


def _within(stretches: Sequence[SteadyStretch], start: float, end: float) -> SteadyStretch | None:
    return next((s for s in stretches if start <= s.start_s and s.end_s <= end + 1e-9), None)
