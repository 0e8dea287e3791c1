"""One column of force, from fields to newtons, with the fate of every reading counted."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from haulwright.errors import TrialRefusal
from haulwright.files.log_words import newtons_per
from haulwright.trials.log import Channel
from haulwright.trials.readers._clock import Clock, Floats
from haulwright.trials.readers._fast import Index, trim
from haulwright.trials.readers._number import to_number
from haulwright.trials.readers._order import LOGGED_S, in_order, settle
from haulwright.trials.readers._table import Table
from haulwright.trials.readers._units import split_unit, unit_name
from haulwright.trials.readers._words import is_blank, is_overload

TOLERATED = 0.02  # share of readings that may be unreadable or out of order before the log is refused
_GREATEST_N = 1e9  # no cell reads a hundred thousand tonnes
_LEAST = 20


@dataclass(frozen=True)
class RawChannel:
    """One column or one sensor, not yet read.

    Attributes
    ----------
    label : str
        Column or sensor name.
    table : Table
        Its file.
    column : int
        Column of the readings, counted from 0.
    unit : str or None
        Unit from header or preamble; None if not stated there.
    clock : Clock
        Seconds of each row of the file.
    rows : array or None
        The rows of this sensor; None: all.
    factors : array or None
        Newtons per unit of each row of the file where the log states units row by row; not-a-number where it does not.
    row_unit : str or None
        First of those units.
    layout : str
        ``wide`` or ``long``.
    joint : bool
        True if other channels stand in the same rows, so that a value may be one held since an earlier row.
    """

    label: str
    table: Table
    column: int
    unit: str | None
    clock: Clock
    rows: Index | None = None
    factors: Floats | None = None
    row_unit: str | None = None
    layout: str = "wide"
    joint: bool = False

    @property
    def file(self) -> str:
        """Name of the file."""
        return self.table.name

    @property
    def time_s(self) -> Floats:
        """Seconds of each reading."""
        return self.clock.time_s if self.rows is None else self.clock.time_s[self.rows]

    @property
    def lines(self) -> NDArray[np.uint32]:
        """Line of each reading."""
        return self.table.lines if self.rows is None else self.table.lines[self.rows]


@dataclass
class Tally:
    """Fates of readings and what happened to the clock, gathered while reading."""

    rows: Counter[str] = field(default_factory=Counter)
    clock: list[str] = field(default_factory=list)
    unreadable: list[str] = field(default_factory=list)
    held: list[str] = field(default_factory=list)


def stated_unit(raw: RawChannel) -> str | None:
    """Return the unit a channel states in header or rows, None if it states none."""
    if raw.unit or raw.row_unit:
        return raw.unit or raw.row_unit
    head = np.arange(min(50, raw.table.size)) if raw.rows is None else raw.rows[:50]
    for text in raw.table.texts(raw.column, head):
        behind = split_unit(text)
        if behind:
            return text[len(behind[0]) :].strip()
    return None


def to_channel(raw: RawChannel, place: str, unit: str, tally: Tally, *, override: bool = False) -> Channel:
    """Return the channel in newtons.

    Parameters
    ----------
    raw : RawChannel
        The column.
    place : str
        Place in the rig.
    unit : str
        Unit of readings that do not state their own.
    tally : Tally
        Counts are added here.
    override : bool
        True if the unit is the caller's word against the log's own.

    Raises
    ------
    TrialRefusal
        If more than 2 % of the readings are unreadable, or the clock runs backwards.
    """
    force = _newtons(raw, unit, tally, override=override)
    time = raw.time_s
    keep = np.isfinite(force)
    lines = raw.lines
    if not bool(keep.all()):
        time, force, lines = time[keep], force[keep], lines[keep]
    if time.size < _LEAST:
        message = (
            f"{raw.file}: {raw.label or 'the force column'} has only {time.size} readings: too few for a run."
        )
        raise TrialRefusal("TOO_FEW", message, (raw.file, raw.label))
    name = raw.label or place
    time, force, told = in_order(time, force, lines, raw.clock.wall, tally.rows, (raw.file, name))
    if time[0] == time[-1]:
        message = (
            f"{raw.file}, line {int(lines[0])}: the clock stands still: every stamp of {name} is the same."
        )
        raise TrialRefusal("CLOCK", message, (raw.file, name), int(lines[0]))
    time, force, more, held = settle(time, force, tally.rows, joint=raw.joint and raw.layout == "wide")
    tally.clock.extend(f"{name}: {words}" for words in dict.fromkeys([*told, *more]))
    if held:
        tally.held.append(f"{name} is shown {held:g} times until its next reading")
    if time.size < _LEAST:
        message = f"{raw.file}: {name} has only {time.size} readings of its own: too few for a run."
        raise TrialRefusal("TOO_FEW", message, (raw.file, raw.label))
    if float(time[-1] - time[0]) > LOGGED_S:
        message = (
            f"{raw.file}, line {int(lines[-1])}: {name} spans {(time[-1] - time[0]) / 86400.0:.0f} days: "
            "is the clock right? Cut the log to the run, or state the clock (--clock)."
        )
        raise TrialRefusal("CLOCK", message, (raw.file, name), int(lines[-1]))
    tally.rows["used"] += int(time.size)
    return Channel(place, raw.label, raw.file, unit_name(unit), time, force)


def _newtons(raw: RawChannel, unit: str, tally: Tally, *, override: bool) -> Floats:
    """Return the readings in newtons, not-a-number where there is none, each of those counted by its fate."""
    default = newtons_per(unit) or 1.0
    values, odd = raw.table.numbers(raw.column)
    if raw.rows is not None:
        is_odd = np.zeros(raw.table.size, dtype=np.bool_)
        is_odd[odd] = True
        values, odd = values[raw.rows], np.flatnonzero(is_odd[raw.rows])
    factors = (
        None
        if raw.factors is None or override
        else raw.factors
        if raw.rows is None
        else raw.factors[raw.rows]
    )
    with np.errstate(over="ignore"):  # what is beyond any cell is counted as unreadable below
        force = values * (default if factors is None else np.where(np.isfinite(factors), factors, default))
    within = odd.size == 0 and force.size > 0 and max(force.max(), -force.min()) <= _GREATEST_N
    if within and bool(np.isfinite(raw.time_s).all()):
        return force  # nothing to look at one by one
    bad = _odd_ones(raw, odd, force, tally, override=override)
    with np.errstate(invalid="ignore"):
        lost = (np.isfinite(force) & ~np.isfinite(raw.time_s)) | (np.abs(force) > _GREATEST_N)
    if bool(lost.any()):
        force = np.where(lost, np.nan, force)
        bad = np.sort(np.concatenate((bad, np.flatnonzero(lost))))
    tally.rows["unparsable"] += int(bad.size)
    if bad.size:
        _report_unreadable(raw, bad, force.size, tally)
    return force


def _odd_ones(raw: RawChannel, odd: Index, force: Floats, tally: Tally, *, override: bool) -> Index:
    """Count the fields that are no plain numbers, read those with a unit behind them; return the unreadable ones."""
    rows = odd if raw.rows is None else raw.rows[odd]
    start, end = trim(raw.table.buffer, *raw.table.bounds(raw.column, rows))
    empty = start == end
    tally.rows["blank"] += int(np.count_nonzero(empty))
    bad = []
    at, rows = odd[~empty], rows[~empty]
    for place, text in zip(at.tolist(), raw.table.texts(raw.column, rows), strict=True):
        value, fate = _reading(text, raw, override=override)
        if fate == "used":
            force[place] = value
        elif fate == "unparsable":
            bad.append(place)
        else:
            tally.rows[fate] += 1
    return np.array(bad, dtype=np.int64)


def _reading(text: str, raw: RawChannel, *, override: bool) -> tuple[float, str]:
    if is_blank(text):
        return 0.0, "blank"
    if text.startswith("=") and raw.table.sheet:
        return 0.0, "formula"
    behind = split_unit(text)
    value = to_number(behind[0], raw.table.layout.decimal) if behind and not override else None
    if behind and value is not None:
        return value * behind[1], "used"
    return 0.0, "overload" if is_overload(text) else "unparsable"


def _report_unreadable(raw: RawChannel, bad: Index, count: int, tally: Tally) -> None:
    first = int(bad[0])
    row = first if raw.rows is None else int(raw.rows[first])
    line, text = int(raw.table.lines[row]), raw.table.text(row, raw.column)
    shown = f"{text[:60]!r} in {raw.label or 'the force column'}"
    if bool(np.isnan(raw.time_s[first])) and to_number(text, raw.table.layout.decimal) is not None:
        shown = "the time stamp"
    if bad.size > max(3.0, TOLERATED * count):
        more = f", nor can {bad.size - 1} more" if bad.size > 1 else ""
        message = f"{raw.file}, line {line}: {shown} cannot be read{more}: expected a number."
        raise TrialRefusal("UNPARSABLE", message, (raw.file, raw.label), line)
    tally.unreadable.append(f"{raw.file}, line {line}: {shown} cannot be read ({bad.size} such)")


def labels_of(raws: Sequence[RawChannel]) -> str:
    """Return the labels of channels for a message, each with its number of column and its first reading."""
    return ", ".join(
        raw.label if any(raw.table.header) else f"{raw.label} ({raw.table.text(0, raw.column)!r})"
        for raw in raws
    )
