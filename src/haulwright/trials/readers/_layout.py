"""One decision per file, from a sample of its lines: separator, width, preamble, header, decimal mark."""

from __future__ import annotations

import csv
import re
from collections import Counter
from collections.abc import Sequence

from haulwright.errors import TrialRefusal
from haulwright.trials.readers._fields import (
    MOST_COLUMNS,
    Fields,
    Layout,
    is_reading,
    looks_like_data,
    split_line,
    trimmed,
)
from haulwright.trials.readers._header import header_rows, labels_of
from haulwright.trials.readers._number import find_decimal
from haulwright.trials.readers._units import split_unit
from haulwright.trials.readers._words import is_blank, is_overload
from haulwright.trials.readers.choices import Choices

_LONGEST_LINE = 20_000

Line = tuple[int, str]


def find_layout(sample: Sequence[Line], name: str, choices: Choices, separator: str | None = None) -> Layout:
    """Return the layout of a file.

    Parameters
    ----------
    sample : sequence of (int, str)
        Numbered lines: all of a small file, the head and pieces of a large one.
    name : str
        The file, for messages.
    choices : Choices
        Decisions taken by the caller.
    separator : str, optional
        The separator, where the kind of file settles it.

    Raises
    ------
    TrialRefusal
        NO_ROWS, NO_NUMBERS, BROKEN_ROW, COLUMNS or DECIMAL.
    """
    long = next((number for number, text in sample if len(text) > _LONGEST_LINE), None)
    if long is not None:
        message = f"{name}, line {long}: a line of over {_LONGEST_LINE} characters is no row of a log."
        raise TrialRefusal("BROKEN_ROW", message, (name,), long)
    mark = separator or choices.separator_mark or find_separator([text for _, text in sample])
    try:
        rows = [(number, split_line(text, mark)) for number, text in sample]
    except csv.Error as error:
        message = f"{name}: the columns cannot be told apart ({error})."
        raise TrialRefusal("BROKEN_ROW", message, (name,)) from None
    filled = [i for i, (_, fields) in enumerate(rows) if any(fields)]
    width, usual = _width(rows, filled, name)
    start = _body_start(rows, filled, width)
    label_rows = header_rows(rows, start, width)
    body = [(n, f) for n, f in rows[start:] if len(f) >= width and any(f)]
    texts = dict(sample)
    labels = labels_of([rows[i][1] for i in label_rows], width, body, name, mark)
    used = set(label_rows)
    plain = [[behind[0] if (behind := split_unit(f)) else f for f in fields[:width]] for _, fields in body]
    decimal = choices.decimal_mark or find_decimal(plain, name, [n for n, _ in body])
    return Layout(
        separator=mark,
        decimal=decimal,
        width=width,
        fields=usual,
        header=labels,
        header_lines=tuple(texts[rows[i][0]].strip() for i in label_rows),
        preamble=tuple(texts[rows[i][0]].strip() for i in filled if i < start and i not in used),
        first=rows[start][0],
    )


def find_separator(lines: Sequence[str]) -> str:
    """Return tab, semicolon, bar or comma if most lines hold it, else a space.

    Examples
    --------
    >>> find_separator(["Zeit;Seil [kN]", "12:00:01;4,2", "12:00:02;4,3"])
    ';'
    """
    filled = [line for line in lines if line.strip()][:2000]
    body = filled[len(filled) // 10 :]
    for separator in "\t;|":
        if sum(separator in line for line in body) >= 0.7 * len(body):
            return separator
    spaced = re.compile(r"^\s*[-+\d.,:]*\d(?:[ \xa0]+[-+\d.,:]*\d)+\s*$")
    if sum(bool(spaced.match(line)) for line in body) >= 0.7 * len(body) and not _stamped(body):
        return " "
    return ","


def _stamped(body: Sequence[str]) -> bool:
    """Tell whether the only space is the one between a date and a time, and commas part the columns."""
    stamp = re.compile(r"^\s*\d{1,4}[-./]\d{1,2}[-./]\d{1,4} \S+$")
    return sum(bool(stamp.match(line)) for line in body) > len(body) / 2


def _width(rows: Sequence[Fields], filled: Sequence[int], name: str) -> tuple[int, int]:
    """Return the columns of the body, those blank in all its rows left out, and the fields most rows have."""
    data = [rows[i][1] for i in filled if looks_like_data(rows[i][1])]
    if not data:
        _no_data(rows, filled, name)
    counts = Counter(len(fields) for fields in data)
    usual = max(counts, key=lambda count: (counts[count], count))
    width = max(trimmed(fields) for fields in data if len(fields) == usual)
    if width > MOST_COLUMNS:
        raise TrialRefusal("BROKEN_ROW", f"{name}: {width} columns are no log of forces.", (name,))
    return width, usual


def _no_data(rows: Sequence[Fields], filled: Sequence[int], name: str) -> None:
    if not filled:
        message = f"{name} is empty but for separators: expected rows of time and force."
        raise TrialRefusal("EMPTY", message, (name,))
    last = rows[filled[-1]][0]
    if len(filled) <= 3:
        message = f"{name} holds a header but no readings (last text in line {last}): expected rows of time and force."
        raise TrialRefusal("NO_ROWS", message, (name,), last)
    message = (
        f"{name} has no column of numbers beside a time: expected rows of time and force, as 12.3,845 "
        f"(looked at {len(filled)} lines)."
    )
    raise TrialRefusal("NO_NUMBERS", message, (name,), rows[filled[0]][0])


def _body_start(rows: Sequence[Fields], filled: Sequence[int], width: int) -> int:
    """Return the first row of the body: readings in this width, and again in most of the rows that follow."""

    def fits(index: int) -> bool:
        fields = rows[index][1]
        return len(fields) >= width and trimmed(fields) <= width and looks_like_data(fields)

    place = next(
        (
            p
            for p, i in enumerate(filled)
            if fits(i) and sum(map(fits, filled[p : p + 4])) >= 0.75 * len(filled[p : p + 4])
        ),
        None,
    )
    if place is None:
        place = next(p for p, i in enumerate(filled) if looks_like_data(rows[i][1]))
    while place and _silent_row(rows[filled[place - 1]][1], width):
        place -= 1
    if _labelled_by_numbers(rows, filled, place):
        place += 1
    return filled[place]


def _silent_row(fields: Sequence[str], width: int) -> bool:
    """Tell whether a row before the first readings is one of a cell still silent: a stamp, the rest blank words."""
    return (
        len(fields) >= width
        and is_reading(fields[0])
        and all(is_blank(f) or is_overload(f) or is_reading(f) for f in fields)
    )


def _labelled_by_numbers(rows: Sequence[Fields], filled: Sequence[int], place: int) -> bool:
    """Tell whether the first row is a header of cell numbers: a word where all rows below have readings."""
    first = rows[filled[place]][1]
    below = [rows[i][1] for i in filled[place + 1 : place + 21]]
    if len(below) < 3:
        return False
    return any(
        not is_reading(field)
        and not is_blank(field)
        and not is_overload(field)
        and re.match(r"^[^\W\d]", field) is not None
        and all(len(fields) > column and is_reading(fields[column]) for fields in below)
        for column, field in enumerate(first)
    )
