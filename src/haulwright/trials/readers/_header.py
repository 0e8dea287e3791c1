"""Labels and units of the columns, and whether they stay the same down the file."""

from __future__ import annotations

import re
from collections.abc import Sequence

from haulwright.errors import TrialRefusal
from haulwright.files.log_words import newtons_per
from haulwright.trials.readers._fields import Fields, Layout, trimmed
from haulwright.trials.readers._number import is_number
from haulwright.trials.readers._units import bare_label, unit_in_label
from haulwright.trials.readers._words import FORCE_WORD, TIME_WORD

_WORD_UNIT = re.compile(r"^[\[(]?[A-Za-z%°][A-Za-z0-9²/·%°-]{0,5}[\])]?$")


def header_rows(rows: Sequence[Fields], start: int, width: int) -> list[int]:
    """Return the rows of the header: labels, and a row of units below them."""
    before = [i for i in range(start) if any(rows[i][1])]
    if not before or not _is_header(rows[before[-1]][1], width):
        return []
    last = rows[before[-1]][1]
    units = all(not f or _WORD_UNIT.match(f) for f in last) and any(
        unit_in_label(f"x [{f}]") for f in last if f
    )
    if units and len(before) > 1 and trimmed(rows[before[-2]][1]) >= trimmed(last) > 1:
        return before[-2:]
    return before[-1:]


def _is_header(fields: Sequence[str], width: int) -> bool:
    """Tell labels from a line of the preamble: as many as the columns, or at least words of time and force."""
    count = trimmed(fields)
    if count < 2 and width > 1:
        return False
    if len(fields) >= width and count <= width:
        return True
    words = sum(bool(TIME_WORD.search(f) or FORCE_WORD.search(f) or unit_in_label(f)) for f in fields)
    return words >= 2 and not any(is_number(f) for f in fields)


def labels_of(
    header: Sequence[list[str]], width: int, body: Sequence[Fields], name: str, mark: str
) -> tuple[str, ...]:
    """Return the labels of the columns, with their units.

    Raises
    ------
    TrialRefusal
        COLUMNS if they cannot be laid over the columns in one way only.
    """
    if not header:
        return ("",) * width
    labels = list(header[0])
    if mark == " " and len(labels) != width:  # labels of several words, aligned by spaces
        labels = re.split(r"\s{2,}", " ".join(header[0]))
    count = trimmed(labels)
    if count != width:
        _check_counts(labels[:count], width, body, name)
    labels = [*labels[:width], *[""] * (width - len(labels))]
    if len(header) > 1:
        units = [*header[1], *[""] * width]
        labels = [f"{a} [{b.strip('[]()')}]" if b else a for a, b in zip(labels, units, strict=False)]
    return tuple(labels)


def _check_counts(labels: Sequence[str], width: int, body: Sequence[Fields], name: str) -> None:
    """Refuse labels that cannot be laid over the columns in one way only."""
    number, row = body[0]
    surplus = range(len(labels), width)
    if len(labels) < width and all(not f[column] for column in surplus for _, f in body):
        return
    left = ", ".join(f"{a}={b}" for a, b in zip(labels, row, strict=False))
    right = ", ".join(f"{a}={b}" for a, b in zip(reversed(labels), reversed(row[:width]), strict=False))
    message = (
        f"{name}, line {number}: {len(labels)} labels stand over {width} columns. Counted from the left: {left}. "
        f"Counted from the right: {right}. Give each column its label (is a decimal comma also the separator?)."
    )
    raise TrialRefusal("COLUMNS", message, (name,), number)


def judge_text(fields: list[str], text: str, layout: Layout, name: str, number: int) -> str:
    """Return what a line without readings inside the body is: the header again, or some text.

    Raises
    ------
    TrialRefusal
        COLUMNS if it is a header that differs from the first: the columns or units changed on the way.
    """
    line = text.strip()
    if line in layout.header_lines or line in layout.preamble:
        return "repeated_header_line"
    labels = {bare_label(label).lower() for label in layout.header if label}
    again = [f for f in fields if f and bare_label(f).lower() in labels]
    units = [f for f in fields if newtons_per(f.strip("[]()"))]
    if (
        len(set(again)) >= 2
        or (again and len(labels) < 3)
        or (units and len(units) >= sum(map(bool, fields)) - 1)
    ):
        message = (
            f"{name}, line {number}: the header changes here. Before: {' | '.join(layout.header_lines)}. "
            f"Now: {line}. Cut the log in two."
        )
        raise TrialRefusal("COLUMNS", message, (name,), number)
    return "text_line"
