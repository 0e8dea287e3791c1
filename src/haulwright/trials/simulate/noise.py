"""Random functions of time the made-up runs are built from."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray
from scipy.signal import lfilter

Floats = NDArray[np.float64]
_filtered: Callable[..., Floats] = lfilter


def wander(count: int, tick_s: float, tau_s: float, draw: np.random.Generator) -> Floats:
    """Return an Ornstein-Uhlenbeck process of unit variance and correlation time ``tau_s`` [s]."""
    keep = float(np.exp(-tick_s / tau_s))
    shocks = draw.normal(size=count) * (1.0 - keep * keep) ** 0.5
    shocks[0] = draw.normal()
    return _filtered([1.0], [1.0, -keep], shocks)


def swing(count: int, tick_s: float, period_s: float, damping: float, draw: np.random.Generator) -> Floats:
    """Return a damped oscillation kept alive by shocks, of unit variance: stick-slip of a line with a mass on it."""
    radius = float(np.exp(-damping * 2.0 * np.pi * tick_s / period_s))
    turn = 2.0 * radius * float(np.cos(2.0 * np.pi * tick_s / period_s * (1.0 - damping**2) ** 0.5))
    lead = int(4.0 * period_s / (damping * tick_s) / (2.0 * np.pi)) + 10
    made = _filtered([1.0], [1.0, -turn, radius * radius], draw.normal(size=count + lead))[lead:]
    # theory of the second-order autoregression: its variance over that of the shocks
    a, b = turn, -radius * radius
    variance = (1.0 - b) / ((1.0 + b) * ((1.0 - b) ** 2 - a * a))
    return np.asarray(made / variance**0.5)


def vibration(count: int, tick_s: float, draw: np.random.Generator) -> Floats:
    """Return an engine's vibration of unit amplitude: 6 to 9 Hz, its pitch and strength wandering."""
    pitch = draw.uniform(6.0, 9.0) * (1.0 + 0.02 * wander(count, tick_s, 8.0, draw))
    strength = np.clip(1.0 + 0.3 * wander(count, tick_s, 5.0, draw), 0.2, None)
    return np.asarray(strength * np.sin(2.0 * np.pi * tick_s * np.cumsum(pitch) + draw.uniform(0.0, 6.3)))
