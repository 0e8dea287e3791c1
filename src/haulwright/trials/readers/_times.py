"""Which columns tell the time, and how."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from haulwright.errors import TrialRefusal
from haulwright.trials.readers._clock import Clock, Floats, find_reading, plain_scale
from haulwright.trials.readers._stamp import looks_like_stamp, match_stamp
from haulwright.trials.readers._table import Table
from haulwright.trials.readers._units import seconds_per, unit_in_label
from haulwright.trials.readers._words import COUNTER_WORD, FORCE_WORD, TIME_WORD, is_blank
from haulwright.trials.readers.choices import SECONDS_PER, Choices

_LARGEST_S = 1e11
_SPREADSHEET_S = 25569.0 * 86400.0  # from there to 1970
_LARGEST = 1e20  # nanoseconds since 1970 are below
_SAMPLE = 1500


@dataclass(frozen=True)
class TimeColumns:
    """A clock of the file.

    Attributes
    ----------
    columns : tuple of int
        The column or columns it stands in.
    clock : Clock
        Seconds of each row.
    """

    columns: tuple[int, ...]
    clock: Clock


def find_times(table: Table, choices: Choices) -> tuple[list[TimeColumns], tuple[int, ...]]:
    """Return the clocks of a file, the one to use first, and all columns that tell a time.

    Raises
    ------
    TrialRefusal
        NO_TIME if no column can be the time; DATES or CLOCK if it can be read in two ways.
    """
    rows = table.sample(_SAMPLE)
    columns = range(table.layout.width)
    stamped = [i for i in columns if _share(table.texts(i, rows), looks_like_stamp) > 0.5]
    columns_of: list[tuple[int, ...]] = []
    if choices.time_column is not None:
        columns_of = [(named_column(table, choices.time_column),)]
    elif stamped:
        columns_of = _stamp_columns(table, stamped, rows)
    plain = [i for i in columns if i not in stamped and _rising(table, i, rows)]
    timed = [i for i in plain if TIME_WORD.search(table.header[i])]
    if not columns_of:
        unnamed = [i for i in plain if not COUNTER_WORD.match(table.header[i])]
        columns_of = [(i,) for i in timed or unnamed[:1]]
    if not columns_of:
        first = int(table.lines[0]) if table.size else table.layout.first
        message = (
            f"{table.name}, line {first}: no column of time: expected seconds or clock stamps that rise. "
            "Name it if there is one (--time COLUMN)."
        )
        raise TrialRefusal("NO_TIME", message, (table.name,), first)
    stopwatches = [i for i in plain if i in timed or _is_stopwatch(table, i, rows)]
    used = {i for pair in columns_of for i in pair}
    found = [TimeColumns(pair, _read(table, pair, rows, choices)) for pair in columns_of]
    return found, tuple(sorted(used.union(stamped, stopwatches)))


def named_column(table: Table, wanted: str) -> int:
    """Return the column of a label, or of a number counted from 1.

    Raises
    ------
    TrialRefusal
        NO_COLUMN.
    """
    low = wanted.strip().lower()
    labels = [label.lower() for label in table.header]
    for hits in (
        [i for i, label in enumerate(labels) if label == low],
        [i for i, label in enumerate(labels) if low in label],
    ):
        if low and len(hits) == 1:
            return hits[0]
    if low.isdecimal() and 1 <= int(low) <= table.layout.width:
        return int(low) - 1
    there = ", ".join(label or f"column {i + 1}" for i, label in enumerate(table.header))
    message = f"{table.name}: no column {wanted!r} for the time; there are {there}."
    raise TrialRefusal("NO_COLUMN", message, (table.name, wanted))


def _stamp_columns(table: Table, stamped: Sequence[int], rows: np.ndarray) -> list[tuple[int, ...]]:
    """Return the columns of each clock: a date is joined with the time of day in the next column."""
    kinds = {}
    for i in stamped:
        matches = [m for text in table.texts(i, rows) if (m := match_stamp(text))]
        dated = 2 * sum(bool(m["date"]) for m in matches) > len(matches)
        timed = 2 * sum(bool(m["p"] or m["ch"]) for m in matches) > len(matches)
        kinds[i] = (dated, timed)
    found: list[tuple[int, ...]] = []
    dates = [i for i in stamped if kinds[i] == (True, False)]
    for i in stamped:
        if kinds[i] == (True, True):
            found.append((i,))
        elif kinds[i][1]:
            date = next((d for d in reversed(dates) if d < i), next(iter(dates), None))
            found.append((i,) if date is None else (date, i))
    if not found:
        first = int(table.lines[0])
        text = table.text(0, stamped[0])
        message = f"{table.name}, line {first}: {text!r} is a date without a time of day."
        raise TrialRefusal("NO_TIME", message, (table.name,), first)
    full = [pair for pair in found if len(pair) == 2 or kinds[pair[0]][0]]
    return full or found


def _read(table: Table, columns: tuple[int, ...], rows: np.ndarray, choices: Choices) -> Clock:
    label = table.header[columns[-1]]
    texts = table.texts(columns[-1], rows)
    if _share(texts, looks_like_stamp) > 0.5:
        if len(columns) == 2:
            dates = table.texts(columns[0], rows)
            texts = [f"{a} {b}".strip() for a, b in zip(dates, texts, strict=True)]
        return _read_stamps(table, columns, texts, rows, choices, label)
    values = table.numbers(columns[0])[0]
    values = np.where(np.abs(values) < _LARGEST, values, np.nan)
    known = values[np.isfinite(values)]
    if known.size == 0:
        message = f"{table.name}: the time column {label or columns[0] + 1} holds no number and no stamp."
        raise TrialRefusal("NO_TIME", message, (table.name,))
    scale = SECONDS_PER.get(choices.clock or "", seconds_per(label))
    factor, words, dated = plain_scale(
        known, scale, table.name, int(table.lines[0]), table.text(0, columns[0])
    )
    seconds = values * factor
    calendar = dated and factor == SECONDS_PER["day"]
    if calendar:  # a spreadsheet's days count from 1899-12-30, on the wall clock
        seconds -= _SPREADSHEET_S
    seconds[np.abs(seconds) > _LARGEST_S] = np.nan
    return Clock(seconds, words, dated, wall=calendar)


def _read_stamps(
    table: Table,
    columns: tuple[int, ...],
    texts: Sequence[str],
    rows: np.ndarray,
    choices: Choices,
    label: str,
) -> Clock:
    lines = table.lines[rows].tolist()
    reading, style = find_reading(texts, table.name, lines, choices.date_order, choices.clock, label)
    seconds = table.seconds(columns[-1], reading)
    if len(columns) == 2:
        seconds = _dates(table, columns[0], reading.order) + seconds
    return replace(style, time_s=seconds)


def _dates(table: Table, column: int, order: str) -> Floats:
    """Return the start of each row's day [s]; a log has few days, so each is read once."""
    from haulwright.trials.readers._stamp import Reading, date_seconds

    names = table.names(column, 400) or []
    days = np.full(len(names) + 1, np.nan)
    for i, name in enumerate(names):
        match = match_stamp(name)
        day = date_seconds(match, Reading(order)) if match and match["date"] else None
        days[i] = np.nan if day is None else day
    return np.asarray(days[table.codes(column, names)], dtype=np.float64)


def _share(texts: Sequence[str], test: Callable[[str], bool]) -> float:
    filled = [text for text in texts if not is_blank(text)]
    return sum(test(text) for text in filled) / len(filled) if filled else 0.0


def _is_stopwatch(table: Table, column: int, rows: np.ndarray) -> bool:
    values = table.some_numbers(column, rows)
    label = table.header[column]
    unnamed = unit_in_label(label) is None and not FORCE_WORD.search(label)
    return unnamed and values.size > 20 and bool(np.all(np.diff(values) > 0.0))


def _rising(table: Table, column: int, rows: np.ndarray) -> bool:
    values = table.some_numbers(column, rows)
    if values.size < 2 or values.size < 0.5 * rows.size or unit_in_label(table.header[column]):
        return False
    steps = np.diff(values)
    return float((steps >= 0.0).mean()) > 0.9 and float((steps > 0.0).mean()) > 0.05
