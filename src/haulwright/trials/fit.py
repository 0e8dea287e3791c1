"""Friction of all devices fitted over all runs of a campaign at once.

ln R_i = ln A_rig(k) + g(anchor cell) - g(line cell) + error. Unknown are ln k of each device and the log
gain g of each cell in each session; the cells' class is the prior of the gains. A gain error and a friction
change look alike in any one rig; series checks, swapped cells and different rigs with the same device tell
them apart.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from scipy.stats import chi2 as chi_squared

from haulwright.errors import TrialRefusal
from haulwright.notices import Code, Notice
from haulwright.quantities.measured import Measured
from haulwright.quantities.units import spoken
from haulwright.trials.combine import Pooled
from haulwright.trials.fit_problem import FitRun, Problem, Vector
from haulwright.trials.friction import below_one, device_friction, valid_range
from haulwright.trials.left_out import leave_out
from haulwright.trials.load_dependence import CLEAR, carries_exponent
from haulwright.trials.prediction import FrictionFit, half_width
from haulwright.trials.result import CellResult, DeviceFriction

__all__ = ["FitRun", "fit_friction"]

INCONSISTENT = 0.05  # chance of so great a chi² below which the runs do not agree (Cox 2002)
WORST_CONDITION = 1e12  # an information matrix worse than this leaves something free


def fit_friction(runs: Sequence[FitRun], pooled: Pooled) -> FrictionFit:
    """Fit the friction of all devices over all runs.

    Parameters
    ----------
    runs : sequence of FitRun
        Series checks (no device) give the cells' gains.
    pooled : Pooled
        Between-run variance of ln R.

    Returns
    -------
    FrictionFit

    Raises
    ------
    TrialRefusal
        ``NO_RUNS``: nothing to fit.

    Notes
    -----
    Weighted least squares: weights 1/(u_i² + tau²) with the repeatability u_i and the scatter between set-ups tau
    (none for a series check, which has no device); priors g ~ N(0, (c/sqrt 3)²) from the class c of each cell.
    Intervals are averaged over what is known of tau²; the rest counts as known. Where the configurations miss the fit
    by more than chance explains (chi² at 5 %), the covariance is scaled by chi²/dof (Birge). How far repeats of one
    configuration lie apart is not counted again there: tau² holds it. A device with a part in a direction of ln k
    that the runs leave free (standard deviation above 0.25) is left out by name, with every run it stands in. A
    device pulled at three loads or more over a factor of two in one rig gets a load exponent, ln(k - 1) = a - b
    ln(T/T0), where b is clear of 0 by two standard errors; its k is then that at T0, the geometric mean of its loads.

    References
    ----------
    JCGM 102:2011, Extension to any number of output quantities. Birge R. T., Phys. Rev. 40 (1932) 207. Cox M. G.,
    Metrologia 39 (2002) 589 (consistency by chi² at 5 %). From memory.
    """
    if not runs:
        raise TrialRefusal("NO_RUNS", "No run is left to fit. Give at least one run with an advantage.")
    kept, lost = list(runs), []
    while True:
        problem = Problem.of(kept, pooled)
        free = problem.free_devices()
        if not free:
            break
        lost += free
        kept = [run for run in kept if not set(free) & set(run.model.unknowns)]
    return _conclude(_with_exponents(kept, problem, pooled), pooled, tuple(sorted(lost)))


def _with_exponents(kept: Sequence[FitRun], constant: Problem, pooled: Pooled) -> Problem:
    """Return the problem with a load exponent for each device whose runs carry one that is clear of 0."""
    able = [name for name in constant.devices if any(map(carries_exponent, constant.loads_by_rig(name)))]
    while able:
        problem = Problem.of(kept, pooled, able)
        x, jac, _ = problem.solve()
        information = jac.T @ jac
        if np.linalg.cond(information) > WORST_CONDITION:
            return constant
        sd = np.sqrt(np.diag(np.linalg.inv(information)))
        n = len(problem.devices)
        clear = [name for i, name in enumerate(able) if abs(x[n + i]) > CLEAR * sd[n + i]]
        if clear == able:
            return problem
        able = clear
    return constant


def _conclude(problem: Problem, pooled: Pooled, lost: tuple[str, ...]) -> FrictionFit:
    """Return the fit of an identified problem."""
    x, jac, chi2 = problem.solve()
    n, g = len(problem.devices), problem.first_gain
    dof = len(problem.runs) - g
    birge = _birge(problem, x, chi2, dof)
    inverse = np.asarray(np.linalg.inv(jac.T @ jac), dtype=np.float64)
    covariance = inverse * birge
    rows = (inverse @ jac.T)[:, : len(problem.runs)]
    of_scatter = (rows * problem.scatter_share) @ rows.T * birge
    log_k = dict(zip(problem.devices, x.tolist(), strict=False))
    ranges = valid_range([(run.result, run.model) for run in problem.runs], log_k)
    devices: dict[str, DeviceFriction] = {}
    notices: list[Notice] = []
    for i, (name, value) in enumerate(log_k.items()):
        spread = half_width(covariance[i, i], of_scatter[i, i], pooled.posterior)
        k = Measured(
            math.exp(value),
            math.exp(value) * math.sqrt(covariance[i, i]),
            math.exp(value - spread),
            math.exp(value + spread),
        )
        devices[name] = device_friction(k, ranges[name])
        notices += below_one(name, k)
    for i, name in enumerate(problem.exponents, n):
        spread = half_width(covariance[i, i], of_scatter[i, i], pooled.posterior)
        b = Measured(float(x[i]), math.sqrt(covariance[i, i]), float(x[i]) - spread, float(x[i]) + spread)
        devices[name] = replace(devices[name], load_exponent=b, at_N=problem.reference_load(name))
        text = f"{name}: k changes with the load; it is stated at {spoken(problem.reference_load(name))}."
        notices.append(Code.ADVICE.notice((name,), text=text))
    notices += [Code.NOT_IDENTIFIED.notice((name,), what=name) for name in lost]
    notices += _quality(problem, chi2, dof, x, birge)
    return FrictionFit(
        devices=devices,
        unidentified=lost,
        names=problem.devices,
        log_k=tuple(log_k.values()),
        covariance=_plain(covariance[:g, :g]),
        between_run_sd=math.sqrt(pooled.expected_tau2),
        cells=_cells(problem, x[g:], covariance[g:, g:]),
        chi2=chi2,
        dof=dof,
        runs=tuple(run.result.run for run in problem.runs),
        notices=tuple(notices),
        of_scatter=_plain(of_scatter[:g, :g]),
        scatter=pooled.posterior,
        left_out=leave_out(problem, x, jac, pooled.posterior),
        by_wrap=frozenset(name for run in problem.runs for name in run.model.by_wrap),
        exponents=problem.exponents,
        powers=tuple(x[n:g].tolist()),
    )


def _birge(problem: Problem, x: Vector, chi2: float, dof: int) -> float:
    """Return chi²/dof of what the fit misses beside the scatter of repeats that gave tau²; 1 where chance explains it."""
    miss = problem.residuals(x)
    for rows in problem.repeats():
        chi2 -= float(((miss[rows] - miss[rows].mean()) ** 2).sum())
        dof -= len(rows) - 1
    return chi2 / dof if dof > 0 and chi_squared.sf(chi2, dof) < INCONSISTENT else 1.0


def _plain(matrix: Vector) -> tuple[tuple[float, ...], ...]:
    return tuple(tuple(row) for row in matrix.tolist())


def _quality(problem: Problem, chi2: float, dof: int, x: Vector, birge: float) -> list[Notice]:
    """Return what the residuals say of the fit."""
    if dof <= 0:
        return []
    text = f"Fit over {len(problem.runs)} runs: chi² {chi2:.1f} for {dof} degrees of freedom."
    if birge == 1.0:
        return [Code.ADVICE.notice((), text=text)]
    size = np.abs(problem.residuals(x)[: len(problem.runs)])
    worst = problem.runs[int(np.argmax(size))].result.run
    text += f" The runs disagree more than their uncertainties allow; intervals are widened. Look at {worst} first."
    return [Code.OUT_OF_RANGE.notice((worst,), text=text)]


def _cells(problem: Problem, gain: Vector, covariance: Vector) -> dict[str, CellResult]:
    """Return each cell's gain relative to the session's line cell, where the runs tell more than the class."""
    keys = list(problem.gains)
    sessions = list(dict.fromkeys(session for session, _ in keys))
    cells: dict[str, CellResult] = {}
    for session in sessions:
        lines = [run.line_cell for run in problem.runs if run.session == session]
        reference = max(dict.fromkeys(lines), key=lines.count)
        r = keys.index((session, reference))
        for i, (where, cell) in enumerate(keys):
            if where != session or i == r:
                continue
            sd = math.sqrt(covariance[i, i] + covariance[r, r] - 2.0 * covariance[i, r])
            prior = math.hypot(problem.gains[keys[i]], problem.gains[keys[r]])
            if sd < 0.8 * prior:
                ratio = math.exp(float(gain[i] - gain[r]))
                name = cell if len(sessions) == 1 else f"{cell} ({session})"
                cells[name] = CellResult(Measured.normal(ratio, ratio * sd), _cell=cell)
    return cells
