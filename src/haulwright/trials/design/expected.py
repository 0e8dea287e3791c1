"""What a run sheet will tell of each device, before the day: from the information matrix of the fit."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from haulwright.trials.fit_problem import Vector, free_names
from haulwright.trials.friction import RigModel

STEP = 1e-4


@dataclass(frozen=True)
class Expected:
    """Standard uncertainty of k expected for each device; those the sheet leaves free by name."""

    u: Mapping[str, float]
    unidentified: tuple[str, ...]


def expected_errors(
    pulls: Sequence[RigModel],
    k: Mapping[str, float],
    *,
    scatter: float = 0.003,
    series_scatter: float | None = None,
    gain_sd: float = math.inf,
) -> Expected:
    """Return the standard uncertainty of k that the pulls of a sheet will give for each device.

    Parameters
    ----------
    pulls : sequence of RigModel
        One for each pull, repeats included; a series pull has no device.
    k : mapping device -> float
        Assumed tension ratios.
    scatter : float
        Standard deviation of ln R of one pull: its own noise and the scatter between set-ups.
    series_scatter : float, optional
        The same of a series pull; ``scatter`` if not given.
    gain_sd : float
        What is known beforehand of the gain of one cell over the other (ln): sqrt(2) class / sqrt(3); 0 if it is
        known, infinity if nothing is.

    Notes
    -----
    Rows d ln A / d ln k and 1 for the gain, over the scatter; a row 1/gain_sd for what is known of the gain. The inverse
    of J'J is the covariance that :func:`haulwright.trials.fit.fit_friction` will find, scatter and rigs being as assumed.
    A device in a direction the pulls leave free (0.25 in ln k) has no number.

    References
    ----------
    JCGM 102:2011, Extension to any number of output quantities.

    Examples
    --------
    >>> from haulwright.mechanics.tackles import named_rig
    >>> from haulwright.trials.friction import rig_model
    >>> pair = [rig_model(named_rig("two-part"), ["hoop"])] * 2
    >>> expected_errors(pair, {"hoop": 1.20}, gain_sd=0.0).u["hoop"]  # e / (1 + e) is the slope
    0.0056
    """
    kept, lost = list(pulls), []
    noise = scatter if series_scatter is None else series_scatter
    while True:
        devices = list(dict.fromkeys(name for model in kept for name in model.unknowns))
        jac = _jacobian(kept, devices, k, scatter, noise, gain_sd)
        free = free_names(jac, devices) if devices else []
        if not free:
            break
        lost += free
        kept = [model for model in kept if not set(free) & set(model.unknowns)]
    used = jac[:, np.any(jac != 0.0, axis=0)]
    covariance = np.linalg.inv(used.T @ used) if devices else np.zeros((0, 0))
    return Expected(
        {name: k[name] * math.sqrt(covariance[i, i]) for i, name in enumerate(devices)}, tuple(sorted(lost))
    )


def _jacobian(
    pulls: Sequence[RigModel],
    devices: Sequence[str],
    k: Mapping[str, float],
    scatter: float,
    series_scatter: float,
    gain_sd: float,
) -> Vector:
    """Return the rows of all pulls in standard deviations, and that of the gain."""
    known: dict[tuple[str, tuple[str, ...]], list[float]] = {}
    rows = []
    for model in pulls:
        key = (model.rig.path, model.devices)
        if key not in known:
            known[key] = _slopes(model, devices, k)
        rows.append([value / (scatter if model.unknowns else series_scatter) for value in known[key]])
    if gain_sd > 0.0:
        for row, model in zip(rows, pulls, strict=True):
            row.append(1.0 / (scatter if model.unknowns else series_scatter))
        if gain_sd < math.inf:
            rows.append([0.0] * len(devices) + [1.0 / gain_sd])
    return np.array(rows, dtype=np.float64)


def _slopes(model: RigModel, devices: Sequence[str], k: Mapping[str, float]) -> list[float]:
    """Return d ln A / d ln k of each device in one rig."""
    at = {name: math.log(k[name]) for name in model.unknowns}

    def moved(name: str, step: float) -> float:
        return model.log_advantage({**at, name: at[name] + step})

    return [
        (moved(name, STEP) - moved(name, -STEP)) / (2.0 * STEP) if name in at else 0.0 for name in devices
    ]
