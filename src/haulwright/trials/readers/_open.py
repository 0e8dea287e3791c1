"""From a path to a table: text or workbook, its layout decided on all of a small file, on pieces of a large one."""

from __future__ import annotations

from pathlib import Path

from haulwright.trials.readers._bytes import load, to_utf8
from haulwright.trials.readers._cut import build
from haulwright.trials.readers._fields import CELLS
from haulwright.trials.readers._layout import Line, find_layout
from haulwright.trials.readers._table import Table
from haulwright.trials.readers.choices import Choices
from haulwright.trials.readers.xlsx import is_workbook, sheet_text

_SMALL_BYTES = 400_000  # up to this size the layout is decided on every line
_HEAD_BYTES, _PIECES, _PIECE_BYTES = 12_000, 12, 1_000


def open_table(path: Path, choices: Choices) -> Table:
    """Return the body of a file as a table.

    Raises
    ------
    TrialRefusal
        If the file is missing, empty, no text and no workbook, or cannot be understood in one way only.
    """
    source = load(path)
    if is_workbook(source.raw):
        data, sheet = sheet_text(source, choices)
        layout = find_layout(sample_lines(data), source.name, choices, separator=CELLS)
        return build(data, layout, source.name, source.sha256, "xlsx", sheet)
    data, encoding = to_utf8(source, choices.encoding)
    layout = find_layout(sample_lines(data), source.name, choices)
    return build(data, layout, source.name, source.sha256, encoding)


def sample_lines(data: bytes) -> list[Line]:
    """Return numbered lines to decide on: all of a small file, else its head, its end and pieces between.

    Examples
    --------
    >>> sample_lines(b"a;b\\n1;2\\n")
    [(1, 'a;b'), (2, '1;2')]
    """
    if len(data) <= _SMALL_BYTES:
        return _numbered(data, 1)
    found = _numbered(data[: _line_end(data, _HEAD_BYTES)], 1)
    counted, lines = 0, 0
    step = (len(data) - _HEAD_BYTES - _PIECE_BYTES) // _PIECES
    for piece in range(1, _PIECES + 1):
        start = _line_end(data, _HEAD_BYTES + piece * step)
        lines += data.count(b"\n", counted, start)
        counted = start
        found += _numbered(data[start : _line_end(data, start + _PIECE_BYTES)], lines + 1)
    return found


def _line_end(data: bytes, at: int) -> int:
    """Return the place behind the end of the line that holds a place."""
    end = data.find(b"\n", at)
    return len(data) if end < 0 else end + 1


def _numbered(data: bytes, first: int) -> list[Line]:
    text = data.decode("utf-8", "replace")
    lines = text.split("\n")
    if lines and not lines[-1]:
        lines.pop()
    return list(enumerate(lines, start=first))
