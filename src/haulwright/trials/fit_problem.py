"""The weighted least squares of the friction fit: its unknowns, residuals, and what the runs leave free.

Unknowns in this order: ln k of each device; the load exponent b of the devices whose runs carry one; ln gain of each
cell in each session.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares

from haulwright.trials.combine import Pooled, log_of
from haulwright.trials.friction import RigModel
from haulwright.trials.load_dependence import START_K, at_load, haul_loads
from haulwright.trials.result import TrialResult
from haulwright.trials.typed import TYPED

FREE_SD = 0.25  # a direction of ln k the data leave free by more than this is not identified
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


@dataclass(frozen=True)
class Problem:
    """The weighted residuals of a set of runs and how its unknowns are laid out."""

    runs: tuple[FitRun, ...]
    devices: tuple[str, ...]
    gains: Mapping[tuple[str, str], float]  # (session, cell) -> prior standard deviation
    weight: Vector  # 1/sd of each run
    scatter_share: Vector  # share of each run's variance that is the scatter between set-ups
    loads: Mapping[str, tuple[float | None, ...]]  # device -> haul-side tension in each run [N]
    exponents: tuple[str, ...] = ()
    solved: dict[tuple[object, ...], float] = field(default_factory=dict, compare=False)

    @classmethod
    def of(cls, runs: Sequence[FitRun], pooled: Pooled, exponents: Sequence[str] = ()) -> Problem:
        """Lay out the problem of these runs."""
        devices = tuple(dict.fromkeys(name for run in runs for name in run.model.unknowns))
        scatter = np.array([bool(run.model.unknowns) * pooled.expected_tau2 for run in runs])
        variance = np.maximum([log_of(run.result)[1] ** 2 for run in runs] + scatter, 1e-12)
        squares: dict[tuple[str, str], list[float]] = {}
        for run in runs:
            class_u = log_of(run.result)[2]
            for cell in (run.line_cell, run.anchor_cell):
                squares.setdefault((run.session, cell), []).append(class_u**2 / 2.0)
        gains = {key: math.sqrt(max(float(np.mean(found)), 1e-12)) for key, found in squares.items()}
        loads = haul_loads([(run.result, run.model) for run in runs], devices)
        return cls(
            tuple(runs), devices, gains, 1.0 / np.sqrt(variance), scatter / variance, loads,
            tuple(name for name in exponents if name in devices),
        )  # fmt: skip

    @property
    def first_gain(self) -> int:
        """Place of the first gain among the unknowns."""
        return len(self.devices) + len(self.exponents)

    def reference_load(self, name: str) -> float:
        """Return the load T0 a device's k is stated at: the geometric mean of its runs [N]."""
        return float(np.exp(np.mean([math.log(load) for load in self.loads[name] if load])))

    def loads_by_rig(self, name: str) -> list[list[float | None]]:
        """Return a device's loads, those of one rig with one set of devices together [N]."""
        groups: dict[tuple[object, ...], list[float | None]] = {}
        for run, load in zip(self.runs, self.loads[name], strict=True):
            groups.setdefault((run.model.rig.path, run.model.devices), []).append(load)
        return list(groups.values())

    def repeats(self) -> list[list[int]]:
        """Return the rows of each configuration with devices whose repeats tell the scatter between set-ups."""
        groups: dict[tuple[object, ...], list[int]] = {}
        for i, run in enumerate(self.runs):
            if run.model.unknowns and run.result.grade != TYPED:
                rig = run.model.rig.path or id(run.model.rig)
                cells = (run.session, run.line_cell, run.anchor_cell, run.model.place, run.model.line_place)
                groups.setdefault((rig, run.model.devices, *cells), []).append(i)
        return [rows for rows in groups.values() if len(rows) > 1]

    def log_advantage(self, model: RigModel, log_k: Mapping[str, float]) -> float:
        """Return ln A of a rig, solved once for each set of ratios (derivatives to the gains ask again)."""
        own = {name: log_k[name] for name in model.unknowns}
        rig = model.rig.path or id(model.rig)
        key = (rig, model.devices, model.by_wrap, model.place, model.line_place, *own.values())
        if key not in self.solved:
            self.solved[key] = model.log_advantage(own)
        return self.solved[key]

    def residuals(self, p: Vector) -> Vector:
        """Return the weighted residuals: runs, then priors of the gains."""
        log_k = dict(zip(self.devices, p.tolist(), strict=False))
        powers = dict(zip(self.exponents, p[len(self.devices) :].tolist(), strict=False))
        gain = dict(zip(self.gains, p[self.first_gain :].tolist(), strict=True))
        miss = [
            math.log(run.result.advantage.value)
            - self.log_advantage(run.model, self._at_loads(i, log_k, powers))
            - gain[run.session, run.anchor_cell]
            + gain[run.session, run.line_cell]
            for i, run in enumerate(self.runs)
        ]
        priors = np.array(list(gain.values())) / np.array(list(self.gains.values()))
        return np.concatenate([np.array(miss) * self.weight, priors])

    def _at_loads(
        self, run: int, log_k: Mapping[str, float], powers: Mapping[str, float]
    ) -> Mapping[str, float]:
        """Return ln k of the devices at the loads of one run."""
        found = dict(log_k)
        for name, power in powers.items():
            if load := self.loads[name][run]:
                found[name] = at_load(log_k[name], power, load / self.reference_load(name))
        return found

    def start(self) -> Vector:
        """Return the starting point."""
        rest = len(self.exponents) + len(self.gains)
        return np.concatenate([np.full(len(self.devices), math.log(START_K)), np.zeros(rest)])

    def solve(self, ridge: float = 0.0) -> tuple[Vector, Vector, float]:
        """Return the solution, its Jacobian and chi²; a ridge ties ln k and exponents to their start."""
        start, n = self.start(), self.first_gain

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
        return free_names(jac, self.devices)


def free_names(jac: Vector, devices: Sequence[str]) -> list[str]:
    """Return the devices with a part in a direction of ln k that a weighted Jacobian leaves free.

    Parameters
    ----------
    jac : array
        Rows in standard deviations; the first columns are ln k of the devices, the rest are to be fitted as well.
    devices : sequence of str
    """
    n = len(devices)
    of_devices = jac[:, :n] - jac[:, n:] @ np.linalg.lstsq(jac[:, n:], jac[:, :n], rcond=None)[0]
    _, strength, directions = np.linalg.svd(of_devices)
    strength = np.concatenate([strength, np.zeros(n - strength.size)])
    free = [row for s, row in zip(strength, directions, strict=True) if s < 1.0 / FREE_SD]
    return [name for i, name in enumerate(devices) if any(abs(row[i]) > 0.05 for row in free)]
