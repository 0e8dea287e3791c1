"""Slow changes over a session: of the advantage (warming, wetting, bedding in) and of the lane (ruts, a mound)."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from haulwright.notices import Code, Notice

CLEAR = 2.0  # standard errors from which a slope is told
LEAST_REFERENCES = 3


@dataclass(frozen=True)
class Slope:
    """Slope of a logarithm over the run's number, its standard error and how many degrees of freedom it has."""

    per_run: float
    se: float
    dof: int

    @property
    def clear(self) -> bool:
        """Whether it is beyond two standard errors."""
        return abs(self.per_run) > CLEAR * self.se


def common_slope(groups: Sequence[Sequence[tuple[float, float]]], u: float = 0.0) -> Slope | None:
    """Return the slope common to groups, each about its own mean.

    Parameters
    ----------
    groups : sequence of sequence of (number of the run, logarithm)
    u : float
        Least standard uncertainty of one logarithm; few points may lie on a line by chance.

    Returns
    -------
    Slope or None
        None without a degree of freedom left.

    Examples
    --------
    >>> common_slope([[(1, 0.10), (2, 0.12), (3, 0.14)]], u=0.001).per_run
    0.02
    """
    several = [np.array(group) for group in groups if len(group) > 1]
    dof = sum(len(group) - 1 for group in several) - 1
    if dof < 1:
        return None
    number = np.concatenate([group[:, 0] - group[:, 0].mean() for group in several])
    y = np.concatenate([group[:, 1] - group[:, 1].mean() for group in several])
    span = float((number**2).sum())
    slope = float((number * y).sum()) / span
    variance = float(((y - slope * number) ** 2).sum()) / dof
    return Slope(slope, math.sqrt(max(variance, u**2) / span), dof)


def trend(groups: Sequence[Sequence[tuple[float, float]]]) -> Notice | None:
    """Return a notice if ln R drifts with the run's number beyond two standard errors.

    Parameters
    ----------
    groups : sequence of sequence of (number of the run, ln R)
        For each configuration, its runs; means are taken off each, so that devices do not make the trend.

    Returns
    -------
    Notice or None
        None also with fewer than three degrees of freedom left. The notice tells the late plateau apart: how far
        the later half lies from the mean.
    """
    slope = common_slope(groups)
    if slope is None or slope.dof < 3 or not slope.clear:
        return None
    text = (
        f"The advantage drifts by {100.0 * slope.per_run:+.2f} % a run (± {200.0 * slope.se:.2f} %) over the session: "
        "warming, wetting or bedding in. Its scatter is not all random; repeat in mirrored order."
    )
    late = late_plateau(groups)
    if late is not None:
        text += f" The later half of the runs alone lies {100.0 * late:+.2f} % from the mean of all."
    return Code.TREND.notice((), text=text)


def late_plateau(groups: Sequence[Sequence[tuple[float, float]]]) -> float | None:
    """Return how far the later half of the session lies from each configuration's mean, as a logarithm.

    Examples
    --------
    >>> late_plateau([[(1, 0.60), (4, 0.62)], [(2, 0.50), (3, 0.52)]])
    0.01
    """
    several = [group for group in groups if len(group) > 1]
    numbers = sorted(number for group in several for number, _ in group)
    if len(numbers) < 4:
        return None
    middle = 0.5 * (numbers[(len(numbers) - 1) // 2] + numbers[len(numbers) // 2])
    late = [
        y - sum(value for _, value in group) / len(group)
        for group in several
        for number, y in group
        if number > middle
    ]
    return sum(late) / len(late) if late else None


def lane_drift(references: Sequence[tuple[float, float, float]]) -> Notice | None:
    """Return a notice if the load of the reference pulls drifts over the session.

    Parameters
    ----------
    references : sequence of (number of the run, mean load [N], relative standard uncertainty)
        Pulls of one rig, repeated over the day: the lane's own resistance.

    Returns
    -------
    Notice or None
        None also with fewer than three.

    Notes
    -----
    ln load over the number of the run by least squares; clear from two standard errors. Both cells feel the lane, so
    the advantage does not; forces of different runs are to be compared with it in mind.
    """
    if len(references) < LEAST_REFERENCES:
        return None
    u = math.sqrt(sum(one[2] ** 2 for one in references) / len(references))
    slope = common_slope([[(number, math.log(load)) for number, load, _ in references]], u)
    if slope is None or not slope.clear:
        return None
    first, last = min(one[0] for one in references), max(one[0] for one in references)
    change, se = (100.0 * (last - first) * value for value in (slope.per_run, slope.se))
    text = (
        f"The reference pulls drift by {change:+.1f} % (± {2.0 * se:.1f} %) from the first to the last: the lane or the "
        "drag changes. The advantage does not feel it; forces of different runs do."
    )
    return Code.TREND.notice((), text=text)
