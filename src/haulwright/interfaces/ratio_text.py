"""A tension ratio as it is typed: ``1.08`` or ``1.08 ± 0.02``, half the width of its 95 % interval."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from haulwright.errors import UsageRefusal
from haulwright.quantities.measured import Z95, Measured
from haulwright.quantities.numerals import read_number


def ratio_of(text: str, what: str = "--ratio") -> float | Measured:
    """Return the ratio of a text.

    Raises
    ------
    UsageRefusal
        What is no number, or a negative width.

    Examples
    --------
    >>> ratio_of("1.08"), round(ratio_of("1.08±0.02").u, 4)
    (1.08, 0.0102)
    """
    value, pm, half = text.replace("+-", "±").partition("±")
    try:
        if not pm:
            return read_number(value)
        width = read_number(half)
        if width < 0:
            raise ValueError
        return Measured.normal(read_number(value), width / Z95)
    except ValueError:
        raise UsageRefusal(
            "USAGE", f"{what} {text}: expected a number such as 1.08 or 1.08±0.02.", (what,)
        ) from None


def ratios_of(given: Any) -> Any:
    """Return the ratio of every block, or by block, of what was asked: numbers stay, texts are read.

    Raises
    ------
    UsageRefusal
        As :func:`ratio_of`.

    Examples
    --------
    >>> ratios_of({"B1": "1.08", "B2": 1.1})
    {'B1': 1.08, 'B2': 1.1}
    """
    if isinstance(given, Mapping):
        return {block: ratios_of(one) for block, one in given.items()}
    return ratio_of(given, "ratio") if isinstance(given, str) else given
