"""Stamps to seconds: one style for the whole column, jumps of the clock undone, coarse stamps spread."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

from haulwright.errors import TrialRefusal
from haulwright.trials.readers._number import to_number, to_numbers

Floats = NDArray[np.float64]

_STAMP = re.compile(
    r"^(?:(?P<a>\d{1,4})(?P<sep>[-./])(?P<b>\d{1,2})(?P=sep)(?P<c>\d{1,4})(?:[T\s,-]+|$))?"
    r"(?:(?:(?P<h>\d{1,3}):)?(?P<m>\d{1,2}):(?P<s>\d{1,2})(?:[.,:](?P<f>\d+))?)?"
    r"\s*(?P<half>[AaPp]\.?[Mm]\.?)?\s*(?P<zone>Z|UTC|GMT|[+-]\d{2}:?\d{2})?$"
)
_DAY = 86400.0
_NEAR = 60.0  # a change of the clock is a step of one hour or one day, give or take this [s]


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
    """

    time_s: Floats
    style: str
    dated: bool
    of_day: bool = False


def looks_like_stamp(text: str) -> bool:
    """Tell whether a field is a date, a time of day, or both.

    Examples
    --------
    >>> looks_like_stamp("02.06.2025 11:15:00,6"), looks_like_stamp("11:02:03"), looks_like_stamp("12.5")
    (True, True, False)
    """
    match = _STAMP.match(text)
    return bool(match and (match["a"] or match["m"]))


def read_clock(
    texts: Sequence[str],
    *,
    decimal: str,
    name: str,
    line: int,
    scale: float | None = None,
    date_order: str | None = None,
) -> Clock:
    """Return the seconds of a column of stamps.

    Parameters
    ----------
    texts : sequence of str
        The column.
    decimal : str
        Decimal mark of the file.
    name : str
        The file, for messages.
    line : int
        Line of the first row, for messages.
    scale : float, optional
        Seconds per unit of a plain number; one second if not told.
    date_order : {"day-first", "month-first"}, optional
        Settles dates that can be read both ways.

    Raises
    ------
    TrialRefusal
        If the dates can be read in two ways or not at all.
    """
    sample = [text for text in texts[:200] if text]
    if sum(looks_like_stamp(text) for text in sample) > len(sample) / 2:
        return _stamps(texts, name, line, date_order)
    return _numbers(texts, decimal, scale)


def _numbers(texts: Sequence[str], decimal: str, scale: float | None) -> Clock:
    plain = to_numbers(texts, decimal) or [
        np.nan if (v := to_number(t, decimal)) is None else v for t in texts
    ]
    values = np.array(plain, dtype=np.float64)
    good = values[np.isfinite(values)]
    top, span = (float(good.max()), float(np.ptp(good))) if good.size else (0.0, 0.0)
    if scale is not None and not (scale == 1.0 and top > 1e8):
        return Clock(values * scale, f"elapsed, unit {scale:g} s", False)
    if top > 1e11:
        return Clock(values / 1000.0, "milliseconds since 1970", True)
    if top > 1e8:
        return Clock(values, "seconds since 1970", True)
    if 20000.0 < top < 80000.0 and span < 1.0:
        return Clock(values * _DAY, "spreadsheet days", True)
    return Clock(values, "elapsed seconds", False)


def _stamps(texts: Sequence[str], name: str, line: int, date_order: str | None) -> Clock:
    matches = [_STAMP.match(text) if text else None for text in texts]
    dated = [m for m in matches if m and m["a"]]
    if len(dated) < len(texts) / 2:
        return Clock(np.array([_time_of_day(m) for m in matches]), "time of day, no date", False, True)
    order = _date_order(dated, name, line, date_order)
    days: dict[tuple[str, str, str], float] = {}
    seconds = np.array([_instant(m, order, days, name, line) for m in matches])
    half = any(m["half"] for m in dated)
    words = {"ymd": "year-month-day", "dmy": "day.month.year", "mdy": "month/day/year"}[order]
    return Clock(seconds, words + (" with AM/PM" if half else ""), True)


def _time_of_day(match: re.Match[str] | None) -> float:
    if match is None or match["m"] is None:
        return float("nan")
    hours = int(match["h"] or 0)
    if match["half"]:
        hours = hours % 12 + (12 if match["half"][0] in "pP" else 0)
    fraction = float("0." + match["f"]) if match["f"] else 0.0
    return hours * 3600.0 + int(match["m"]) * 60.0 + int(match["s"]) + fraction


def _instant(
    match: re.Match[str] | None, order: str, days: dict[tuple[str, str, str], float], name: str, line: int
) -> float:
    if match is None or match["a"] is None or match["m"] is None:
        return float("nan")
    key = (match["a"], match["b"], match["c"])
    if key not in days:
        year, month, day = (int(key[order.index(part)]) for part in "ymd")
        try:
            days[key] = (date(year + 2000 if year < 100 else year, month, day) - date(1970, 1, 1)).days * _DAY
        except ValueError:
            text = match.group(0)
            message = f"{name}: the stamp {text!r} is no date when read as {order}: the dates in the column do not agree."
            raise TrialRefusal("DATES", message, (name,), line) from None
    return days[key] + _time_of_day(match)


def _date_order(dated: Sequence[re.Match[str]], name: str, line: int, wanted: str | None) -> str:
    first = dated[0]
    if len(first["a"]) == 4:
        return "ymd"
    if wanted in ("day-first", "month-first"):
        return "dmy" if wanted == "day-first" else "mdy"
    pairs = {(int(m["a"]), int(m["b"])) for m in dated}
    day_first, month_first = any(a > 12 for a, _ in pairs), any(b > 12 for _, b in pairs)
    if day_first != month_first:
        return "dmy" if day_first else "mdy"
    if first["sep"] == "." and not month_first:
        return "dmy"
    if any(m["half"] for m in dated) and not day_first:
        return "mdy"
    text = first.group(0)
    a, b, c = first["a"], first["b"], first["c"]
    message = (
        f"{name}, line {line}: {text!r} can be read as day {a}, month {b}, {c} or as month {a}, day {b}, {c}. "
        "State which: day-first or month-first."
    )
    raise TrialRefusal("DATES", message, (name,), line)


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
