"""Ratio of means, its scatter, and the budget of everything else that can be wrong.

References
----------
JCGM 100:2008 (GUM), 4.3.7 rectangular limits, 5.1.2 propagation, G.4 Welch-Satterthwaite; W. G. Cochran, Sampling
Techniques, 3rd ed. 1977, ch. 6 (ratio of means). From memory.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import stdtrit

from haulwright.errors import TrialRefusal
from haulwright.quantities.measured import Z95, Measured
from haulwright.trials.cells import ASSUMED_CLASS, CellSpec
from haulwright.trials.condition import Conditioned
from haulwright.trials.grid import Grid
from haulwright.trials.log import Floats
from haulwright.trials.result import BudgetTerm
from haulwright.trials.scatter import Scatter, scatter_of_mean
from haulwright.trials.steady import LEAST_S, Mask, select

# capacity taken as this many times the greatest reading where it is not told (house rule)
_UNKNOWN_CAPACITY = 1.5
SCATTER, CLOCK = "scatter of this run", "clock offset"


@dataclass(frozen=True)
class RatioOfMeans:
    """Mean anchor over mean line force.

    Attributes
    ----------
    ratio : float
        The quotient.
    scatter : Scatter
        Of the ratio.
    line_N, anchor_N : float
        Means [N].
    line_scatter, anchor_scatter : Scatter
        Of the means [N].
    slope_per_s : float
        Relative drift of the load [1/s].
    seconds : float
        Time averaged over [s].
    """

    ratio: float
    scatter: Scatter
    line_N: float
    anchor_N: float
    line_scatter: Scatter
    anchor_scatter: Scatter
    slope_per_s: float
    seconds: float


def ratio_of_means(grid: Grid, spans: Sequence[tuple[float, float]]) -> RatioOfMeans:
    """Return the ratio of means over the steady stretches, pooled.

    Raises
    ------
    TrialRefusal
        If there are fewer than eight seconds of both cells.

    Notes
    -----
    ``d = (Y - R X) / mean(X)`` carries the covariance of both channels and the autocorrelation; its scatter is that
    of the ratio (delta method). The two means are never propagated as independent.
    """
    inside = select(grid, spans)
    if np.count_nonzero(inside) * grid.step_s < LEAST_S:
        raise TrialRefusal(
            "TOO_SHORT", f"The steady stretch holds less than {LEAST_S:.0f} s of both cells: pull longer."
        )
    line, anchor = grid.line_N[inside], grid.anchor_N[inside]
    x, y = float(line.mean()), float(anchor.mean())
    ratio = y / x
    blocks = [_blocks(grid, inside, values) for values in ((anchor - ratio * line) / x, line - x, anchor - y)]
    time = grid.time_s[inside]
    slope = float(np.polyfit(time - time.mean(), anchor, 1)[0]) / y
    scatter, line_scatter, anchor_scatter = (scatter_of_mean(block) for block in blocks)
    seconds = float(np.count_nonzero(inside) * grid.step_s)
    return RatioOfMeans(ratio, scatter, x, y, line_scatter, anchor_scatter, slope, seconds)


def _blocks(grid: Grid, inside: Mask, values: Floats) -> Floats:
    """Return means over one second each, never across two stretches."""
    time = grid.time_s[inside]
    second = np.floor((time - grid.time_s[0]) + 1e-6).astype(np.int64)
    _, index, counts = np.unique(second, return_inverse=True, return_counts=True)
    means = np.bincount(index, weights=values) / counts
    return np.asarray(means[counts >= 0.5 * counts.max()], dtype=np.float64)


@dataclass(frozen=True)
class Budget:
    """The uncertainty of a ratio.

    Attributes
    ----------
    terms : tuple of BudgetTerm
        In the unit of the ratio, with shares of the total variance.
    total : Measured
        The ratio with its total uncertainty.
    repeatability : Measured
        The ratio with what changes from run to run of the same cells: scatter, zero, clock.
    dof : float
        Effective degrees of freedom of the total (infinity allowed).
    """

    terms: tuple[BudgetTerm, ...]
    total: Measured
    repeatability: Measured
    dof: float


def make_budget(
    means: RatioOfMeans,
    cells: Mapping[str, CellSpec],
    conditioned: Mapping[str, Conditioned],
    offset: Measured,
) -> Budget:
    """Return the budget of a ratio of means.

    Parameters
    ----------
    means : RatioOfMeans
        The ratio and its scatter.
    cells : mapping
        The cell at ``line`` and at ``anchor``.
    conditioned : mapping
        Both channels; their zeros are used.
    offset : Measured
        Clock offset of the anchor [s].

    Notes
    -----
    Relative, first order: ``u² = (u_stat/R)² + Σ (u_zero/mean)² + Σ c²/3 + (u_d slope/mean)²``; the class c is a
    rectangular limit; a certificate's U (k = 2) enters as (U/2)² in its place. All but the scatter are taken as
    exactly known (infinite degrees of freedom).
    """
    readings = {"line": means.line_N, "anchor": means.anchor_N}
    of_class = {
        f"{cells[place].error_word} of the {place} cell": cells[place].standard_at(reading)
        for place, reading in readings.items()
    }
    zeros = {
        f"zero of the {place}": zero_u(conditioned[place], cells[place]) / reading
        for place, reading in readings.items()
    }
    scatter, clock = means.scatter.u / means.ratio, offset.u * abs(means.slope_per_s)
    relative = {SCATTER: scatter, **of_class, **zeros, CLOCK: clock}
    total, dof = _combined(means, list(relative.values()))
    variance = sum(u * u for u in relative.values())
    terms = tuple(
        BudgetTerm(term, u * means.ratio, u * u / variance if variance else 0.0)
        for term, u in relative.items()
    )
    repeatability, _ = _combined(means, [scatter, *zeros.values(), clock])
    return Budget(terms, total, repeatability, dof)


def zero_u(conditioned: Conditioned, cell: CellSpec) -> float:
    """Return the standard uncertainty of a channel's zero [N]; without an unloaded stretch, class times range."""
    if conditioned.zero_N is not None:
        return conditioned.zero_N.u
    greatest = float(conditioned.channel.force_N.max())
    share = ASSUMED_CLASS if cell.accuracy is None else cell.accuracy
    return share * (cell.capacity_N or _UNKNOWN_CAPACITY * greatest) / math.sqrt(3.0)


