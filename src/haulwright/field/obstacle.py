"""A step in the way: the pull that lifts a wheel over an edge."""

from __future__ import annotations

import math
from dataclasses import dataclass

from haulwright.errors import PlanRefusal
from haulwright.field.inputs import one_of, positive

PULLED_AT = ("axle", "rim", "least")


@dataclass(frozen=True)
class Step:
    """An edge in front of a wheel or an axle.

    Attributes
    ----------
    height_m : float
        Height of the edge above the ground the wheel stands on [m].
    wheel_radius_m : float
        Radius of the wheel [m].
    load_N : float
        Weight on the wheels that meet the edge at once, not on the vehicle [N].
    pulled_at : {"axle", "rim", "least"}
        Horizontal pull at the axle, at the top of the rim, or in the most favourable direction.
    """

    height_m: float
    wheel_radius_m: float
    load_N: float
    pulled_at: str = "axle"


def step_pull(step: Step) -> float:
    """Return the pull that starts a rigid wheel over an edge [N].

    Parameters
    ----------
    step : Step
        Edge, wheel and the weight on it.

    Returns
    -------
    float
        Greatest at the start of the climb [N].

    Raises
    ------
    PlanRefusal
        ``STEP`` if the edge is as high as the axle or higher: no horizontal pull takes the wheel over it.
    QuantityRefusal
        ``NOT_POSITIVE`` for a measure, ``WORD`` for the place of the pull.

    Notes
    -----
    Moments about the edge, with ``s = sqrt(2 r h - h^2)``: at the axle ``W s / (r - h)``, at the top of the rim
    ``W s / (2 r - h)``, least (square to the radius) ``W s / r``. A soft tyre folds round the edge, so this reads
    high for one.

    References
    ----------
    Textbook statics of a rigid wheel at a step.

    Examples
    --------
    >>> [round(step_pull(Step(0.1, 0.4, 1.0, at)), 4) for at in ("axle", "rim")]
    [0.8819, 0.378]
    """
    radius, height = positive(step.wheel_radius_m, "wheel radius [m]"), positive(step.height_m, "step [m]")
    positive(step.load_N, "weight on the wheel at the step [N]")
    one_of(step.pulled_at, PULLED_AT, "place of the pull at the step")
    if height >= radius:
        raise PlanRefusal(
            "STEP",
            f"A step of {height:.2f} m is as high as the axle of a wheel of radius {radius:.2f} m, or higher: "
            "no pull along the ground takes it over. Dig it away or lay a ramp.",
            ("obstacle",),
        )
    arm = math.sqrt(2.0 * radius * height - height**2)
    lever = {"axle": radius - height, "rim": 2.0 * radius - height, "least": radius}[step.pulled_at]
    return step.load_N * arm / lever
