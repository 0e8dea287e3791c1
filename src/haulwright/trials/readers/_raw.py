"""One column of force, from texts to newtons, with the fate of every reading counted."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from haulwright.errors import TrialRefusal
from haulwright.trials.log import Channel
from haulwright.trials.readers._clock import Clock, Floats, spread_ticks, undo_jumps
from haulwright.trials.readers._number import to_number, to_numbers
from haulwright.trials.readers._units import newtons_per, unit_name

BLANK = frozenset(("", "na", "n/a", "nan", "null", "none", "-", "--", "---", "----", "?"))
_OVERLOAD = re.compile(r"^(o\.?l\.?|ovl|over.*|ueberlast|überlast|\+?inf|#+|[<>].*|err(or)?)$", re.IGNORECASE)
_WITH_UNIT = re.compile(r"^(.*?\d)\s*([A-Za-z]+)$")
_TOLERATED = 0.02  # share of readings that may be unreadable or out of order before the log is refused


@dataclass(frozen=True)
class RawChannel:
    """One column or one sensor, still text.

    Attributes
    ----------
    label : str
        Column or sensor name.
    file : str
        The file.
    unit : str or None
        Unit from header or preamble; None if not stated there.
    clock : Clock
        Seconds of each reading.
    texts : sequence of str
        The readings.
    units : sequence of str or None
        Unit of each reading where the log states it row by row.
    numbers : sequence of int
        Line of each reading.
    decimal : str
        Decimal mark.
    layout : str
        ``wide`` or ``long``.
    """

    label: str
    file: str
    unit: str | None
    clock: Clock
    texts: Sequence[str]
    units: Sequence[str] | None
    numbers: Sequence[int]
    decimal: str
    layout: str


@dataclass
class Tally:
    """Fates of readings and what happened to the clock, gathered while reading."""

    rows: Counter[str] = field(default_factory=Counter)
    clock: list[str] = field(default_factory=list)
    unreadable: list[str] = field(default_factory=list)


def stated_unit(raw: RawChannel) -> str | None:
    """Return the unit a channel states in header or rows, None if it states none."""
    if raw.unit:
        return raw.unit
    if raw.units is not None:
        return next((u for u in raw.units if newtons_per(u)), None)
    for text in raw.texts[:50]:
        match = _WITH_UNIT.match(text)
        if match and newtons_per(match[2]):
            return match[2]
    return None


def to_channel(raw: RawChannel, place: str, unit: str, tally: Tally) -> Channel:
    """Return the channel in newtons.

    Parameters
    ----------
    raw : RawChannel
        The texts.
    place : str
        Place in the rig.
    unit : str
        Unit of readings that do not state their own.
    tally : Tally
        Counts are added here.

    Raises
    ------
    TrialRefusal
        If more than 2 % of the readings are unreadable, or the clock runs backwards.
    """
    values = _values(raw, unit, tally)
    keep = np.isfinite(values)
    lines = np.asarray(raw.numbers)[keep]
    time, force = raw.clock.time_s[keep], values[keep]
    if time.size < 20:
        message = (
            f"{raw.file}: {raw.label or 'the force column'} has only {time.size} readings: too few for a run."
        )
        raise TrialRefusal("TOO_FEW", message, (raw.file, raw.label))
    time, told = undo_jumps(time)
    tally.clock.extend(f"{raw.label or place}: {words}" for words in dict.fromkeys(told))
    time, force, lines = _in_order(time, force, lines, raw, tally)
    time, coarse = spread_ticks(time)
    if coarse:
        tally.clock.append(
            f"{raw.label or place}: stamps coarser than the sampling, readings spread inside them"
        )
    time, force = _distinct(time, force, tally)
    tally.rows["used"] += int(time.size)
    return Channel(place, raw.label, raw.file, unit_name(unit), time, force)


def _values(raw: RawChannel, unit: str, tally: Tally) -> Floats:
    default = _factor(unit, raw)
    plain = to_numbers(raw.texts, raw.decimal) if raw.units is None else None
    if plain is not None and bool(np.isfinite(raw.clock.time_s).all()):
        with np.errstate(over="ignore"):  # such readings are dropped as not finite
            return np.array(plain, dtype=np.float64) * default
    values = np.full(len(raw.texts), np.nan)
    bad: list[int] = []
    timed = np.isfinite(raw.clock.time_s)
    for i, text in enumerate(raw.texts):
        own = raw.units[i] if raw.units is not None else ""
        value, fate = _reading(text, raw.decimal, _factor(own, raw, raw.numbers[i]) if own else default)
        if fate == "used" and not timed[i]:
            fate = "unparsable"
        if fate == "used":
            values[i] = value
            continue
        tally.rows[fate] += 1
        if fate == "unparsable":
            bad.append(i)
    if bad:
        _report_unreadable(raw, bad, tally)
    return values


def _reading(text: str, decimal: str, factor: float) -> tuple[float, str]:
    value = to_number(text, decimal)
    if value is not None:
        return value * factor, "used"
    if text.lower() in BLANK:
        return 0.0, "blank"
    match = _WITH_UNIT.match(text)
    own = newtons_per(match[2]) if match else None
    value = to_number(match[1], decimal) if match and own else None
    if value is not None and own is not None:
        return value * own, "used"
    return 0.0, "overload" if _OVERLOAD.match(text) else "unparsable"


def _factor(unit: str, raw: RawChannel, line: int | None = None) -> float:
    factor = newtons_per(unit)
    if factor is None:
        at = f", line {line}" if line else ""
        message = f"{raw.file}{at}: {unit!r} is no unit of force: expected kgf, t, kN, N or lbf."
        raise TrialRefusal("UNIT", message, (raw.file, raw.label), line)
    return factor


def _report_unreadable(raw: RawChannel, bad: Sequence[int], tally: Tally) -> None:
    first = bad[0]
    line, text = raw.numbers[first], raw.texts[first]
    shown = f"{text!r} in {raw.label or 'the force column'}"
    if bool(np.isnan(raw.clock.time_s[first])) and to_number(text, raw.decimal) is not None:
        shown = "the time stamp"
    if len(bad) > max(3, _TOLERATED * len(raw.texts)):
        message = f"{raw.file}, line {line}: {shown} cannot be read, nor can {len(bad) - 1} more: expected a number."
        raise TrialRefusal("UNPARSABLE", message, (raw.file, raw.label), line)
    tally.unreadable.append(f"{raw.file}, line {line}: {shown} cannot be read ({len(bad)} such)")


def _in_order(
    time: Floats, force: Floats, lines: np.ndarray, raw: RawChannel, tally: Tally
) -> tuple[Floats, Floats, np.ndarray]:
    ahead = np.maximum.accumulate(time)
    late = time < ahead
    count = int(late.sum())
    if count == 0:
        return time, force, lines
    line = int(lines[int(np.argmax(late))])
    if count > max(3, _TOLERATED * time.size):
        message = (
            f"{raw.file}, line {line}: the clock runs backwards here and for {count} readings in all. "
            "Export the log again, one run per file."
        )
        raise TrialRefusal("CLOCK_BACKWARDS", message, (raw.file, raw.label), line)
    tally.rows["backwards"] += count
    return time[~late], force[~late], lines[~late]


def _distinct(time: Floats, force: Floats, tally: Tally) -> tuple[Floats, Floats]:
    """Drop a repeat of both time and value; part readings of one stamp that differ."""
    again = np.concatenate(([False], (np.diff(time) <= 0.0) & (np.diff(force) == 0.0)))
    tally.rows["duplicate"] += int(again.sum())
    time, force = time[~again], force[~again]
    steps = np.diff(time)
    usual = float(np.median(steps[steps > 0.0])) if bool((steps > 0.0).any()) else 0.0
    same = np.flatnonzero(steps <= 0.0)
    if same.size:
        time = time.copy()
        following = np.append(steps[1:], usual)
        time[same + 1] += 0.5 * np.minimum(np.where(following[same] > 0.0, following[same], usual), usual)
        keep = np.concatenate(([True], np.diff(time) > 0.0))
        tally.rows["duplicate"] += int((~keep).sum())
        time, force = time[keep], force[keep]
    return time, force
