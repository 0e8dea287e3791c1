"""Same or different? Pairs of configurations of one rig, with a verdict in words.

"Not shown different" is not "the same": equivalence is tested for itself (two one-sided tests within a
margin chosen before the test). Compared are runs with the same cells, so the cells' class drops out of the
quotient.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.stats import t as student

from haulwright.quantities.measured import Z95, Measured
from haulwright.trials.budget import effective_dof
from haulwright.trials.combine import LogMean, Pooled, combine_logs, log_of
from haulwright.trials.result import Comparison, Configuration, TrialResult

LEVEL = 0.05
MOST_RUNS = 200
SOLID_DOF = 6  # repeats from which the scatter counts as known (within about 30 %); house number


@dataclass(frozen=True)
class _Pair:
    """Difference of ln A of two configurations: value, standard error, degrees of freedom, one run's sd."""

    a: Configuration
    b: Configuration
    difference: float
    se: float
    dof: float
    one_run: float
    evidence: str
    se_bound: float  # standard error with the scatter at its upper bound; 0 where that need not be looked at

    @property
    def p_different(self) -> float:
        if abs(self.difference) < Z95 * self.se_bound:
            return 1.0
        return difference_p(self.difference, self.se, self.dof)


def difference_p(difference: float, se: float, dof: float) -> float:
    """Return the two-sided p-value of "no difference".

    Parameters
    ----------
    difference, se : float
        Difference and its standard error.
    dof : float
        Degrees of freedom of the standard error; below 1 nothing can be said and p is 1.
    """
    return 2.0 * float(student.sf(abs(difference) / se, dof)) if dof >= 1.0 else 1.0


def equivalence_p(difference: float, se: float, dof: float, low: float, high: float) -> tuple[float, float]:
    """Return the p-values of the two one-sided tests for "the difference lies between low and high".

    Parameters
    ----------
    difference, se, dof : float
        As :func:`difference_p`.
    low, high : float
        The margin. Equivalent at level 0.05 if both p-values are below 0.05.

    References
    ----------
    Schuirmann D. J., J. Pharmacokinet. Biopharm. 15 (1987) 657. From memory.

    Examples
    --------
    >>> equivalence_p(-8.1153846, 51.114285, 27, -110.0, 110.0)
    (0.0282, 0.0144)
    """
    if dof < 1.0:
        return 1.0, 1.0
    return float(student.sf((difference - low) / se, dof)), float(student.cdf((difference - high) / se, dof))


def holm(p_values: Sequence[float]) -> list[float]:
    """Return the p-values corrected for their number.

    References
    ----------
    Holm S., A simple sequentially rejective multiple test procedure, Scand. J. Stat. 6 (1979) 65. From memory.

    Examples
    --------
    >>> holm([0.01, 0.04, 0.03])
    [0.03, 0.06, 0.06]
    """
    corrected = [1.0] * len(p_values)
    running = 0.0
    for rank, i in enumerate(np.argsort(p_values).tolist()):
        running = max(running, min((len(p_values) - rank) * p_values[i], 1.0))
        corrected[i] = running
    return corrected


def runs_for_difference(sd: float, difference: float, power: float = 0.8) -> int:
    """Return the runs each of two configurations needs to show a difference (two-sided, 5 %).

    Parameters
    ----------
    sd : float
        Standard deviation of one run.
    difference : float
        The true difference, in the same unit.
    power : float
        Chance to find it.

    Notes
    -----
    Least n with n >= 2 (t(0.975) + t(power))² (sd/difference)², both t with 2n - 2 degrees of freedom.

    References
    ----------
    Cochran W. G., Cox G. M., Experimental Designs, 2nd ed. 1957. From memory.

    Examples
    --------
    >>> [runs_for_difference(1.0, d) for d in (1.0, 1.5, 2.0, 3.0)]
    [17, 9, 6, 4]
    """
    return _runs(sd, abs(difference), 1.0 - LEVEL / 2.0, power)


