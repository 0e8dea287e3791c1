"""A line to its fields, and what a field can be."""

from __future__ import annotations

import csv
from collections.abc import Sequence
from dataclasses import dataclass

from haulwright.trials.readers._number import is_number
from haulwright.trials.readers._stamp import looks_like_stamp
from haulwright.trials.readers._units import split_unit

CELLS = "\x1f"  # between the cells of a workbook's sheet
MOST_COLUMNS = 200

Fields = tuple[int, list[str]]


@dataclass(frozen=True)
class Layout:
    """How the lines of a file are to be understood.

    Attributes
    ----------
    separator, decimal : str
        The one decision taken for the file.
    width : int
        Columns of the body.
    fields : int
        Fields of a usual row: the columns and blank ones behind them.
    header : tuple of str
        Column labels with their units; empty texts where there are none.
    header_lines : tuple of str
        The lines the labels came from, as they stand.
    preamble : tuple of str
        Lines before the header.
    first : int
        Line number of the first row of the body, counted from 1.
    """

    separator: str
    decimal: str
    width: int
    fields: int
    header: tuple[str, ...]
    header_lines: tuple[str, ...]
    preamble: tuple[str, ...]
    first: int


def split_line(line: str, separator: str) -> list[str]:
    """Return the fields of one line; quotes are undone, blanks around a field taken off.

    Examples
    --------
    >>> split_line('12:00:01; "4,2"', ";"), split_line("1  2   3", " ")
    (['12:00:01', '4,2'], ['1', '2', '3'])
    """
    if separator == " ":
        return line.split()
    if '"' not in line:
        return [field.strip() for field in line.split(separator)]
    fields = next(csv.reader([line], delimiter=separator, skipinitialspace=True), [])
    return [field.strip() for field in fields]


def is_reading(field: str) -> bool:
    """Tell whether a field is a number, with its unit behind it or not, or a clock stamp."""
    behind = split_unit(field)
    return is_number(behind[0] if behind else field) or looks_like_stamp(field)


def looks_like_data(fields: Sequence[str]) -> bool:
    """Tell whether a row holds readings: two fields with a number or a clock stamp in them."""
    return sum(is_reading(field) for field in fields[:MOST_COLUMNS]) >= 2


def trimmed(fields: Sequence[str]) -> int:
    """Return the number of fields, blank ones at the end left out."""
    count = len(fields)
    while count and not fields[count - 1]:
        count -= 1
    return count
