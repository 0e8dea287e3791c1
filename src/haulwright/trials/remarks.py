"""What is to be said of a measured run: cautions, warnings, and how well it supports its result."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from haulwright.errors import TrialRefusal
from haulwright.notices import Code, Notice
from haulwright.quantities.measured import Measured
from haulwright.quantities.units import spoken
from haulwright.trials.budget import Budget, RatioOfMeans
from haulwright.trials.cells import ASSUMED_CLASS, CellSpec
from haulwright.trials.condition import CLIPPED_TOLD, Conditioned
from haulwright.trials.grid import Grid
from haulwright.trials.steady import Found, select

_UNLIKE = 0.15  # below this correlation two traces are hardly one run
_SHORT_S = 30.0  # a steady stretch shorter than this is told
# a moving rope is rougher than this share of its load, or swings by more than that (house rules)
_STATIC, _STILL = 0.003, 0.01


def cell_notices(specs: Mapping[str, CellSpec], conditioned: Mapping[str, Conditioned]) -> list[Notice]:
    """Tell of an assumed class, a missing zero, clipping and spikes."""
    told = []
    for place, spec in specs.items():
        if not spec.known:
            told.append(Code.CLASS_ASSUMED.notice((place,), what=place, value=f"{100 * ASSUMED_CLASS:g} %"))
        greatest = float(conditioned[place].channel.force_N.max())
        if spec.capacity_N is not None and greatest > spec.capacity_N:
            text = (
                f"The {place} cell reads up to {spoken(greatest)}, above its capacity of "
                f"{spoken(spec.capacity_N)}: wrong cell or unit, or a cell that was overloaded."
            )
            told.append(Code.OUT_OF_RANGE.notice((place,), text=text))
        if conditioned[place].zero_N is None:
            told.append(Code.NO_ZERO.notice((place,), what=f"The {place} channel"))
        share = conditioned[place].clipped_share
        if share > CLIPPED_TOLD:
            told.append(
                Code.CLIPPED.notice((place,), what=f"The {place} channel", share=f"{100 * share:.0f} %")
            )
    spikes = {place: done.spikes for place, done in conditioned.items() if done.spikes}
    if spikes:
        counts = ", ".join(f"{n} on the {place}" for place, n in spikes.items())
        told.append(Code.ROWS.notice(tuple(spikes), text=f"Spikes rejected: {counts}."))
    return told


def stretch_notices(found: Found, means: RatioOfMeans) -> list[Notice]:
    """Tell of stops that were cut out, and of a stretch too short."""
    told = []
    if found.holds:
        stops = ", ".join(f"{a:.0f} … {b:.0f} s" for a, b in found.holds)
        text = f"Cut out, the rope standing still: {stops}. A hold says nothing about hauling."
        told.append(Code.STOPS_CUT.notice((), text=text))
    if means.seconds < _SHORT_S:
        text = f"Only {means.seconds:.0f} s are steady: pull at least {_SHORT_S:.0f} s in one go for a trustworthy scatter."
        told.append(Code.FEW_SAMPLES.notice((), text=text))
    return told


def sanity(advantage: Measured, frictionless: float, lowest: float, resemblance: float) -> list[Notice]:
    """Tell of an advantage that cannot be, and of traces that hardly belong together."""
    told = []
    if advantage.lo > frictionless:
        told.append(
            Code.IMPOSSIBLE_HIGH.notice((), value=f"{advantage.value:.3f}", limit=f"{frictionless:g}")
        )
    if advantage.hi < lowest:
        told.append(Code.IMPOSSIBLE_LOW.notice((), value=f"{advantage.value:.3f}", limit=f"{lowest:.3g}"))
        if advantage.value < 1.0 and lowest <= 1.0 / advantage.value <= frictionless:
            text = "The anchor reads less than the line, and the other way round would fit: look whether they are swapped."
            told.append(Code.ROLES.notice((), text=text))
    if resemblance < _UNLIKE:
        told.append(Code.UNCORRELATED.notice((), r=f"{resemblance:.2f}"))
    return told


def refuse_static(roughness: float, swings: float) -> None:
    """Refuse a run in which the rope never moves.

    Parameters
    ----------
    roughness, swings : float
        What tells a moving rope from a hold in the steady stretch, as shares of the load.

    Raises
    ------
    TrialRefusal
        STATIC
    """
    if roughness < _STATIC and swings < _STILL:
        message = (
            f"The rope stands still: under load the forces are smooth within {100 * roughness:.2f} %. At rest friction "
            "can take any value between hauling and letting back, so a hold gives no advantage. Log a pull that moves; "
            "if it did move, give the stretch by hand."
        )
        raise TrialRefusal("STATIC", message)


def quality(
    grid: Grid, spans: Sequence[tuple[float, float]], means: RatioOfMeans, budget: Budget, resemblance: float
) -> dict[str, str]:
    """Return how well the run supports its result: fractions and seconds as text."""
    return {
        "correlation": f"{resemblance:.3f}",
        "steady_s": f"{means.seconds:.1f}",
        "grid_step_s": f"{grid.step_s:.3f}",
        "effective_samples": f"{means.scatter.effective:.0f}",
        "batches": f"{means.scatter.batches}",
        "degrees_of_freedom": f"{min(budget.dof, 9999.0):.0f}",
        "load_drift_per_min": f"{60.0 * means.slope_per_s:.4f}",
        "both_cells_share": f"{_coverage(grid, spans):.3f}",
    }


def _coverage(grid: Grid, spans: Sequence[tuple[float, float]]) -> float:
    wanted = sum(int(np.count_nonzero((grid.time_s >= a) & (grid.time_s <= b))) for a, b in spans)
    return float(np.count_nonzero(select(grid, spans))) / max(wanted, 1)