def runs_for_equivalence(sd: float, margin: float, power: float = 0.8) -> int:
    """Return the runs each of two configurations needs to show that they are the same within a margin.

    Parameters
    ----------
    sd : float
        Standard deviation of one run.
    margin : float
        What is left of the margin beside the true difference, in the same unit.
    power : float

    Notes
    -----
    Least n with n >= 2 (t(0.95) + t(1 - (1 - power)/2))² (sd/margin)².

    Examples
    --------
    >>> runs_for_equivalence(0.35, 1.0)
    4
    """
    return _runs(sd, margin, 1.0 - LEVEL, 1.0 - (1.0 - power) / 2.0)


def _runs(sd: float, size: float, level: float, power: float) -> int:
    for n in range(2, MOST_RUNS):
        quantiles = float(student.ppf(level, 2 * n - 2) + student.ppf(power, 2 * n - 2))
        if size > 0.0 and n >= 2.0 * (quantiles * sd / size) ** 2:
            return n
    return MOST_RUNS


def compare(
    configurations: Sequence[Configuration],
    results: Mapping[str, TrialResult],
    pooled: Pooled,
    *,
    margin: float = 0.02,
    cells: Mapping[str, tuple[str, str]] | None = None,
) -> tuple[Comparison, ...]:
    """Compare configurations of the same rig, pair by pair.

    Parameters
    ----------
    configurations : sequence of Configuration
    results : mapping run -> TrialResult
    pooled : Pooled
        Between-run variance and its degrees of freedom.
    margin : float
        Largest relative difference of the advantages that counts as the same; chosen before the test.
    cells : mapping run -> (line cell, anchor cell), optional
        Pairs measured with different cells also carry the class of the cells.

    Returns
    -------
    tuple of Comparison
        ``ratio`` is advantage of a ÷ advantage of b. Verdicts: ``different`` (95 % interval, corrected for
        several pairs by Holm), ``equivalent`` (within the margin), ``small_but_real`` (both),
        ``undecided``.

    Notes
    -----
    Without any repeat in the campaign the scatter between set-ups is not known and every verdict is
    ``undecided``. The scatter reckoned with holds the house value, but the degrees of freedom of the tests are those
    of the repeats alone. One pull of each, with few repeats elsewhere: ``different`` must also hold with the scatter at
    its upper 95 % bound. ``evidence`` says it where few repeats or single pulls bear the verdict.
    """
    pairs = [
        _pair(a, b, results, pooled, cells or {})
        for a, b in itertools.combinations(configurations, 2)
        if a.rig == b.rig and len(a.devices) == len(b.devices) > 0
    ]
    corrected = holm([pair.p_different for pair in pairs])
    return tuple(_judge(pair, p, margin) for pair, p in zip(pairs, corrected, strict=True))


def _pair(
    a: Configuration,
    b: Configuration,
    results: Mapping[str, TrialResult],
    pooled: Pooled,
    cells: Mapping[str, tuple[str, str]],
) -> _Pair:
    """Return the difference of two configurations from repeatability alone, if the cells were the same."""
    means, squares, class_u = [], [], 0.0
    for one in (a, b):
        y, u, common = (
            list(column) for column in zip(*(log_of(results[run]) for run in one.runs), strict=True)
        )
        means.append(combine_logs(y, u, pooled))
        squares += [value**2 for value in u]
        class_u = max(class_u, *common)
    same = {cells.get(run) for run in a.runs} == {cells.get(run) for run in b.runs}
    class2 = 0.0 if same else 2.0 * class_u**2
    dof = _dof(means, class2, pooled)
    se = _se(means, class2, dof, pooled)
    noise = float(np.mean(squares))
    one_run = math.sqrt(noise + max(pooled.expected_tau2, means[0].tau2, means[1].tau2))
    return _Pair(
        a,
        b,
        means[0].value - means[1].value,
        se,
        dof,
        one_run,
        _evidence(a, b, pooled),
        _bound(a, b, squares, pooled),
    )


