"""Static holds under load: where the rope stands still, told by the noise of motion that is missing there.

With the rope still, friction can take any value between hauling and letting back, so a hold is not data; and it is
often the steadiest part of a log.

References
----------
A. J. Viterbi, "Error bounds for convolutional codes and an asymptotically optimum decoding algorithm", IEEE Trans. Inf.
Theory 13 (1967) 260 (from memory): the likeliest sequence of two states.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtri

from haulwright.trials.condition import robust_sd
from haulwright.trials.grid import Grid
from haulwright.trials.log import Floats

Mask = NDArray[np.bool_]

QUIET = 0.15  # the roughness of a hold as a share of that of the moving rope; not below its display step
LEAST_S = 6.0  # a shorter calm is none [s]
_STENCIL_S = 1.0
_STEP_ROUGHNESS = (1.5 / 12.0) ** 0.5  # of a display step: that of a reading, with the mean of two others off
_SWITCH = 5.0  # nats it takes to believe in a change between still and moving
_WITNESS_S = 1.0  # the roughness within this time counts once [s]


def find_holds(grid: Grid, gate: Mask, quanta_N: tuple[float, float] = (0.0, 0.0)) -> Mask:
    """Return where the rope stands still inside the load gate.

    Parameters
    ----------
    grid : Grid
    gate : array of bool
        Where working load is on.
    quanta_N : (float, float)
        Display steps of line and anchor [N].

    Notes
    -----
    Roughness is what each force departs from the mean of itself one second before and one second after, in the
    logarithm: a drift or a relaxation leaves none. Moving and still are two states of normal roughness, the still one
    with 0.15 of the deviation, or that of the display step; the likeliest sequence of states pays for every change, so
    that a few calm readings make no hold. Gaps say nothing either way.
    """
    roughs = [
        _roughness(np.where(gate, force, np.nan), grid.step_s) for force in (grid.line_N, grid.anchor_N)
    ]
    shown = [
        _STEP_ROUGHNESS * quantum / max(float(np.nanmean(np.where(gate, force, np.nan))), 1.0)
        if gate.any()
        else 0.0
        for quantum, force in zip(quanta_N, (grid.line_N, grid.anchor_N), strict=True)
    ]
    weight = 0.5 * min(1.0, grid.step_s / _WITNESS_S)
    moving = [
        _deviation(rough, 90.0) for rough in roughs
    ]  # a long hold must not pass for the usual roughness
    still = np.zeros(gate.size, dtype=np.bool_)
    for _ in range(2):
        score = sum((_calm(*of) for of in zip(roughs, moving, shown, strict=True)), np.zeros(gate.size))
        still = _likeliest(weight * score) & gate
        moving = [_deviation(np.where(still, np.nan, r), 60.0) for r in roughs]
    for first, stop in runs_of(still):
        if (stop - first) * grid.step_s < LEAST_S:
            still[first:stop] = False
    return still


def hidden_stops(grid: Grid, gate: Mask, fall_sds: float) -> Mask:
    """Return the silences that hide a stop, with the readings around them that already belong to it.

    Parameters
    ----------
    grid : Grid
    gate : array of bool
        Where working load is on.
    fall_sds : float
        A force is off its level when it is this many robust deviations below its median.

    Notes
    -----
    A silence says nothing. But a line that is off its level both when it falls silent and when it is heard again has
    not been hauling all the while: a drop that was only noise would not stand on both sides.
    """
    hidden = np.zeros(gate.size, dtype=np.bool_)
    known = np.isfinite(grid.line_N)
    if not (gate & known).any():
        return hidden
    level = grid.line_N[gate & known]
    low = known & (grid.line_N < float(np.median(level)) - fall_sds * robust_sd(level))
    for first, stop in runs_of(gate & ~known):
        inside = first > 0 and stop < gate.size and (stop - first) * grid.step_s >= LEAST_S
        if inside and low[first - 1] and low[stop]:
            while first > 0 and low[first - 1] and gate[first - 1]:
                first -= 1
            while stop < gate.size and low[stop] and gate[stop]:
                stop += 1
            hidden[first:stop] = True
    return hidden


def runs_of(mask: Mask) -> list[tuple[int, int]]:
    """Return first index and the one behind the last of every run of true values.

    Examples
    --------
    >>> runs_of(np.array([False, True, True, False, True]))
    [(1, 3), (4, 5)]
    """
    edges = np.flatnonzero(np.diff(np.concatenate(([0], mask.astype(np.int8), [0]))))
    return [(int(a), int(b)) for a, b in zip(edges[::2], edges[1::2], strict=True)]


def motion_noise(grid: Grid, inside: Mask, quanta_N: tuple[float, float]) -> tuple[float, float]:
    """Return what tells a moving rope from a hold, as shares of the load: roughness, and slow swings.

    Parameters
    ----------
    grid : Grid
    inside : array of bool
        Where to look.
    quanta_N : (float, float)
        Display steps of line and anchor [N].

    Returns
    -------
    roughness : float
        The greater of both cells', display steps off.
    swings : float
        The greater standard deviation about a parabola in time, which a relaxation follows.
    """
    roughness, swings = 0.0, 0.0
    time = grid.time_s[inside]
    for force, quantum in zip((grid.line_N, grid.anchor_N), quanta_N, strict=True):
        shares = force[inside] / float(np.nanmean(force[inside]))
        middle = time - time.mean()
        swings = max(swings, float(np.std(shares - np.polyval(np.polyfit(middle, shares, 2), middle))))
        rough = _roughness(np.where(inside, force, np.nan), grid.step_s)
        if np.count_nonzero(np.isfinite(rough)) < 5:
            continue
        shown = quantum / float(np.nanmean(force[inside]))
        # three readings make one roughness, of one and a half times the variance of each
        square = _deviation(rough, 60.0) ** 2 / 1.5 - shown * shown / 12.0
        roughness = max(roughness, max(0.0, square) ** 0.5)
    return roughness, swings


def _roughness(force_N: Floats, step_s: float) -> Floats:
    reach = max(1, round(_STENCIL_S / step_s))
    with np.errstate(invalid="ignore", divide="ignore"):
        logs = np.log(np.where(force_N > 0.0, force_N, np.nan))
    rough = np.full(logs.size, np.nan)
    if logs.size > 2 * reach:
        rough[reach:-reach] = logs[reach:-reach] - 0.5 * (logs[: -2 * reach] + logs[2 * reach :])
    return rough


def _deviation(rough: Floats, percentile: float) -> float:
    """Return the standard deviation of a normal distribution by a percentile of the absolute values."""
    known = np.abs(rough[np.isfinite(rough)])
    if not known.size:
        return 1e-9
    return max(float(np.percentile(known, percentile)) / float(ndtri(0.5 + percentile / 200.0)), 1e-9)


def _calm(rough: Floats, moving: float, shown: float) -> Floats:
    """Return the log-likelihood of still over moving of every reading; 0 where nothing is known."""
    known = np.isfinite(rough)
    squared = np.where(known, rough / moving, 0.0) ** 2
    quiet = min(max(QUIET, shown / moving), 0.9)
    gain = -math.log(quiet) - 0.5 * squared * (1.0 / quiet**2 - 1.0)
    return np.where(known, np.maximum(gain, -12.0), 0.0)


def _likeliest(score: Floats) -> Mask:
    """Return the likeliest sequence of still, moving at both ends."""
    moving, still = 0.0, -_SWITCH
    came = np.zeros((2, score.size), dtype=np.bool_)  # whether the best way into a state is from still
    for i, gain in enumerate(score.tolist()):
        from_still, from_moving = still - _SWITCH > moving, moving - _SWITCH < still
        came[0, i], came[1, i] = from_still, from_moving
        moving, still = (
            still - _SWITCH if from_still else moving,
            (still if from_moving else moving - _SWITCH) + gain,
        )
    states = np.zeros(score.size, dtype=np.bool_)
    state = still > moving
    for i in range(score.size - 1, -1, -1):
        states[i] = state
        state = bool(came[int(state), i])
    return states
