"""Numbers as loggers write them: decimal point or comma, with or without marks between thousands."""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import zip_longest

from haulwright.errors import TrialRefusal

_MARKS = " '’\u00a0\u2009\u202f"


def _pattern(decimal: str, other: str) -> re.Pattern[str]:
    grouped = rf"[1-9]\d{{0,2}}(?P<mark>[{_MARKS}{re.escape(other)}])\d{{3}}(?:(?P=mark)\d{{3}})*"
    return re.compile(
        rf"[-+−]?(?:(?:{grouped}|\d+)(?:{re.escape(decimal)}\d*)?|{re.escape(decimal)}\d+)(?:[eE][-+]?\d{{1,3}})?",
        re.ASCII,
    )


_PATTERNS = {".": _pattern(".", ","), ",": _pattern(",", ".")}
_THREE = re.compile(r"^[-+−]?[1-9]\d{0,2}([.,])\d{3}$")  # as well a thousand as a fraction
_WHOLE = re.compile(r"^[-+−]?\d{1,3}$")
_STRIP = str.maketrans("", "", _MARKS)
LONGEST = 40  # a longer field is no number of a logger


def to_number(text: str, decimal: str) -> float | None:
    """Return the number a field holds, or None; marks between thousands must part groups of three.

    Examples
    --------
    >>> to_number("1.204,5", ","), to_number("812", "."), to_number("1,5", "."), to_number("OL", ".")
    (1204.5, 812.0, None, None)
    """
    if len(text) > LONGEST or not _PATTERNS[decimal].fullmatch(text):
        return None
    bare = text.replace("−", "-").translate(_STRIP)
    bare = bare.replace(".", "").replace(",", ".") if decimal == "," else bare.replace(",", "")
    try:
        value = float(bare)
    except ValueError:
        return None
    return value if value - value == 0.0 else None


def is_number(text: str) -> bool:
    """Tell whether a field is a number with either decimal mark."""
    return to_number(text, ".") is not None or to_number(text, ",") is not None


def find_decimal(rows: Sequence[Sequence[str]], name: str, numbers: Sequence[int]) -> str:
    """Return the decimal mark of a file, from all its numbers together.

    Raises
    ------
    TrialRefusal
        If every mark could as well part thousands; the message shows a row read both ways.
    """
    columns = [
        [f for f in column if ("," in f or "." in f) and is_number(f)]
        for column in zip_longest(*rows, fillvalue="")
    ]
    votes = {vote: column for column in columns if (vote := _vote(column))}
    if len(votes) == 1:
        return next(iter(votes))
    texts = [f for column in columns for f in column]
    if len(votes) == 2:
        _refuse(votes[","][0], rows, name, numbers)
    # every number is right either way: a mark before groups of three, or none at all
    if texts and all(_THREE.match(f) for f in texts):
        marks = {f.lstrip("-+−0123456789")[0] for f in texts}
        whole = any(_WHOLE.match(f) for row in rows for f in row[1:])
        if marks != {"."} or whole:
            _refuse(texts[0], rows, name, numbers)
    return "."


def _vote(texts: Sequence[str]) -> str:
    """Return the decimal mark that a column's numbers need, nothing if they are right either way."""
    need_comma = sum(to_number(f, ".") is None for f in texts)
    need_point = sum(to_number(f, ",") is None for f in texts)
    if not need_comma and not need_point:
        return ""
    return "," if need_comma > need_point else "."


def _refuse(first: str, rows: Sequence[Sequence[str]], name: str, numbers: Sequence[int]) -> None:
    line, row = next((n, row) for n, row in zip(numbers, rows, strict=True) if first in row)
    read = {
        mark: " | ".join(f if (v := to_number(f, mark)) is None else f"{v:.15g}" for f in row)
        for mark in ".,"
    }
    message = (
        f"{name}, line {line}: {' | '.join(row)} can be read in two ways. "
        f"Decimal point: {read['.']}. Decimal comma: {read[',']}. State which: point or comma (--decimal)."
    )
    raise TrialRefusal("DECIMAL", message, (name,), line)
