"""The steady stretch: where the rope moves at working load, settled, and nothing else.

Static holds are not data: with the rope still, friction can take any value between hauling and letting back. A hold
is often the steadiest part of a log, so stretches are gated by load first and holds are cut out.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import median_filter

from haulwright.errors import TrialRefusal
from haulwright.quantities.units import spoken
from haulwright.trials.condition import robust_sd, working_level
from haulwright.trials.grid import Grid, filled
from haulwright.trials.holds import find_holds, hidden_stops, runs_of
from haulwright.trials.log import Floats
from haulwright.trials.result import SteadyStretch
from haulwright.trials.settling import find_settled

Mask = NDArray[np.bool_]

GATE_SHARE, GATE_SMOOTH_S, GATE_BRIDGE_S = 0.65, 5.0, 4.0
HOLD_MARGIN_S = 3.0
FALL_SDS, FALL_MARGIN_S = 3.2, 0.5
LEVEL_LOW, LEVEL_HIGH = 0.75, 1.35
LEAST_S = 8.0  # a shorter run is no stretch [s] (house rule)


@dataclass(frozen=True)
class Found:
    """What was found in a run.

    Attributes
    ----------
    stretches : tuple of SteadyStretch
        The steady stretches.
    runs : tuple of (float, float)
        The loaded runs they were cut from, each from the end of its ramp [s].
    holds : tuple of (float, float)
        Static holds inside the load gate [s].
    other_level : tuple of (float, float)
        Stretches left out because their load is not that of the longest one [s].
    """

    stretches: tuple[SteadyStretch, ...]
    runs: tuple[tuple[float, float], ...]
    holds: tuple[tuple[float, float], ...]
    other_level: tuple[tuple[float, float], ...] = ()


def find_steady(grid: Grid, quanta_N: tuple[float, float] = (0.0, 0.0)) -> Found:
    """Return the steady stretches of a run, by rule.

    Parameters
    ----------
    grid : Grid
    quanta_N : (float, float)
        Display steps of line and anchor [N].

    Raises
    ------
    TrialRefusal
        If no stretch of 8 s is left.
    """
    line = filled(grid.line_N)
    level = working_level(grid.line_N[grid.valid])
    gate = _gate(line, level, grid.step_s)
    still = find_holds(grid, gate, quanta_N) | hidden_stops(grid, gate, FALL_SDS)
    stretches: list[SteadyStretch] = []
    runs = [
        (a, b) for a, b in runs_of(gate & ~_widened(still, HOLD_MARGIN_S, grid.step_s)) if _lasts(a, b, grid)
    ]
    kept: list[tuple[float, float]] = []
    for first, stop in runs:
        last = _before_fall(grid, first, stop)
        cut = _stretch(
            grid, first, last, after_hold=bool(still[:first].any()), before_hold=bool(still[stop:].any())
        )
        if cut is not None:
            stretches.append(cut[0])
            kept.append((cut[1], float(grid.time_s[last])))
    chosen = _at_level(grid, stretches)
    if not chosen:
        message = (
            f"No steady stretch of {LEAST_S:.0f} s at working load ({spoken(level)}): "
            "pull longer, or give the stretch by hand."
        )
        raise TrialRefusal("NO_STEADY", message)
    holds = tuple((float(grid.time_s[a]), float(grid.time_s[b - 1])) for a, b in runs_of(still))
    others = tuple((s.start_s, s.end_s) for s in stretches if s not in chosen)
    return Found(tuple(chosen), tuple(kept), holds, others)


def stretches_by_hand(
    grid: Grid, spans: Sequence[tuple[float, float]], chosen_by: str, why: str
) -> tuple[SteadyStretch, ...]:
    """Return stretches set by hand, checked against the record.

    Raises
    ------
    TrialRefusal
        If a stretch is shorter than 8 s or lies outside the record of both cells.
    """
    first, last = float(grid.time_s[0]), float(grid.time_s[-1])
    found = []
    for start, end in sorted(spans):
        inside = select(grid, ((start, end),))
        if end - start < LEAST_S or np.count_nonzero(inside) * grid.step_s < LEAST_S:
            message = (
                f"The stretch {start:g} … {end:g} s holds less than {LEAST_S:.0f} s of both cells "
                f"(the record runs from {first:.1f} to {last:.1f} s): choose a longer one inside it."
            )
            raise TrialRefusal("BAD_STRETCH", message)
        found.append(SteadyStretch(float(start), float(end), chosen_by or "by hand", why or "Set by hand."))
    for one, other in pairwise(found):
        if other.start_s < one.end_s:
            message = f"The stretches {one.start_s:g} … {one.end_s:g} s and {other.start_s:g} … {other.end_s:g} s overlap."
            raise TrialRefusal("BAD_STRETCH", message)
    return tuple(found)


def select(grid: Grid, spans: Sequence[tuple[float, float]]) -> Mask:
    """Return the instants inside the given spans [s] at which both forces are known."""
    inside = np.zeros(grid.time_s.size, dtype=np.bool_)
    for start, end in spans:
        inside |= (grid.time_s >= start) & (grid.time_s <= end)
    return inside & grid.valid


def _odd(seconds: float, step_s: float) -> int:
    return 2 * int(0.5 * seconds / step_s) + 1


def _lasts(first: int, stop: int, grid: Grid) -> bool:
    return (stop - first) * grid.step_s >= LEAST_S


def _gate(line: Floats, level: float, step_s: float) -> Mask:
    smooth = median_filter(line, size=_odd(GATE_SMOOTH_S, step_s), mode="nearest")
    gate = smooth > GATE_SHARE * level
    for first, stop in runs_of(~gate):
        if first > 0 and stop < gate.size and (stop - first) * step_s < GATE_BRIDGE_S:
            gate[first:stop] = True
    return np.asarray(gate, dtype=np.bool_)


def _both_logs(grid: Grid) -> Floats:
    """Return half the sum of the logarithms of both forces: what is common to them, with less private noise."""
    with np.errstate(invalid="ignore", divide="ignore"):
        logs = 0.5 * (np.log(grid.line_N) + np.log(grid.anchor_N))
    return np.where(np.isfinite(logs), logs, np.nan)


def _widened(mask: Mask, margin_s: float, step_s: float) -> Mask:
    reach = round(margin_s / step_s)
    wide = mask.copy()
    for first, stop in runs_of(mask):
        wide[max(0, first - reach) : stop + reach] = True
    return wide


def _before_fall(grid: Grid, first: int, stop: int) -> int:
    """Walk back from the end of the gate over the final fall."""
    last = stop - 1
    floors = []
    for force in (grid.line_N, grid.anchor_N):
        known = force[first:stop][np.isfinite(force[first:stop])]
        floors.append(float(np.median(known)) - FALL_SDS * robust_sd(known) if known.size else -np.inf)
    while last > first and not (grid.line_N[last] >= floors[0] and grid.anchor_N[last] >= floors[1]):
        last -= 1
    return max(first, last - round(FALL_MARGIN_S / grid.step_s))


def _stretch(
    grid: Grid, first: int, last: int, *, after_hold: bool, before_hold: bool
) -> tuple[SteadyStretch, float] | None:
    part = slice(first, last + 1)
    logs = _both_logs(grid)[part]
    known = np.isfinite(logs)
    if np.count_nonzero(known) * grid.step_s < LEAST_S:
        return None
    settled = find_settled(grid.time_s[part][known], logs[known])
    start, end = settled.steady_from_s, float(grid.time_s[last])
    if end - start < LEAST_S:
        return None
    began = "After a stop: from here settling" if after_hold else "From here settling"
    ended = "before the rope stops" if before_hold else "before the release"
    return SteadyStretch(
        start, end, "rule", f"{began} adds less than 0.5 %; ends {ended}."
    ), settled.ramp_end_s


def _at_level(grid: Grid, stretches: Sequence[SteadyStretch]) -> list[SteadyStretch]:
    """Keep the stretches whose load is that of the longest one."""
    if not stretches:
        return []
    levels = [float(np.median(grid.line_N[select(grid, ((s.start_s, s.end_s),))])) for s in stretches]
    main = levels[int(np.argmax([s.end_s - s.start_s for s in stretches]))]
    return [
        s
        for s, level in zip(stretches, levels, strict=True)
        if LEVEL_LOW * main <= level <= LEVEL_HIGH * main
    ]
