"""Reading and printing bare figures: decimal comma or point, thousands, true minus.

A number can be typed in two worlds: ``1.5`` and ``1,5`` are the same, ``1 500`` and ``1,500.0`` too. Exactly
one comma followed by exactly three digits (``1,500``) can be one and a half or fifteen hundred, so it is
refused. A point followed by three digits (``1.500``) is read as a decimal point, always.
"""

from __future__ import annotations

import math
import re
from decimal import Decimal

from haulwright.errors import QuantityRefusal

THIN_SPACE = "\u2009"
MINUS = "\u2212"
UNKNOWN = "\u2013"
_GAP = "[ \u00a0\u2009\u202f]"
_SIGN = re.compile(r"^([+\-\u2212]?)\s*(.*)$", re.DOTALL)
_EXPONENT = re.compile(r"^(.*?)([eE][+\-\u2212]?[0-9]+)?$", re.DOTALL)
_GROUPED = re.compile(rf"^[0-9]{{1,3}}(?:{_GAP}[0-9]{{3}})+(?:[.,][0-9]*)?$")
_PLAIN = re.compile(r"^(?:[0-9]+[.,]?[0-9]*|[.,][0-9]+)$")
_MIXED = re.compile(
    r"^[0-9]{1,3}(?:(?:,[0-9]{3})+\.[0-9]+|(?:\.[0-9]{3})+,[0-9]+|(?:,[0-9]{3}){2,}|(?:\.[0-9]{3}){2,})$"
)
_TWO_WAYS = re.compile(r"^[1-9][0-9]{0,2},[0-9]{3}$")


def read_number(text: str, *, what: str = "") -> float:
    """Return the number written in ``text``.

    Parameters
    ----------
    text : str
        Digits with an optional sign, decimal point or comma, thousands gaps and exponent.
    what : str
        Name of the input, for the message.

    Returns
    -------
    float

    Raises
    ------
    QuantityRefusal
        ``NUMBER`` if it is no finite number, ``AMBIGUOUS`` if it can be read in two ways.

    Examples
    --------
    >>> read_number("3,2"), read_number("12 500"), read_number("1.500"), read_number("−1,234.5")
    (3.2, 12500.0, 1.5, -1234.5)
    """
    shown = f"{what} {text!r}".strip()
    sign, body = _SIGN.match(text.strip()).groups()  # type: ignore[union-attr]
    mantissa, exponent = _EXPONENT.match(body).groups()  # type: ignore[union-attr]
    if _TWO_WAYS.match(mantissa):
        whole, rest = mantissa.split(",")
        raise QuantityRefusal(
            "AMBIGUOUS",
            f"{shown} can be {whole}.{rest} or {whole}{rest}: write {whole}.{rest} with a point, or "
            f"{whole}{rest} without the comma.",
            where=(what,) if what else (),
        )
    digits = _digits(mantissa)
    value = float(digits + (exponent or "").replace(MINUS, "-")) if digits else math.nan
    if not math.isfinite(value):
        raise QuantityRefusal(
            "NUMBER",
            f"{shown} is not a number that can be used: write figures such as 1500, 3.2 or 3,2.",
            where=(what,) if what else (),
        )
    return -value if sign in ("-", MINUS) else value


def _digits(mantissa: str) -> str:
    """Return the mantissa with a decimal point and nothing else, empty if it is no number."""
    if _GROUPED.match(mantissa):
        return re.sub(_GAP, "", mantissa).replace(",", ".")
    if _PLAIN.match(mantissa):
        return mantissa.replace(",", ".")
    if _MIXED.match(mantissa):
        last = max(mantissa.rfind(","), mantissa.rfind("."))
        if mantissa.count(mantissa[last]) > 1:
            return mantissa.replace(mantissa[last], "")
        return re.sub("[.,]", "", mantissa[:last]) + "." + mantissa[last + 1 :]
    return ""


def print_number(value: float, decimals: int) -> str:
    """Return ``value`` with ``decimals`` decimals, thin-space thousands and a true minus.

    A number that is not known (NaN) is shown as a dash. Negative ``decimals`` round to tens, hundreds …

    Examples
    --------
    >>> print_number(-1234.567, 1), print_number(23456.0, 0), print_number(-0.001, 2)
    ('−1\u2009234.6', '23\u2009456', '0.00')
    """
    if math.isnan(value):
        return UNKNOWN
    if math.isinf(value):
        return ("" if value > 0 else MINUS) + "∞"
    rounded = round(value, decimals)
    text = f"{abs(rounded):.{max(decimals, 0)}f}"
    whole, point, rest = text.partition(".")
    whole = f"{int(whole):,}".replace(",", THIN_SPACE)
    return (MINUS if rounded < 0 else "") + whole + point + rest


def print_figures(value: float, figures: int) -> str:
    """Return ``value`` with at most ``figures`` significant figures: no zeros at the end of decimals, no power of ten.

    Examples
    --------
    >>> print_figures(1.5, 4), print_figures(-14286.7, 4), print_figures(0.99996, 4), print_figures(0.0, 4)
    ('1.5', '−14\u2009290', '1', '0')
    """
    if value == 0 or not math.isfinite(value):
        return print_number(value, 0)
    text = print_number(value, figures - 1 - Decimal(repr(float(value))).adjusted())
    return text.rstrip("0").rstrip(".") if "." in text else text