def effective_dof(parts: Sequence[tuple[float, float]]) -> float:
    """Return the effective degrees of freedom of a root sum of squares (Welch-Satterthwaite).

    Parameters
    ----------
    parts : sequence of (float, float)
        Standard uncertainty and degrees of freedom of each independent part.

    Examples
    --------
    >>> effective_dof([(3.0, 10.0), (4.0, float("inf"))])
    77.16...
    """
    total = sum(u * u for u, _ in parts)
    lost = sum(u * u * u * u / dof for u, dof in parts)
    return total * total / lost if lost > 0.0 else float("inf")


def coverage_factor(dof: float) -> float:
    """Return the factor of a 95 % interval: a t quantile, the normal one for very many degrees of freedom."""
    return float(stdtrit(dof, 0.975)) if dof < 1e6 else Z95


def _combined(means: RatioOfMeans, relative: Sequence[float]) -> tuple[Measured, float]:
    """Return the ratio with the root sum of squares of all terms, the scatter first among them."""
    infinite = float("inf")
    parts = [(relative[0], means.scatter.dof), *((u, infinite) for u in relative[1:])]
    dof = effective_dof(parts)
    u = math.sqrt(sum(value * value for value in relative))
    return Measured.normal(means.ratio, u * means.ratio, coverage_factor(dof)), dof


def mean_force(mean_N: float, scatter: Scatter, conditioned: Conditioned, cell: CellSpec) -> Measured:
    """Return a mean force with scatter, zero and class [N]."""
    of_class = cell.standard_at(mean_N) * mean_N
    fixed = (zero_u(conditioned, cell) ** 2 + of_class**2) ** 0.5
    dof = effective_dof([(scatter.u, scatter.dof), (fixed, float("inf"))])
    return Measured.normal(mean_N, float(np.hypot(scatter.u, fixed)), coverage_factor(dof))