def _bound(a: Configuration, b: Configuration, squares: Sequence[float], pooled: Pooled) -> float:
    """Return the standard error at the scatter's upper bound, for single pulls with few repeats elsewhere."""
    if max(a.n, b.n) > 1 or not 0 < pooled.dof < SOLID_DOF:
        return 0.0
    return math.sqrt(sum(squares) + 2.0 * pooled.upper_tau2)


def _dof(means: Sequence[LogMean], class2: float, pooled: Pooled) -> float:
    """Return the degrees of freedom of a difference: those of the repeats alone.

    The house value steadies the size of the scatter but is no evidence about these devices, so it adds none.
    """
    if pooled.dof == 0:
        return 0.0
    scatter = math.hypot(*(mean.scatter for mean in means))  # one estimate serves both
    own = [(mean.own_u, mean.dof) for mean in means]
    return effective_dof([(scatter, float(pooled.dof)), *own, (math.sqrt(class2), math.inf)])


def _se(means: Sequence[LogMean], class2: float, dof: float, pooled: Pooled) -> float:
    """Return the least standard error whose 90 and 95 % intervals are no narrower than those averaged over the scatter.

    90 % is what the tests for "the same" use, 95 % that for "different". Corrected for several pairs the latter looks
    further out, where Student's t with the degrees of freedom of the repeats alone is the more careful.
    """
    own = [(mean.own_u, mean.dof) for mean in means]
    noise, noise_dof = sum(u * u for u, _ in own), effective_dof(own)
    shares = sum(mean.share for mean in means)
    return max(
        pooled.posterior.half_width(class2, shares, noise, noise_dof, level=1.0 - 2.0 * tail)
        / float(student.ppf(1.0 - tail, max(dof, 1.0)))
        for tail in (LEVEL, 0.5 * LEVEL)
    )


def _evidence(a: Configuration, b: Configuration, pooled: Pooled) -> str:
    """Return how thin the evidence of a comparison is; empty where it is not."""
    least = min(a.n, b.n)
    if least > 1 and pooled.dof >= SOLID_DOF:
        return ""
    pulls = "one pull of each" if max(a.n, b.n) == 1 else f"{a.n} against {b.n} pulls"
    if not pooled.dof:
        return f"thin evidence: {pulls}, and no configuration was repeated"
    repeats = f"{pooled.dof} repeat{'s' * (pooled.dof != 1)}"
    bound = f"it may be up to {100.0 * math.sqrt(pooled.upper_tau2):.2g} %"
    return (
        f"thin evidence: {pulls}; scatter between set-ups known from {repeats} in the campaign only, {bound}"
    )


def _judge(pair: _Pair, p_different: float, margin: float) -> Comparison:
    """Return the verdict on a pair."""
    bound = math.log1p(margin)
    equivalent = max(equivalence_p(pair.difference, pair.se, pair.dof, -bound, bound)) < LEVEL
    different = p_different < LEVEL
    names = {(True, False): "different", (False, True): "equivalent", (True, True): "small_but_real"}
    verdict = names.get((different, equivalent), "undecided")
    needed = 0
    if verdict == "undecided":
        left = bound - abs(pair.difference)
        enough = min(
            runs_for_difference(pair.one_run, pair.difference), runs_for_equivalence(pair.one_run, left)
        )
        needed = max(enough - min(pair.a.n, pair.b.n), 1)
    value = math.exp(pair.difference)
    spread = pair.se * float(student.ppf(1.0 - LEVEL / 2.0, max(pair.dof, 1.0)))
    ratio = Measured(value, value * pair.se, value * math.exp(-spread), value * math.exp(spread))
    return Comparison(title(pair.a), title(pair.b), ratio, verdict, needed, margin, pair.evidence)


def title(configuration: Configuration) -> str:
    """Return a configuration's name: rig and devices."""
    return f"{configuration.rig}: {' + '.join(configuration.devices)}"
