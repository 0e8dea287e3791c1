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
from haulwright.quantities.measured import Z95, Measured
from haulwright.trials.between_run import ScatterPosterior
from haulwright.trials.friction import RigModel, rig_model
from haulwright.trials.load_dependence import at_load, loads_at
from haulwright.trials.result import CellResult, DeviceFriction, LeftOut

Vector = NDArray[np.float64]
_TURNS = 60
_SETTLED = 1e-13  # in ln k; far below the step of the derivatives


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
        Order of ``log_k`` and of the first rows of ``covariance``.
    log_k : tuple of float
    covariance : tuple of tuple of float
        Of ln k, then of the load exponents.
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
    scatter : ScatterPosterior, optional
        What is known of that scatter.
    by_wrap : frozenset of str
        Devices whose k follows the wrap.
    left_out : tuple of LeftOut
        Each configuration predicted from the runs of all the others.
    exponents : tuple of str
        Devices whose k changes with the load; order of ``powers``, after ``names`` in ``covariance``.
    powers : tuple of float
        Their load exponents b; the loads they are stated at are ``at_N`` of ``devices``.
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
    scatter: ScatterPosterior | None = None
    by_wrap: frozenset[str] = frozenset()
    left_out: tuple[LeftOut, ...] = ()
    exponents: tuple[str, ...] = ()
    powers: tuple[float, ...] = ()

    def predict(
        self, rig: Rig, devices: Sequence[str], *, load_N: float | None = None, one_pull: bool = True
    ) -> Measured:
        """Return the advantage of a rig that need not have been tested.

        Parameters
        ----------
        rig : Rig
        devices : sequence of str
            One for each block from the drum.
        load_N : float or None
            Resistance of the load [N], for devices whose k changes with the load; without such a device it changes
            nothing. None: each device at the load its k is stated at.
        one_pull : bool
            Of one new pull, the scatter between set-ups added; False: of the mean of many.

        Returns
        -------
        Measured

        Raises
        ------
        TrialRefusal
            ``NOT_IDENTIFIED``: a device has no fitted friction. ``DEVICES``: their count does not fit the
            rig.

        Notes
        -----
        To first order with the full covariance of ln k and the load exponents. At a load F the line force F / A and the
        ratios k(T) of its parts are found together, T as the fit takes it: the middle of the device's haul-side tensions.
        """
        model = self.model(rig, devices)
        return self.carried(lambda x: self._log_advantage(model, x, load_N), one_pull=one_pull)

    def model(self, rig: Rig, devices: Sequence[str]) -> RigModel:
        """Return a rig with these devices on its blocks.

        Raises
        ------
        TrialRefusal
            As :meth:`predict`.
        """
        model = rig_model(rig, devices, self.by_wrap)
        for name in model.unknowns:
            if name not in self.names:
                known = ", ".join(self.names) or "none"
                raise TrialRefusal(
                    "NOT_IDENTIFIED", f"{name} has no fitted friction (known: {known}).", (name,)
                )
        return model

    @property
    def found(self) -> Vector:
        """What the fit found: ln k of all devices, then the load exponents."""
        return np.array([*self.log_k, *self.powers])

    def log_k_at(self, model: RigModel, x: Vector, load_N: float | None) -> dict[str, float]:
        """Return ln k of a rig's devices at a load.

        Parameters
        ----------
        model : RigModel
        x : array
            ln k of all devices, then the load exponents.
        load_N : float or None
            As :meth:`predict` takes it.
        """
        stated = dict(zip(self.names, x.tolist(), strict=False))
        powers = dict(zip(self.exponents, x[len(self.names) :].tolist(), strict=True))
        log_k = {name: stated[name] for name in model.unknowns}
        changing = [name for name in model.unknowns if name in powers]
        if load_N is None or not changing:
            return log_k
        shares = loads_at(model)
        for _ in range(_TURNS):
            line_N = load_N / math.exp(model.log_advantage(log_k))
            there = {
                name: at_load(stated[name], powers[name], shares[name] * line_N / self._stated_at(name))
                for name in changing
            }
            moved = max(abs(there[name] - log_k[name]) for name in changing)
            log_k |= there
            if moved < _SETTLED:
                break
        return log_k

    def carried(self, log_of: Callable[[Vector], float], *, one_pull: bool = False) -> Measured:
        """Return the exponential of a function of ln k and the load exponents, with its interval.

        Parameters
        ----------
        log_of : callable
            Takes ln k of all devices, then the load exponents.
        one_pull : bool
            Add the scatter between set-ups.
        """
        x = self.found
        slope = _gradient(log_of, x)
        total = float(slope @ np.array(self.covariance).reshape(x.size, x.size) @ slope)
        scatter = 0.0
        if self.of_scatter:
            scatter = float(slope @ np.array(self.of_scatter).reshape(x.size, x.size) @ slope)
        if one_pull:
            total, scatter = total + self.between_run_sd**2, scatter + self.between_run_sd**2
        spread = half_width(total, scatter, self.scatter)
        value = math.exp(log_of(x))
        return Measured(value, value * math.sqrt(total), value * math.exp(-spread), value * math.exp(spread))

    def _log_advantage(self, model: RigModel, x: Vector, load_N: float | None) -> float:
        return model.log_advantage(self.log_k_at(model, x, load_N))

    def _stated_at(self, name: str) -> float:
        """Return the load the k of a device that changes with it is stated at [N]."""
        at_N = self.devices[name].at_N
        if at_N is None:
            raise ValueError(f"{name} has a load exponent but no load it is stated at")
        return at_N


def half_width(variance: float, of_scatter: float, known: ScatterPosterior | None) -> float:
    """Return half the 95 % interval of a value part of whose variance is known from few repeats.

    Parameters
    ----------
    variance : float
    of_scatter : float
        The part of it that rests on the scatter between set-ups, at its expectation.
    known : ScatterPosterior or None
        What is known of that scatter. The rest of the variance counts as known.
    """
    if known is None or not of_scatter:
        return Z95 * math.sqrt(variance)
    return known.half_width(max(variance - of_scatter, 0.0), of_scatter / known.mean)


def _gradient(function: Callable[[Vector], float], x: Vector) -> Vector:
    step = 1e-5
    rows = np.eye(x.size) * step
    return np.array([(function(x + row) - function(x - row)) / (2.0 * step) for row in rows])
