"""The chance that a comparison of two devices tells, for pulls of each and the scatter of one pull."""

from __future__ import annotations

import numpy as np
from scipy.stats import chi2 as chi_squared
from scipy.stats import nct, norm
from scipy.stats import t as student

from haulwright.errors import TrialRefusal
from haulwright.trials.compare import LEVEL


def power_of_difference(pulls: int, sd: float, difference: float) -> float:
    """Return the chance to show a difference of two means (two-sided, 5 %, Student's t).

    Parameters
    ----------
    pulls : int
        Pulls of each of the two.
    sd : float
        Standard deviation of one pull.
    difference : float
        True difference, in the same unit.

    Raises
    ------
    TrialRefusal
        ``NUMBER``: a scatter or difference that is not above 0.

    Notes
    -----
    Noncentral t with 2n - 2 degrees of freedom and noncentrality d / (s sqrt(2/n)). One pull each shows nothing.

    References
    ----------
    Cohen J., Statistical Power Analysis for the Behavioral Sciences, 2nd ed. 1988, ch. 2. From memory.

    Examples
    --------
    >>> power_of_difference(17, 1.0, 1.0)
    0.807
    """
    _positive(sd, difference)
    dof = 2 * pulls - 2
    if dof < 1:
        return 0.0
    limit = float(student.ppf(1.0 - LEVEL / 2.0, dof))
    away = difference / (sd * (2.0 / pulls) ** 0.5)
    return float(nct.sf(limit, dof, away) + nct.cdf(-limit, dof, away))


def power_of_equivalence(pulls: int, sd: float, margin: float, difference: float = 0.0) -> float:
    """Return the chance to show that two means are alike within a margin (two one-sided tests, 5 %).

    Parameters
    ----------
    pulls, sd
        As :func:`power_of_difference`.
    margin : float
        In the same unit.
    difference : float
        True difference.

    Raises
    ------
    TrialRefusal
        ``NUMBER``: a scatter or margin that is not above 0.

    Notes
    -----
    Exact: the probability that the difference falls within margin - t(0.95) × its standard error, averaged over the
    chi-squared distribution of the latter.

    References
    ----------
    Schuirmann D. J., J. Pharmacokinet. Biopharm. 15 (1987) 657. From memory.

    Examples
    --------
    >>> power_of_equivalence(4, 0.35, 1.0)
    0.942
    """
    _positive(sd, margin)
    dof = 2 * pulls - 2
    if dof < 1:
        return 0.0
    sigma = sd * (2.0 / pulls) ** 0.5
    share = (np.arange(4000) + 0.5) / 4000
    left = margin - float(student.ppf(1.0 - LEVEL, dof)) * sigma * np.sqrt(chi_squared.ppf(share, dof) / dof)
    left = np.maximum(left, 0.0)
    return float(np.mean(norm.cdf((left - difference) / sigma) - norm.cdf((-left - difference) / sigma)))


def _positive(*values: float) -> None:
    for value in values:
        if not value > 0.0:
            raise TrialRefusal(
                "NUMBER", f"A scatter, difference or margin of {value:g}: expected a number above 0."
            )
