"""Friction of all devices fitted over all runs of a campaign at once.

ln R_i = ln A_rig(k) + g(anchor cell) - g(line cell) + error. Unknown are ln k of each device and the log
gain g of each cell in each session; the cells' class is the prior of the gains. A gain error and a friction
change look alike in any one rig; series checks, swapped cells and different rigs with the same device tell
them apart.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares
from scipy.stats import chi2 as chi_squared

from haulwright.errors import TrialRefusal
from haulwright.notices import Code, Notice
from haulwright.quantities.measured import Z95, Measured
from haulwright.trials.combine import Pooled, log_of
from haulwright.trials.friction import RigModel, below_one, device_friction, valid_range
from haulwright.trials.prediction import FrictionFit
from haulwright.trials.result import CellResult, DeviceFriction, TrialResult

FREE_SD = 0.25  # a direction of ln k the data leave free by more than this is not identified
START_K = 1.15
Vector = NDArray[np.float64]


@dataclass(frozen=True)
class FitRun:
    """One run for the fit.

    Attributes
    ----------
    result : TrialResult
    model : RigModel
        Its rig with the devices.
    line_cell, anchor_cell : str
    session : str
        Runs of one session share the gains of their cells.
    """

    result: TrialResult
    model: RigModel
    line_cell: str = "line cell"
    anchor_cell: str = "anchor cell"
    session: str = ""


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
    Weighted least squares: weights 1/(u_i² + tau²) with the repeatability u_i and the scatter between
    set-ups tau (none for a series check, which has no device); priors g ~ N(0, (c/sqrt 3)²) from the class
    c of each cell. The covariance is scaled by chi²/dof where that is above 1 (Birge). A device with a part
    in a direction of ln k that the runs leave free (standard deviation above 0.25) is left out by name,
    with every run it stands in.

    References
    ----------
    JCGM 102:2011, Extension to any number of output quantities. Birge R. T., Phys. Rev. 40 (1932) 207. From memory.
    """
    if not runs:
        raise TrialRefusal("NO_RUNS", "No run is left to fit. Give at least one run with an advantage.")
    kept, lost = list(runs), []
    while True:
        problem = _Problem.of(kept, pooled)
        free = problem.free_devices()
        if not free:
            break
        lost += free
        kept = [run for run in kept if not set(free) & set(run.model.unknowns)]
    return _conclude(problem, pooled, tuple(sorted(lost)))


@dataclass(frozen=True)
class _Problem:
    """The weighted residuals of a set of runs and how its unknowns are laid out: devices, then gains."""

    runs: tuple[FitRun, ...]
    devices: tuple[str, ...]
    gains: Mapping[tuple[str, str], float]  # (session, cell) -> prior standard deviation
    weight: Vector  # 1/sd of each run
    solved: dict[tuple[object, ...], float] = field(default_factory=dict, compare=False)

    @classmethod
    def of(cls, runs: Sequence[FitRun], pooled: Pooled) -> _Problem:
        devices = tuple(dict.fromkeys(name for run in runs for name in run.model.unknowns))
        sd = [
            math.sqrt(
                max(log_of(run.result)[1] ** 2 + bool(run.model.unknowns) * pooled.expected_tau2, 1e-12)
            )
            for run in runs
        ]
        squares: dict[tuple[str, str], list[float]] = {}
        for run in runs:
            class_u = log_of(run.result)[2]
            for cell in (run.line_cell, run.anchor_cell):
                squares.setdefault((run.session, cell), []).append(class_u**2 / 2.0)
        gains = {key: math.sqrt(max(float(np.mean(found)), 1e-12)) for key, found in squares.items()}
        return cls(tuple(runs), devices, gains, 1.0 / np.array(sd))

    def log_advantage(self, model: RigModel, log_k: Mapping[str, float]) -> float:
        """Return ln A of a rig, solved once for each set of ratios (derivatives to the gains ask again)."""
        own = {name: log_k[name] for name in model.unknowns}
        key = (model.rig.path or id(model.rig), model.devices, *own.values())
        if key not in self.solved:
            self.solved[key] = model.log_advantage(own)
        return self.solved[key]

    def residuals(self, p: Vector) -> Vector:
        """Return the weighted residuals: runs, then priors of the gains."""
        log_k = dict(zip(self.devices, p.tolist(), strict=False))
        gain = dict(zip(self.gains, p[len(self.devices) :].tolist(), strict=True))
        miss = [
            math.log(run.result.advantage.value)
            - self.log_advantage(run.model, log_k)
            - gain[run.session, run.anchor_cell]
            + gain[run.session, run.line_cell]
            for run in self.runs
        ]
        priors = np.array(list(gain.values())) / np.array(list(self.gains.values()))
        return np.concatenate([np.array(miss) * self.weight, priors])

    def start(self) -> Vector:
        """Return the starting point."""
        return np.concatenate([np.full(len(self.devices), math.log(START_K)), np.zeros(len(self.gains))])

    def solve(self, ridge: float = 0.0) -> tuple[Vector, Vector, float]:
        """Return the solution, its Jacobian and chi²; a ridge ties ln k to its start."""
        start, n = self.start(), len(self.devices)

        def function(p: Vector) -> Vector:
            base = self.residuals(p)
            return np.concatenate([base, ridge * (p[:n] - start[:n])]) if ridge else base

        found = least_squares(
            function, start, method="trf", jac="3-point", x_scale=0.1, xtol=1e-12, ftol=1e-12
        )
        rows = len(self.runs) + len(self.gains)
        jac = np.asarray(found.jac, dtype=np.float64)[:rows]
        return found.x, jac, float((found.fun[:rows] ** 2).sum())

    def free_devices(self) -> list[str]:
        """Return the devices with a part in a direction that the runs leave free."""
        if not self.devices:
            return []
        _, jac, _ = self.solve(ridge=1.0)
        n = len(self.devices)
        of_devices = jac[:, :n] - jac[:, n:] @ np.linalg.lstsq(jac[:, n:], jac[:, :n], rcond=None)[0]
        _, strength, directions = np.linalg.svd(of_devices)
        strength = np.concatenate([strength, np.zeros(n - strength.size)])
        free = [row for s, row in zip(strength, directions, strict=True) if s < 1.0 / FREE_SD]
        return [name for i, name in enumerate(self.devices) if any(abs(row[i]) > 0.05 for row in free)]


