"""The series of one run made ready for drawing: gaps opened, the ratio formed, ticks chosen."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from haulwright.trials.result import SteadyStretch, TrialResult

Array = npt.NDArray[np.float64]
_GAP_PERIODS = 2.6  # a longer silence is drawn as a gap
_STEPS_S = (1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200)
LIGHT_SHARE = 0.2  # below this share of the mean line pull a quotient of two readings says nothing


def open_gaps(time_s: npt.ArrayLike, value: npt.ArrayLike) -> tuple[Array, Array]:
    """Return a series with a not-a-number in every silence, so that no line is drawn across it.

    Examples
    --------
    >>> open_gaps([0, 1, 2, 9, 10], [5, 5, 5, 6, 6])[1].tolist()
    [5.0, 5.0, 5.0, nan, 6.0, 6.0]
    """
    t, y = np.asarray(time_s, dtype=float), np.asarray(value, dtype=float)
    steps = np.diff(t)
    if steps.size == 0:
        return t, y
    after = np.flatnonzero(steps > _GAP_PERIODS * float(np.median(steps))) + 1
    return np.insert(t, after, t[after - 1]), np.insert(y, after, np.nan)


def ratio_series(result: TrialResult) -> tuple[Array, Array] | None:
    """Return time [s] and anchor ÷ line; None without both channels. Light readings give not-a-number."""
    traces = result._traces
    if traces is None or not {"line", "anchor"} <= set(traces.force_N):
        return None
    t = np.asarray(traces.time_s["line"], dtype=float)
    line = np.asarray(traces.force_N["line"], dtype=float)
    other_t = np.asarray(traces.time_s["anchor"], dtype=float)
    anchor = np.interp(
        t, other_t, np.asarray(traces.force_N["anchor"], dtype=float), left=np.nan, right=np.nan
    )
    enough = line > LIGHT_SHARE * result.mean_N["line"].value
    return open_gaps(t, np.divide(anchor, line, out=np.full_like(line, np.nan), where=enough))


def within(t: Array, y: Array, start: float, end: float) -> tuple[Array, Array]:
    """Return the part of a series between two times, ends included."""
    inside = (t >= start) & (t <= end)
    return t[inside], y[inside]


def cuts(steady: Sequence[SteadyStretch]) -> list[tuple[float, float]]:
    """Return what lies between the averaged stretches [s].

    Examples
    --------
    >>> cuts([SteadyStretch(118, 199, "rule", ""), SteadyStretch(223, 311, "rule", "")])
    [(199, 223)]
    """
    ordered = sorted(steady, key=lambda s: s.start_s)
    return [(a.end_s, b.start_s) for a, b in pairwise(ordered) if b.start_s > a.end_s]


def time_step(span_s: float, room: float) -> int:
    """Return the step of the time axis [s] that leaves at most ``room`` steps.

    Examples
    --------
    >>> time_step(360, 7), time_step(48, 6)
    (60, 10)
    """
    return next((step for step in _STEPS_S if span_s / step <= room), _STEPS_S[-1])


def time_label(t: float, step: int) -> str:
    """Return the words of a tick of the time axis.

    Examples
    --------
    >>> time_label(120, 60), time_label(20, 10), time_label(0, 60)
    ('2 min', '20 s', '0')
    """
    if t == 0:
        return "0"
    return f"{t / 60:g} min" if step >= 30 else f"{t:g} s"
