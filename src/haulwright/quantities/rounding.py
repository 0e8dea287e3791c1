"""The one rounding rule of value ± uncertainty.

The uncertainty is rounded to two significant figures (tables) or one (the answer), to the nearest, ties away
from zero; the value is rounded to the same place (JCGM 100:2008, clause 7.2.6).
"""

from __future__ import annotations

import math
from decimal import ROUND_HALF_UP, Decimal

from haulwright.quantities.numerals import UNKNOWN, print_figures, print_number


def round_pair(value: float, u: float, figures: int = 2) -> tuple[str, str]:
    """Return value and uncertainty as text, rounded to the same place.

    Parameters
    ----------
    value, u : float
        The value and its uncertainty (>= 0), in the same unit.
    figures : int
        Significant figures of the uncertainty, 1 or more.

    Returns
    -------
    tuple of str
        Value and uncertainty. An exact value (``u`` = 0) keeps up to six significant figures; what is not
        known is a dash.

    References
    ----------
    JCGM 100:2008 (GUM), clause 7.2.6: 10.05762 ohm with u = 27 mohm is rounded to 10.058 ohm.

    Examples
    --------
    >>> round_pair(10.05762, 0.0271), round_pair(1.8346, 0.0996), round_pair(45678.0, 1234.0)
    (('10.058', '0.027'), ('1.83', '0.10'), ('45\u2009700', '1\u2009200'))
    """
    if math.isnan(value):
        return UNKNOWN, UNKNOWN
    if not math.isfinite(u) or u < 0:
        return print_figures(value, 6), UNKNOWN
    if u == 0:
        shortest = max(0, 5 - math.floor(math.log10(abs(value)))) if value else 0
        text = print_number(value, shortest)
        return (text.rstrip("0").rstrip(".") if "." in text else text), "0"
    place = _place(u, figures)
    return print_number(_round(value, place), place), print_number(_round(u, place), place)


def _place(u: float, figures: int) -> int:
    """Return the decimals that leave ``figures`` figures of ``u`` (0.0996 becomes 0.10, not 0.100)."""
    place = figures - 1 - Decimal(repr(u)).adjusted()
    return place if Decimal(repr(_round(u, place))).adjusted() == Decimal(repr(u)).adjusted() else place - 1


def _round(value: float, place: int) -> float:
    """Return ``value`` rounded at ``place`` decimals, ties away from zero as the decimal figures read."""
    return float(Decimal(repr(float(value))).quantize(Decimal(1).scaleb(-place), rounding=ROUND_HALF_UP))
