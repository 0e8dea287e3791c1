"""The friction a campaign found, with its covariance, and the advantage it predicts for rigs not tested."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from haulwright.errors import TrialRefusal
from haulwright.mechanics.rig import Rig
from haulwright.notices import Notice
from haulwright.quantities.measured import Measured
from haulwright.trials.budget import coverage_factor, effective_dof
from haulwright.trials.friction import rig_model
from haulwright.trials.result import CellResult, DeviceFriction, LeftOut

Vector = NDArray[np.float64]


@dataclass(frozen=True)
class FrictionFit:
    """Friction of the devices of a campaign, with the full covariance.

    Attributes
    ----------
    devices : mapping name -> DeviceFriction
        Those the runs identify.
    unidentified : tuple of str
        Those they do not.
    names : tuple of str
        Order of ``log_k`` and of the rows of ``covariance``.
    log_k : tuple of float
    covariance : tuple of tuple of float
        Of ln k.
    between_run_sd : float
        Scatter between set-ups to reckon with, of ln R.
    cells : mapping name -> CellResult
        Gain relative to the line cell, where the runs know it better than the class does.
    chi2 : float
        Weighted sum of squares, the gains' priors included.
    dof : int
        Runs used less devices fitted.
    runs : tuple of str
        Runs used.
    notices : tuple of Notice
    of_scatter : tuple of tuple of float
        The part of the covariance that rests on the scatter between set-ups.
    scatter_dof : float
        Its degrees of freedom.
    by_wrap : frozenset of str
        Devices whose k follows the wrap.
    left_out : tuple of LeftOut
        Each configuration predicted from the runs of all the others.
    """

    devices: Mapping[str, DeviceFriction]
    unidentified: tuple[str, ...]
    names: tuple[str, ...]
    log_k: tuple[float, ...]
    covariance: tuple[tuple[float, ...], ...]
    between_run_sd: float
    cells: Mapping[str, CellResult] = field(default_factory=dict)
    chi2: float = 0.0
    dof: int = 0
    runs: tuple[str, ...] = ()
    notices: tuple[Notice, ...] = ()
    of_scatter: tuple[tuple[float, ...], ...] = ()
    scatter_dof: float = math.inf
    by_wrap: frozenset[str] = frozenset()
    left_out: tuple[LeftOut, ...] = ()

    def predict(self, rig: Rig, devices: Sequence[str]) -> Measured:
        """Return the advantage of a rig that need not have been tested.

        Parameters
        ----------
        rig : Rig
        devices : sequence of str
            One for each block from the drum.

        Returns
        -------
        Measured
            Advantage of one pull: covariance of the fit and scatter between set-ups.

        Raises
        ------
        TrialRefusal
            ``NOT_IDENTIFIED``: a device has no fitted friction. ``DEVICES``: their count does not fit the
            rig.
        """
        model = rig_model(rig, devices, self.by_wrap)
        for name in model.unknowns:
            if name not in self.names:
                known = ", ".join(self.names) or "none"
                raise TrialRefusal(
                    "NOT_IDENTIFIED", f"{name} has no fitted friction (known: {known}).", (name,)
                )

        def log_advantage(x: Vector) -> float:
            return model.log_advantage(dict(zip(self.names, x.tolist(), strict=True)))

        x = np.array(self.log_k)
        slope = _gradient(log_advantage, x)
        variance = float(slope @ np.array(self.covariance).reshape(x.size, x.size) @ slope)
        scatter = self.between_run_sd**2
        if self.of_scatter:
            scatter += float(slope @ np.array(self.of_scatter).reshape(x.size, x.size) @ slope)
        total = variance + self.between_run_sd**2
        spread = half_width(total, scatter, self.scatter_dof)
        value = math.exp(log_advantage(x))
        return Measured(value, value * math.sqrt(total), value * math.exp(-spread), value * math.exp(spread))


def half_width(variance: float, of_scatter: float, scatter_dof: float) -> float:
    """Return half the 95 % interval of a value part of whose variance is known from few repeats.

    Notes
    -----
    Student's t with the Welch–Satterthwaite degrees of freedom; all but the scatter counts as known.
    """
    rest = math.sqrt(max(variance - of_scatter, 0.0))
    dof = effective_dof([(math.sqrt(of_scatter), scatter_dof), (rest, math.inf)])
    return coverage_factor(dof) * math.sqrt(variance)


def _gradient(function: Callable[[Vector], float], x: Vector) -> Vector:
    step = 1e-5
    rows = np.eye(x.size) * step
    return np.array([(function(x + row) - function(x - row)) / (2.0 * step) for row in rows])
