"""What a made-up pull test is to be: rig, friction, load, time course, cells, clocks and faults."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TypeVar

import numpy as np

_T = TypeVar("_T")

# rigs of a drawn plan with their ideal advantage, and their share of the plans
_RIGS = {
    ("series", 1): 0.10,
    ("two-part", 2): 0.35,
    ("three-part", 3): 0.22,
    ("four-part", 4): 0.11,
    ("stacked two-parts/on-load", 4): 0.15,
    ("five-part", 5): 0.07,
}
_RATES_HZ = {1.0: 0.52, 2.0: 0.08, 4.0: 0.10, 10.0: 0.30}
_CLASSES = {0.001: 0.2, 0.002: 0.3, 0.005: 0.3, 0.01: 0.2}
_STEPS_KGF = {0.01: 0.2, 0.5: 0.1, 1.0: 0.4, 5.0: 0.2, 10.0: 0.1}


@dataclass(frozen=True)
class RunPlan:
    """What a made-up run is to be. Everything a plan leaves open is drawn from the seed.

    Attributes
    ----------
    rig : str
        Named rig or path in short notation.
    ratios : tuple of float
        Long-run tension ratio k of the device on each block, in the order the lines meet them; one for all will do.
    load_kgf : float
        Working load [kgf].
    steady_s : float
        Length of the steady pull, stops not counted [s].
    stop_s : float
        Length of a stop half-way, 0 for none [s].
    light_s : float
        Length of the hold at light tension [s].
    rate_Hz : float
        Sampling rate of both cells [1/s].
    accuracy : float
        Class of the cells as a fraction of reading: the whole error of a cell is drawn evenly within it.
    stick_slip : float
        Relative standard deviation of the load while moving, common to both cells.
    friction_wander : float
        Standard deviation of ln k of each device, wandering by itself over some seconds.
    vibration : float
        Relative amplitude of the engine's vibration (6 to 9 Hz) at the line cell; less at the anchor.
    drift_per_min : float
        Standard deviation of the slow change of the load.
    zero_kgf : float
        Standard deviation of the zero errors; a third of it drifts during the run [kgf].
    step_kgf : float
        Display step [kgf].
    clock_s : float
        The cells' clocks differ by up to this [s].
    whole_seconds : bool
        Stamps cut to the second below (only at 1 Hz and slower; faster logs are written so by ``write_run``).
    held : bool
        One joint table written on a clock of its own: each cell's last value, up to one period old.
    dropouts, spikes : int
        Silences of 3 to 10 s, and wild single readings, over both cells.
    tugs : str
        Short snatches of light load as clock marks: ``start`` (before the pull), ``end`` (after it), ``both`` or none.
    clock_ppm : float
        Standard deviation of the rate error of each cell's clock [parts per million].
    """

    rig: str = "two-part"
    ratios: tuple[float, ...] = (1.18,)
    load_kgf: float = 1600.0
    steady_s: float = 120.0
    stop_s: float = 0.0
    light_s: float = 40.0
    rate_Hz: float = 1.0
    accuracy: float = 0.005
    stick_slip: float = 0.032
    friction_wander: float = 0.012
    vibration: float = 0.006
    drift_per_min: float = 0.015
    zero_kgf: float = 3.0
    step_kgf: float = 1.0
    clock_s: float = 6.0
    whole_seconds: bool = False
    held: bool = False
    dropouts: int = 0
    spikes: int = 0
    tugs: str = ""
    clock_ppm: float = 50.0


def draw_plan(seed: int, **fixed: object) -> RunPlan:
    """Return a plan drawn at random, as a mixed season of tests would bring it.

    Parameters
    ----------
    seed : int
        The same seed gives the same plan.
    **fixed
        Fields of :class:`RunPlan` not to be drawn.

    Returns
    -------
    RunPlan

    Examples
    --------
    >>> draw_plan(3) == draw_plan(3), draw_plan(3, rate_Hz=10.0).rate_Hz
    (True, 10.0)
    """
    draw = np.random.default_rng((seed, 1))
    rig, ideal = _choice(draw, _RIGS)
    rate = _choice(draw, _RATES_HZ)
    pair = tuple(1.0 + float(draw.uniform(0.04, 0.35)) for _ in range(2))
    drawn: dict[str, object] = {
        "rig": rig,
        "ratios": pair if rig in ("three-part", "stacked two-parts/on-load") else pair[:1],
        "load_kgf": ideal * float(draw.uniform(500.0, 1150.0)),
        "steady_s": float(draw.uniform(60.0, 200.0)),
        "stop_s": float(draw.uniform(15.0, 40.0)) if draw.uniform() < 0.15 else 0.0,
        "light_s": float(draw.uniform(90.0, 180.0) if draw.uniform() < 0.12 else draw.uniform(15.0, 60.0)),
        "rate_Hz": rate,
        "accuracy": _choice(draw, _CLASSES),
        "stick_slip": float(draw.uniform(0.022, 0.042)),
        "friction_wander": float(draw.uniform(0.008, 0.016)),
        "vibration": float(draw.uniform(0.002, 0.010)),
        "drift_per_min": float(draw.uniform(0.0, 0.02)),
        "step_kgf": _choice(draw, _STEPS_KGF),
        "whole_seconds": bool(rate == 1.0 and draw.uniform() < 0.3),
        "held": bool(draw.uniform() < 0.10),
        "dropouts": int(draw.integers(1, 3)) if draw.uniform() < 0.15 else 0,
        "spikes": int(draw.integers(1, 5)) if draw.uniform() < 0.12 else 0,
    }
    return RunPlan(**{**drawn, **fixed})  # type: ignore[arg-type]


def _choice(draw: np.random.Generator, shares: Mapping[_T, float]) -> _T:
    names = list(shares)
    return names[int(draw.choice(len(names), p=list(shares.values())))]
