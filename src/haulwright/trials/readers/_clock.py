"""Stamps to seconds: one style for the whole column, jumps of the clock undone, coarse stamps spread."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from haulwright.errors import TrialRefusal
from haulwright.trials.readers._stamp import Reading, date_seconds, looks_like_stamp, match_stamp

__all__ = [
    "Clock",
    "Reading",
    "find_reading",
    "looks_like_stamp",
    "plain_scale",
    "spread_ticks",
    "undo_jumps",
]

Floats = NDArray[np.float64]

_DAY = 86400.0
_NEAR = 60.0  # a change of the clock is a step of one hour or one day, give or take this [s]
_COARSEST_S = 50.0  # no logger of forces writes a reading less often than this (house rule)
_ORDERS = {"day-first": "dmy", "month-first": "mdy", "year-first": "ymd"}


@dataclass(frozen=True)
class Clock:
    """A column of stamps in seconds.

    Attributes
    ----------
    time_s : array
        Seconds; not-a-number where a stamp cannot be read.
    style : str
        How the stamps were read, in words.
    dated : bool
        True if the seconds count from a common origin (a date), so that two files can be compared.
    of_day : bool
        True if they count from midnight of a day that is not told.
    wall : bool
        True if they follow a wall clock without its offset from UTC, which may jump by an hour.
    """

    time_s: Floats
    style: str
    dated: bool
    of_day: bool = False
    wall: bool = False


def find_reading(
    texts: Sequence[str],
    name: str,
    lines: Sequence[int],
    date_order: str | None,
    pair: str | None,
    label: str,
) -> tuple[Reading, Clock]:
    """Return how the stamps of a column are to be read, from a sample of it, and an empty clock of that style.

    Raises
    ------
    TrialRefusal
        DATES if the stamps can be read in two ways or not at all.
    """
    found = [(m, n) for m, n in ((match_stamp(t), n) for t, n in zip(texts, lines, strict=True)) if m]
    matches = [m for m, _ in found]
    dated = [(m, n) for m, n in found if m["date"]]
    has_date = 2 * len(dated) >= len(found)
    zones = {m["zone"] is not None for m in matches}
    if len(zones) > 1:
        line = next(n for m, n in found if (m["zone"] is None) == (matches[0]["zone"] is not None))
        message = f"{name}, line {line}: some stamps state their offset from UTC and some do not: export all of one kind."
        raise TrialRefusal("DATES", message, (name,), line)
    order, words = _date_order(dated, name, date_order) if has_date else ("ymd", "time of day, no date")
    reading = Reading(order, _pair(matches, has_date, name, found[0][1], pair, label))
    for match, line in dated if has_date else ():
        if date_seconds(match, reading) is None:
            message = (
                f"{name}, line {line}: the stamp {match[0]!r} is no date when read as {order}: "
                "the dates in the column do not agree."
            )
            raise TrialRefusal("DATES", message, (name,), line)
    if any(m["half"] for m in matches):
        words += " with AM/PM"
    if any(m["p"] and not m["r"] for m in matches):
        words += f", {'mm:ss' if clock_is_minutes(matches, reading) else 'hh:mm'}"
    zoned = zones == {True}
    if zoned:
        words += ", offset " + " / ".join(sorted({str(m["zone"]) for m in matches}))
    return reading, Clock(np.empty(0), words, has_date, not has_date, wall=not zoned)


def clock_is_minutes(matches: Sequence[re.Match[str]], reading: Reading) -> bool:
    """Tell whether two numbers with a colon are minutes and seconds here."""
    one = next(m for m in matches if m["p"] and not m["r"])
    return bool(one["f"]) or (reading.pair == "mm:ss" and not one["date"] and not one["half"])


def _pair(
    matches: Sequence[re.Match[str]], dated: bool, name: str, line: int, wanted: str | None, label: str
) -> str:
    """Return what ``10:15`` without a date is: minutes and seconds, or hours and minutes."""
    pairs = [m for m in matches if m["p"] and not m["r"] and not m["f"]]
    if wanted in ("mm:ss", "hh:mm"):
        return wanted
    if not pairs or dated or pairs[0]["half"] or any(m["f"] for m in matches):
        return "mm:ss"
    if any(int(m["p"]) > 23 for m in pairs) or re.search(r"mm:ss|m:s|min", label, re.I):
        return "mm:ss"
    if re.search(r"hh:mm|h:m", label, re.I):
        return "hh:mm"
    text = pairs[0][0]
    p, q = int(pairs[0]["p"]), int(pairs[0]["q"])
    message = (
        f"{name}, line {line}: {text!r} can be read in two ways. Minutes and seconds: {p} min {q} s. "
        f"Hours and minutes: {p} h {q} min. State which: mm:ss or hh:mm (--clock)."
    )
    raise TrialRefusal("DATES", message, (name,), line)


def _date_order(dated: Sequence[tuple[re.Match[str], int]], name: str, wanted: str | None) -> tuple[str, str]:
    words = {"ymd": "year-month-day", "dmy": "day.month.year", "mdy": "month/day/year"}
    numeric = [(m, n) for m, n in dated if m["b"] and m["b"].isdecimal()]
    if not numeric:
        named = any(m["b"] or m["word"] for m, _ in dated)
        return "ymd", "month by name" if named else words["ymd"]
    order = _numeric_order(numeric, name, wanted)
    return order, words[order]


def _numeric_order(numeric: Sequence[tuple[re.Match[str], int]], name: str, wanted: str | None) -> str:
    first, line = numeric[0]
    if len(first["a"]) == 4:
        return "ymd"
    if wanted in _ORDERS:
        return _ORDERS[wanted]
    pairs = {(int(m["a"]), int(m["b"])) for m, _ in numeric}
    day_first, month_first = any(a > 12 for a, _ in pairs), any(b > 12 for _, b in pairs)
    if any(a > 31 for a, _ in pairs):
        return "ymd"
    short_year = len(first["c"]) < 3 and first["sep"] == "-" and int(first["c"]) <= 31
    if day_first != month_first and not short_year:
        return "dmy" if day_first else "mdy"
    if first["sep"] == "." and not month_first:
        return "dmy"
    if any(m["half"] for m, _ in numeric) and not day_first and not short_year:
        return "mdy"
    a, b, c = first["a"], first["b"], first["c"]
    ways = [f"day {a}, month {b}, {c} or as month {a}, day {b}, {c}", "day-first or month-first"]
    if short_year:
        ways = [f"day {a}, month {b}, year {c} or as year {a}, month {b}, day {c}", "day-first or year-first"]
    message = f"{name}, line {line}: {first[0]!r} can be read as {ways[0]}. State which: {ways[1]} (--dates)."
    raise TrialRefusal("DATES", message, (name,), line)


def plain_scale(
    values: Floats, scale: float | None, name: str, line: int, text: str
) -> tuple[float, str, bool]:
    """Return seconds per unit of a plain time column, the style in words, and whether it counts from 1970.

    Parameters
    ----------
    values : array
        A sample of the column, rising.
    scale : float or None
        Seconds per unit, where the label or the caller states it.
    name, line, text :
        The file, its first row and what stands there, for messages.

    Raises
    ------
    TrialRefusal
        CLOCK if the unit is not stated and the numbers can be seconds as well as milliseconds.
    """
    top, span = (float(values.max()), float(np.ptp(values))) if values.size else (0.0, 0.0)
    for limit, factor, words in (
        (1e17, 1e-9, "nanoseconds since 1970"),
        (1e14, 1e-6, "microseconds since 1970"),
        (3e11, 1e-3, "milliseconds since 1970"),
        (3e8, 1.0, "seconds since 1970"),
    ):
        if top > limit and (scale is None or scale == factor):
            return factor, words, True
    if scale is not None:
        name_of = {1.0: "s", 1e-3: "ms", 1e-6: "µs", 60.0: "min", 3600.0: "h", _DAY: "days"}
        return scale, f"elapsed {name_of.get(scale, f'{scale:g} s')}", scale == _DAY and top > 20000.0
    if 20000.0 < top < 80000.0 and span < 1.0:
        return _DAY, "spreadsheet days", True
    steps = np.diff(values)
    usual = float(np.median(steps[steps > 0.0])) if bool((steps > 0.0).any()) else 0.0
    whole = bool(np.all(values == np.round(values)))
    if whole and (usual >= _COARSEST_S or (span > 2.0 * _DAY and usual > 0.0)):
        message = (
            f"{name}, line {line}: the time {text!r} states no unit and can be read in two ways. Seconds: a reading "
            f"every {usual:g} s, {span:g} s in all. Milliseconds: every {usual / 1000.0:g} s, {span / 1000.0:g} s in "
            "all. State which: s or ms (--clock)."
        )
        raise TrialRefusal("CLOCK", message, (name,), line)
    return 1.0, "elapsed s (no unit stated)", False


def undo_jumps(time_s: Floats) -> tuple[Floats, list[str]]:
    """Undo a midnight wrap and changes of the clock by one hour; tell each in words.

    Examples
    --------
    >>> times, told = undo_jumps(np.array([86398.0, 86399.0, 0.0, 1.0]))
    >>> times.tolist(), told
    ([86398.0, 86399.0, 86400.0, 86401.0], ['the clock passed midnight'])
    """
    steps = np.diff(time_s)
    told: list[str] = []
    for size, words in (
        (-_DAY, "the clock passed midnight"),
        (-3600.0, "the clock was put back by one hour"),
        (3600.0, "the clock was put forward by one hour"),
    ):
        hits = np.abs(steps - size) < _NEAR
        if bool(hits.any()):
            steps = np.where(hits, steps - size, steps)
            told.extend([words] * int(hits.sum()))
    if not told:
        return time_s, told
    return time_s[0] + np.concatenate(([0.0], np.cumsum(steps))), told


def spread_ticks(time_s: Floats) -> tuple[Floats, bool]:
    """Spread readings that share a stamp evenly inside its tick.

    Returns
    -------
    time_s : array
        The stamps, spread if more than a fifth of them repeat the one before.
    coarse : bool
        True if the stamps were coarser than the sampling.

    Examples
    --------
    >>> spread_ticks(np.array([0.0, 0.0, 1.0, 1.0, 2.0, 2.0]))[0].tolist()
    [0.0, 0.5, 1.0, 1.5, 2.0, 2.5]
    """
    if time_s.size < 4:
        return time_s, False
    same = np.diff(time_s) == 0.0
    if float(same.mean()) <= 0.2:
        return time_s, False
    starts = np.flatnonzero(np.concatenate(([True], ~same)))
    sizes = np.diff(np.concatenate((starts, [time_s.size])))
    gaps = np.diff(time_s[starts])
    tick = float(np.median(gaps[gaps > 0.0])) if bool((gaps > 0.0).any()) else 1.0
    usual = int(np.median(sizes))
    index = np.arange(time_s.size) - np.repeat(starts, sizes)
    # the first tick began before the record did: its readings are the last ones of it
    index[: sizes[0]] += max(0, usual - int(sizes[0]))
    full = sizes.copy()
    full[[0, -1]] = np.maximum(sizes[[0, -1]], usual)
    return time_s + tick * index / np.repeat(full, sizes), True
