"""Hauls, rests and silences of one cell: what a log holds before anything is measured in it."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import median_filter

from haulwright.trials.log import GAP_PERIODS, Channel, Floats
from haulwright.trials.result import Phase

_STEP_S = 0.5  # fast logs are looked at in means over this
_SMOOTH_S = 10.0
_LOADED_SHARE = 0.2  # of the way from the rest level to the working level
_REST_LEAST_S = 30.0  # a shorter slack is part of the haul (house rule)
_HAUL_LEAST_S = 8.0
_MOST_SILENCES = 200  # more than this and only the longest are told

Mask = NDArray[np.bool_]


def find_hauls(channel: Channel) -> tuple[Phase, ...]:
    """Return hauls, rests and silences of a channel, in order and without overlap.

    Parameters
    ----------
    channel : Channel
        One logged force.

    Returns
    -------
    tuple of Phase
        ``haul 1``, ``haul 2`` … (the same name again after a silence inside it), ``rest`` and ``silence``.

    Notes
    -----
    Rest level: the 5th percentile, taken as zero if over half the working level; working level: median of what lies
    above 60 % of the 97th percentile. Loaded: the 10 s running median is a fifth of the way up. Rests under 30 s and
    hauls under 8 s do not count. House rules; they name parts of a log and enter no number.
    """
    slow = channel.thinned(_STEP_S)
    time = slow.time_s
    loaded = _loaded(time, slow.force_N, slow.period_s)
    number = 0
    marks = [("rest", 0.0, float(time[0]))] if float(time[0]) > 0.0 else []
    for first, last, is_haul in _stretches(loaded):
        number += is_haul
        end = float(time[last + 1]) if last + 1 < time.size else float(channel.time_s[-1])
        marks.append((f"haul {number}" if is_haul else "rest", float(time[first]), end))
    return tuple(_cut_by_silences(marks, _silences(channel)))


def count_hauls(phases: tuple[Phase, ...]) -> int:
    """Return how many hauls are among phases."""
    return len({phase.name for phase in phases if phase.name.startswith("haul")})


def _loaded(time: Floats, force: Floats, period: float) -> Mask:
    top, low = float(np.percentile(force, 97.0)), float(np.percentile(force, 5.0))
    heavy = force[force > 0.6 * top]
    working = float(np.median(heavy)) if heavy.size else 0.0
    rest = low if low < 0.5 * working else 0.0
    size = 2 * int(0.5 * _SMOOTH_S / max(period, 1e-9)) + 1
    smooth = median_filter(force, size=min(size, 2 * (force.size // 2) + 1), mode="nearest")
    loaded = np.asarray(smooth > rest + _LOADED_SHARE * (working - rest), dtype=np.bool_) & (working > 0.0)
    for keep, least in ((False, _REST_LEAST_S), (True, _HAUL_LEAST_S)):
        for first, last, value in _stretches(loaded):
            inner = keep or (first > 0 and last + 1 < time.size)
            if value == keep and inner and float(time[last] - time[first]) < least:
                loaded[first : last + 1] = not keep
    return loaded


def _stretches(mask: Mask) -> list[tuple[int, int, bool]]:
    """Return first, last and value of every stretch of equal values."""
    edges = np.flatnonzero(np.diff(mask.astype(np.int8))) + 1
    firsts = [0, *edges.tolist()]
    lasts = [*(edges - 1).tolist(), mask.size - 1]
    return [(a, b, bool(mask[a])) for a, b in zip(firsts, lasts, strict=True)]


def _silences(channel: Channel) -> list[tuple[float, float]]:
    steps = np.diff(channel.time_s)
    at = np.flatnonzero(steps > GAP_PERIODS * channel.period_s)
    if at.size > _MOST_SILENCES:
        at = np.sort(at[np.argsort(steps[at])[-_MOST_SILENCES:]])
    found = [(float(channel.time_s[i]), float(channel.time_s[i + 1])) for i in at]
    first = float(
        channel.time_s[0]
    )  # seconds count from the first stamp of the log: the cell may have been silent
    return [(0.0, first), *found] if first > GAP_PERIODS * channel.period_s else found


def _cut_by_silences(
    marks: list[tuple[str, float, float]], silences: list[tuple[float, float]]
) -> list[Phase]:
    found: list[Phase] = []
    waiting = list(silences)
    for name, start, end in marks:
        reached = max(start, found[-1].end_s if found else start)
        while waiting and waiting[0][0] < end:
            quiet, heard = waiting.pop(0)
            if quiet > reached:
                found.append(Phase(name, reached, quiet))
            found.append(Phase("silence", max(quiet, reached), heard))
            reached = heard
        if end > reached:
            found.append(Phase(name, reached, end))
    return found
