"""Readings in the order of time: jumps undone, strays and repeats counted, coarse stamps spread, held values thinned."""

from __future__ import annotations

from collections import Counter

import numpy as np
from numpy.typing import NDArray

from haulwright.errors import TrialRefusal
from haulwright.trials.readers._clock import Floats, spread_ticks, undo_jumps

_TOLERATED = 0.02  # share of readings that may be out of order before the log is refused
LOGGED_S = 7 * 86400.0  # the longest log [s]
_LEAST_HELD, _MOST_HELD = 40, 1_000_000  # readings the holding of values is judged on
_HELD_SHARE = 0.9  # of the runs of equal values, those of the usual length


def in_order(
    time: Floats,
    force: Floats,
    lines: NDArray[np.uint32],
    wall: bool,
    rows: Counter[str],
    where: tuple[str, str],
) -> tuple[Floats, Floats, list[str]]:
    """Return the readings with the jumps of a wall clock undone and strays out, and what happened in words.

    Raises
    ------
    TrialRefusal
        CLOCK_BACKWARDS if more than 2 % of the readings (at least three) are out of order.
    """
    told: list[str] = []
    if wall:
        time, told = undo_jumps(time)
    late = time < np.maximum.accumulate(time)
    if not bool(late.any()):
        return time, force, told
    early = time > np.minimum.accumulate(time[::-1])[::-1]
    stray = early if np.count_nonzero(early) < np.count_nonzero(late) else late
    count = int(np.count_nonzero(stray))
    if count > max(3.0, _TOLERATED * time.size):
        line = int(lines[int(np.argmax(late))])
        message = (
            f"{where[0]}, line {line}: the clock runs backwards here and for {count} readings in all. "
            "Export the log again, one run per file."
        )
        raise TrialRefusal("CLOCK_BACKWARDS", message, where, line)
    rows["backwards"] += count
    return time[~stray], force[~stray], told


def settle(
    time: Floats, force: Floats, rows: Counter[str], *, joint: bool
) -> tuple[Floats, Floats, list[str], float]:
    """Return the readings at instants that rise, what happened in words, and how often each was shown (0: once)."""
    told = []
    time, coarse = spread_ticks(time)
    if coarse:
        told.append("stamps coarser than the sampling, readings spread inside them")
    time, force = _distinct(time, force, rows)
    shown = _shown_times(force) if joint else 0
    if shown:
        keep = first_of_held(force, shown)
        rows["held"] += int(np.count_nonzero(~keep))
        time, force = time[keep], force[keep]
    return time, force, told, float(shown)


def _distinct(time: Floats, force: Floats, rows: Counter[str]) -> tuple[Floats, Floats]:
    """Drop a repeat of both time and value; part readings of one stamp that differ."""
    steps = np.diff(time)
    if time.size and bool((steps > 0.0).all()):
        return time, force
    again = np.concatenate(([False], (steps <= 0.0) & (np.diff(force) == 0.0)))
    rows["duplicate"] += int(again.sum())
    time, force = time[~again], force[~again]
    steps = np.diff(time)
    usual = float(np.median(steps[steps > 0.0])) if bool((steps > 0.0).any()) else 0.0
    same = np.flatnonzero(steps <= 0.0)
    if same.size:
        time = time.copy()
        following = np.append(steps[1:], usual)
        time[same + 1] += 0.5 * np.minimum(np.where(following[same] > 0.0, following[same], usual), usual)
        keep = np.concatenate(([True], np.diff(time) > 0.0))
        rows["duplicate"] += int((~keep).sum())
        time, force = time[keep], force[keep]
    return time, force


def _runs(force: Floats) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Return where each run of equal values starts, and how long it is."""
    starts = np.flatnonzero(np.concatenate(([True], np.diff(force) != 0.0)))
    return starts, np.diff(np.append(starts, force.size))


def _shown_times(force: Floats) -> int:
    """Return how many rows in a row show one reading, 0 if each shows its own.

    Under load the values of a cell never stand still: where nine runs of equal values in ten have the same length,
    give or take one, and neighbouring runs differ by far more than the resolution, each reading was held.
    """
    if force.size < _LEAST_HELD or float(np.mean(force[1:] == force[:-1])) < 0.3:
        return 0
    force = force[:_MOST_HELD]
    loaded = force > 0.6 * float(np.percentile(force[:: max(1, force.size // 50_000)], 97.0))
    starts, sizes = _runs(force)
    inner = loaded[starts]
    inner[[0, -1]] = False
    if np.count_nonzero(inner) < 20:
        return 0
    usual = round(float(np.median(sizes[inner])))
    steps = np.abs(np.diff(force[starts]))
    steps = steps[inner[1:] & (steps > 0.0)]
    fine = steps.size > 0 and float(np.median(steps)) >= 3.0 * float(steps.min())
    near = np.abs(sizes[inner] - usual) <= 1
    return usual if usual >= 2 and fine and float(near.mean()) >= _HELD_SHARE else 0


def first_of_held(force: Floats, shown: int) -> NDArray[np.bool_]:
    """Tell which readings are the first of each showing; a value that stays longer was read again and again.

    Examples
    --------
    >>> first_of_held(np.array([1.0, 1.0, 2.0, 2.0, 2.0, 2.0]), 2).tolist()
    [True, False, True, False, True, False]
    """
    starts, sizes = _runs(force)
    place = np.arange(force.size) - np.repeat(starts, sizes)
    parts = np.maximum(1, np.rint(sizes / shown)).astype(np.int64)
    size, part = np.repeat(sizes, sizes), np.repeat(parts, sizes)
    first = (place == 0) | ((place * part) // size != ((place - 1) * part) // size)
    return np.asarray(first, dtype=np.bool_)
