"""Logs with one row per instant and one column per cell."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from itertools import islice

import numpy as np

from haulwright.errors import TrialRefusal
from haulwright.trials.readers._clock import Clock, looks_like_stamp, read_clock
from haulwright.trials.readers._number import to_number
from haulwright.trials.readers._raw import BLANK, RawChannel
from haulwright.trials.readers._text import Sheet
from haulwright.trials.readers._units import bare_label, other_unit, seconds_per, unit_in_label, unit_name

_TIME_WORD = re.compile(r"(^|[\s_.(\[])(t|s|sec|when|stamp|date|utc|datum|heure|elapsed)\b|time|zeit", re.I)
_FORCE_WORD = re.compile(r"force|load|kraft|last|line|winch|seil|anch?or|anker|pull|tension|zug|cell", re.I)
_COUNTER = re.compile(r"^(#|no\.?|nr\.?|n|index|idx|row|count|sample|id)$", re.I)
_SAMPLE = 400


def read_wide(sheet: Sheet, *, date_order: str | None = None) -> list[RawChannel]:
    """Return the force columns of a sheet.

    Raises
    ------
    TrialRefusal
        If there is no time column or no force column.
    """
    stamps, clock = time_column(sheet, date_order)
    forces = [i for i in range(len(sheet.header)) if i not in stamps and _is_force(sheet, i)]
    named = [i for i in forces if unit_in_label(sheet.header[i])]
    forces = named or [i for i in forces if _FORCE_WORD.search(sheet.header[i])] or forces
    if not forces:
        where = f"{sheet.path}, line {sheet.numbers[0]}"
        message = f"{where}: no column of force: expected numbers beside the time, found {', '.join(sheet.rows[0])!r}."
        raise TrialRefusal("NO_FORCE", message, (sheet.path,), sheet.numbers[0])
    fallback = preamble_unit(sheet)
    return [
        RawChannel(
            label=bare_label(sheet.header[i]) or f"column {i + 1}",
            file=sheet.path,
            unit=unit_name(unit_in_label(sheet.header[i]) or fallback or "") or None,
            clock=clock,
            texts=sheet.column(i),
            units=None,
            numbers=sheet.numbers,
            decimal=sheet.decimal,
            layout="wide",
        )
        for i in forces
    ]


def preamble_unit(sheet: Sheet) -> str | None:
    """Return the unit of force a line before the header states (``Unit: kgf``), None if none."""
    for line in sheet.preamble:
        match = re.search(r"\b(?:units?|einheit|unité)\b\W*(\w+)", line, re.I)
        if match and (unit := unit_in_label(f"x [{match[1]}]")):
            return unit
    return None


def time_column(sheet: Sheet, date_order: str | None) -> tuple[tuple[int, ...], Clock]:
    """Return the column or columns of time, and the clock read from them.

    Raises
    ------
    TrialRefusal
        If no column can be the time.
    """
    columns = range(len(sheet.header))
    stamped = [i for i in columns if _share(sheet.column(i), looks_like_stamp) > 0.5]
    if stamped:
        texts, used = _date_and_time(sheet, stamped)
        clock = read_clock(
            texts, decimal=sheet.decimal, name=sheet.path, line=sheet.numbers[0], date_order=date_order
        )
        # a stopwatch column beside the stamps is time as well, not a force
        return (*used, *stamped, *[i for i in columns if _is_stopwatch(sheet, i)]), clock
    index = next((i for i in columns if _TIME_WORD.search(sheet.header[i]) and _rising(sheet, i)), None)
    if index is None:
        index = next((i for i in columns if _rising(sheet, i) and not _COUNTER.match(sheet.header[i])), None)
    if index is None:
        message = f"{sheet.path}, line {sheet.numbers[0]}: no column of time: expected seconds or clock stamps that rise."
        raise TrialRefusal("NO_TIME", message, (sheet.path,), sheet.numbers[0])
    scale = seconds_per(sheet.header[index])
    clock = read_clock(
        sheet.column(index), decimal=sheet.decimal, name=sheet.path, line=sheet.numbers[0], scale=scale
    )
    return (index,), clock


def _date_and_time(sheet: Sheet, stamped: Sequence[int]) -> tuple[Sequence[str], tuple[int, ...]]:
    """Join a date column with the time-of-day column beside it."""
    first = sheet.column(stamped[0])
    dates_only = _share(first, lambda text: looks_like_stamp(text) and ":" not in text) > 0.5
    if len(stamped) > 1 and dates_only:
        second = sheet.column(stamped[1])
        return [f"{a} {b}".strip() for a, b in zip(first, second, strict=True)], (stamped[0], stamped[1])
    with_time = next((i for i in stamped if _share(sheet.column(i), lambda text: ":" in text) > 0.5), None)
    if with_time is None:
        message = f"{sheet.path}, line {sheet.numbers[0]}: {first[0]!r} is a date without a time of day."
        raise TrialRefusal("NO_TIME", message, (sheet.path,), sheet.numbers[0])
    return sheet.column(with_time), (with_time,)


def _share(texts: Sequence[str], test: Callable[[str], bool]) -> float:
    filled = [text for text in texts[:_SAMPLE] if text.lower() not in BLANK]
    return sum(test(text) for text in filled) / len(filled) if filled else 0.0


def _is_force(sheet: Sheet, index: int) -> bool:
    label = sheet.header[index]
    if _COUNTER.match(label) or (other_unit(label) and not unit_in_label(label)):
        return False
    texts = list(islice((text for text in sheet.column(index) if text.lower() not in BLANK), _SAMPLE))
    numeric = sum(to_number(re.sub(r"\s*[A-Za-z]+$", "", text), sheet.decimal) is not None for text in texts)
    return numeric > 0.5 * len(texts) and not _is_counter(sheet, index)


def _numbers(sheet: Sheet, index: int) -> np.ndarray:
    values = [to_number(text, sheet.decimal) for text in sheet.column(index)[:_SAMPLE]]
    return np.array([v for v in values if v is not None], dtype=np.float64)


def _is_counter(sheet: Sheet, index: int) -> bool:
    values = _numbers(sheet, index)
    return values.size > 5 and bool(np.all(np.diff(values) == 1.0))


def _is_stopwatch(sheet: Sheet, index: int) -> bool:
    values = _numbers(sheet, index)
    unnamed = unit_in_label(sheet.header[index]) is None and not _FORCE_WORD.search(sheet.header[index])
    return unnamed and values.size > 20 and bool(np.all(np.diff(values) > 0.0))


def _rising(sheet: Sheet, index: int) -> bool:
    values = _numbers(sheet, index)
    if values.size < 2 or unit_in_label(sheet.header[index]):
        return False
    steps = np.diff(values)
    return float((steps >= 0.0).mean()) > 0.9 and float((steps > 0.0).mean()) > 0.05
