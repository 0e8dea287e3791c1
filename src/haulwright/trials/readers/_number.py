"""Numbers as loggers write them: decimal point or comma, with or without marks between thousands."""

from __future__ import annotations

import re
from collections.abc import Sequence

from haulwright.errors import TrialRefusal

NUMBER = re.compile(r"^[-+−]?(?:\d[\d\s.,'’]*|[.,]\d+)(?:[eE][-+]?\d+)?$")


def find_decimal(rows: Sequence[Sequence[str]], name: str, numbers: Sequence[int]) -> str:
    """Return the decimal mark of a file, from all its numbers together.

    Raises
    ------
    TrialRefusal
        If every comma could as well part thousands.
    """
    texts = [f for row in rows for f in row if ("," in f) and NUMBER.match(f)]
    if not texts:
        return "."
    if any("." in f and f.rindex(".") < f.rindex(",") for f in texts):
        return ","
    if any(f.count(",") > 1 or ("." in f and f.rindex(".") > f.rindex(",")) for f in texts):
        return "."
    if any(
        not re.search(r",\d{3}$", f) or re.match(r"^[-+−]?0*,", f) or re.match(r"^[-+−]?0", f) for f in texts
    ):
        return ","
    if any(re.match(r"^[-+−]?\d+\.\d+$", f) for row in rows for f in row[1:]):
        return "."
    first = texts[0]
    line = next(n for n, row in zip(numbers, rows, strict=True) if first in row)
    message = (
        f"{name}, line {line}: {first!r} can be read as {first.replace(',', '')} or as {first.replace(',', '.')}: "
        "write the log with a decimal point, or with two decimals."
    )
    raise TrialRefusal("DECIMAL", message, (name,), line)


def to_number(text: str, decimal: str) -> float | None:
    """Return the number a field holds, or None.

    Examples
    --------
    >>> to_number("1.204,5", ","), to_number("812", "."), to_number("OL", ".")
    (1204.5, 812.0, None)
    """
    if decimal == ",":
        text = text.replace(".", "").replace(",", ".")
    try:
        value = float(text.replace("−", "-"))
    except ValueError:
        if not NUMBER.match(text):
            return None
        bare = re.sub(r"[\s,'’]", "", text.replace("−", "-"))
        try:
            return float(bare)
        except ValueError:
            return None
    return value if value - value == 0.0 else None


def to_numbers(texts: Sequence[str], decimal: str) -> list[float] | None:
    """Return a whole column of plain numbers, None if any field is something else.

    Examples
    --------
    >>> to_numbers(["1.5", "2"], "."), to_numbers(["1,5", "OL"], ",")
    ([1.5, 2.0], None)
    """
    if decimal == ",":
        if any("." in text for text in texts):
            return None
        texts = [text.replace(",", ".") for text in texts]
    try:
        values = [float(text) for text in texts]
    except ValueError:
        return None
    return values if all(value - value == 0.0 for value in values) else None
