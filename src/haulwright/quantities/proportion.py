"""A share of cases with what the number of cases leaves open."""

from __future__ import annotations

import math

from haulwright.errors import QuantityRefusal
from haulwright.quantities.measured import Z95, Measured


def proportion(hits: int, cases: int) -> Measured:
    """Return hits ÷ cases with its binomial standard deviation and 95 % score interval.

    Parameters
    ----------
    hits, cases : int
        0 <= hits <= cases, cases > 0.

    Returns
    -------
    Measured

    Raises
    ------
    QuantityRefusal
        ``PROPORTION`` for numbers that are no such counts.

    Notes
    -----
    With z = 1.96 the ends are ``(p + z²/2n ± z sqrt(p(1 - p)/n + z²/4n²)) / (1 + z²/n)``: unlike p ± 1.96 u they stay
    within 0 and 1 and have width even at 0 and n hits.

    References
    ----------
    E. B. Wilson, J. Am. Stat. Assoc. 22 (1927) 209 (from memory).

    Examples
    --------
    >>> proportion(1900, 2000).to_dict()["interval95"]
    [0.93956..., 0.95872...]
    >>> proportion(2000, 2000).lo
    0.99808...
    """
    if cases <= 0 or not 0 <= hits <= cases:
        raise QuantityRefusal(
            "PROPORTION", f"{hits} of {cases}: give 0 <= hits <= cases and at least one case."
        )
    share, more = hits / cases, Z95**2 / cases
    spread = share * (1.0 - share) / cases
    half = Z95 * math.sqrt(spread + more / (4.0 * cases))
    middle = share + more / 2.0
    low, high = (middle - half) / (1.0 + more), (middle + half) / (1.0 + more)
    return Measured(share, math.sqrt(spread), max(min(low, share), 0.0), min(max(high, share), 1.0))