def _conclude(problem: _Problem, pooled: Pooled, lost: tuple[str, ...]) -> FrictionFit:
    """Return the fit of an identified problem."""
    x, jac, chi2 = problem.solve()
    n = len(problem.devices)
    dof = len(problem.runs) - n
    birge = max(chi2 / dof, 1.0) if dof > 0 else 1.0
    covariance = np.asarray(np.linalg.inv(jac.T @ jac) * birge, dtype=np.float64)
    log_k = dict(zip(problem.devices, x.tolist(), strict=False))
    ranges = valid_range([(run.result, run.model) for run in problem.runs], log_k)
    devices: dict[str, DeviceFriction] = {}
    notices: list[Notice] = []
    for i, (name, value) in enumerate(log_k.items()):
        sd = math.sqrt(covariance[i, i])
        k = Measured(
            math.exp(value), math.exp(value) * sd, math.exp(value - Z95 * sd), math.exp(value + Z95 * sd)
        )
        devices[name] = device_friction(k, ranges[name])
        notices += below_one(name, k)
    notices += [Code.NOT_IDENTIFIED.notice((name,), what=name) for name in lost]
    notices += _quality(problem, chi2, dof, x)
    return FrictionFit(
        devices=devices,
        unidentified=lost,
        names=problem.devices,
        log_k=tuple(log_k.values()),
        covariance=tuple(tuple(row) for row in covariance[:n, :n].tolist()),
        between_run_sd=math.sqrt(pooled.expected_tau2),
        cells=_cells(problem, x[n:], covariance[n:, n:]),
        chi2=chi2,
        dof=dof,
        runs=tuple(run.result.run for run in problem.runs),
        notices=tuple(notices),
    )


def _quality(problem: _Problem, chi2: float, dof: int, x: Vector) -> list[Notice]:
    """Return what the residuals say of the fit."""
    if dof <= 0:
        return []
    text = f"Fit over {len(problem.runs)} runs: chi² {chi2:.1f} for {dof} degrees of freedom."
    if chi_squared.sf(chi2, dof) >= 0.01:
        return [Code.ADVICE.notice((), text=text)]
    size = np.abs(problem.residuals(x)[: len(problem.runs)])
    worst = problem.runs[int(np.argmax(size))].result.run
    text += f" The runs disagree more than their uncertainties allow; intervals are widened. Look at {worst} first."
    return [Code.OUT_OF_RANGE.notice((worst,), text=text)]


def _cells(problem: _Problem, gain: Vector, covariance: Vector) -> dict[str, CellResult]:
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
