"""Tugs: short snatches of light load before and after a pull, which both cells see at once. Marks for two clocks.

A tug is found from the log itself, never from where it was asked for: a bump of some seconds with slack on both sides,
outside the pull. Before the pull it is matched only with one before the other cell's pull, after it only with one
after; where more than one could be meant, none is.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from haulwright.quantities.measured import Measured
from haulwright.trials.align import pull_span
from haulwright.trials.condition import Conditioned, robust_sd
from haulwright.trials.holds import runs_of
from haulwright.trials.log import GAP_PERIODS, Channel, Floats

LEAST_SHARE = 0.06  # a tug reaches this share of the working level at least, in both cells
LONGEST_S = 6.0  # what lasts longer is no tug
SLACK_S = 4.0  # slack around a tug, at least; a pull is as far away
REACH_S = 3.0  # the first answer about the clocks is never further off than this
_EDGE_SHARE = 0.015  # slack: below this share of the working level
_LEAST_READINGS = 3  # of a tug in a log of 4 readings a second or more: a single wild reading is none
# shapes that are tried: from half to half height, rise and fall, all in seconds
_WIDTHS_S = (0.8, 1.1, 1.5, 2.0, 2.6, 3.4, 4.5)
_EDGES_S = (0.3, 0.7, 1.2, 2.0)
_STEP_S = 0.05
# no tug has the shape of the model, nor the same shape in both cells: friction turns round in it
_MISFIT = 0.12
_SHAPE_U_S = 0.03
_PERIOD_SHARE, _COARSE_STAMPS = 0.06, 0.3  # how far a stamp may be off, of a period
_SPARE_S = 0.5  # a tug begins before its first reading that stands out, and ends after the last


@dataclass(frozen=True)
class Tug:
    """A tug seen by both cells.

    Attributes
    ----------
    start_s, end_s : float
        On the line's clock [s].
    after : bool
        Whether it comes after the pull.
    offset_s : Measured
        What it says of the anchor's clock: its stamp minus the line's stamp of the same instant [s].
    """

    start_s: float
    end_s: float
    after: bool
    offset_s: Measured

    @property
    def middle_s(self) -> float:
        """Its middle on the line's clock [s]."""
        return 0.5 * (self.start_s + self.end_s)


@dataclass(frozen=True)
class Bump:
    """What may be a tug, in one channel: start and end on the channel's own clock [s]."""

    start_s: float
    end_s: float
    after: bool

    @property
    def middle_s(self) -> float:
        """Its middle [s]."""
        return 0.5 * (self.start_s + self.end_s)


def find_bumps(raw: Channel, done: Conditioned) -> tuple[Bump, ...]:
    """Return what may be tugs in one channel.

    Parameters
    ----------
    raw : Channel
        As read: of a tug of one or two readings conditioning may think they are spikes.
    done : Conditioned
        The same channel conditioned, for its zero and working level.
    """
    zero = done.zero_N.value if done.zero_N else 0.0
    thin = raw.thinned(0.1)
    share = (thin.force_N - zero) / done.working_N
    begin, end = pull_span(replace(thin, force_N=share), 1.0)
    noise = robust_sd(share[share < 0.03])
    edge = max(_EDGE_SHARE, 5.0 * noise, 1.1 * done.quantum_N / done.working_N)
    high = share > edge
    found = []
    for first, stop in runs_of(high):
        bump = Bump(float(thin.time_s[first]), float(thin.time_s[stop - 1]), bool(thin.time_s[first] > end))
        outside = bump.end_s < begin or bump.after
        tall = float(share[first:stop].max()) > max(LEAST_SHARE, 3.0 * edge)
        if outside and tall and _is_short(thin, first, stop) and _in_slack(thin, high, first, stop):
            found.append(bump)
    return tuple(found)


def _is_short(channel: Channel, first: int, stop: int) -> bool:
    if channel.time_s[stop - 1] - channel.time_s[first] > LONGEST_S:
        return False
    return stop - first >= _LEAST_READINGS or channel.period_s > 0.26


def _in_slack(channel: Channel, high: NDArray[np.bool_], first: int, stop: int) -> bool:
    """Tell whether readings without load lie on both sides, without a silence."""
    time = channel.time_s
    near = (time >= time[first] - SLACK_S - channel.period_s) & (
        time <= time[stop - 1] + SLACK_S + channel.period_s
    )
    rest = near & high
    rest[first:stop] = False
    where = time[near]
    silent = max((b - a for a, b in pairwise(where.tolist())), default=0.0) > GAP_PERIODS * channel.period_s
    reached = where[0] <= time[first] - 0.7 * SLACK_S and where[-1] >= time[stop - 1] + 0.7 * SLACK_S
    return bool(reached and not silent and not rest.any())


def tug_spans(tugs: Sequence[Tug], offset_s: float = 0.0) -> list[tuple[float, float]]:
    """Return start and end of tugs with a little around, on a clock this far ahead of the line's [s]."""
    return [(tug.start_s + offset_s - _SPARE_S, tug.end_s + offset_s + _SPARE_S) for tug in tugs]


def with_tugs(raw: Channel, done: Conditioned, spans: Sequence[tuple[float, float]]) -> Conditioned:
    """Return a channel with the readings of its tugs back that conditioning took for spikes.

    Parameters
    ----------
    raw : Channel
        As read.
    done : Conditioned
        The same channel conditioned.
    spans : sequence of (float, float)
        Its tugs on its own clock [s].
    """
    if not done.spikes or raw.time_s.size != done.n + done.spikes or done.channel.time_s.size != done.n:
        return done
    spiky = ~np.isin(raw.time_s, done.channel.time_s)
    back = np.any([spiky & (raw.time_s >= a) & (raw.time_s <= b) for a, b in spans], axis=0)
    count = int(np.count_nonzero(back))
    zero = done.zero_N.value if done.zero_N else 0.0
    force = raw.force_N - zero
    force[~spiky] = done.channel.force_N
    keep = ~spiky | back
    channel = replace(done.channel, time_s=raw.time_s[keep], force_N=force[keep])
    return replace(done, channel=channel, n=done.n + count, spikes=done.spikes - count)


def match_tugs(
    line: tuple[Channel, Conditioned], anchor: tuple[Channel, Conditioned], about_s: float
) -> tuple[tuple[Tug, ...], bool]:
    """Return the tugs both cells saw, and whether some were left alone because more than one could be meant.

    Parameters
    ----------
    line, anchor : (Channel, Conditioned)
        Each channel as read and conditioned.
    about_s : float
        What is known of the clock offset without tugs [s].
    """
    ours, theirs = find_bumps(*line), find_bumps(*anchor)
    near = np.array(
        [
            [a.after == b.after and abs(b.middle_s - a.middle_s - about_s) < REACH_S for b in theirs]
            for a in ours
        ],
        dtype=np.bool_,
    ).reshape(len(ours), len(theirs))
    alone = (near.sum(axis=1) == 1)[:, None] & (near.sum(axis=0) == 1)[None, :]
    tugs = []
    doubt_s = _stamp_doubt(line[0], anchor[0])
    for i, j in np.argwhere(near & alone):
        offset = time_between(_around(*line, ours[i]), _around(*anchor, theirs[j]))
        if offset is not None:
            known = Measured.normal(offset.value, float(np.hypot(offset.u, doubt_s)))
            tugs.append(Tug(ours[i].start_s, ours[i].end_s, ours[i].after, known))
    return tuple(tugs), bool((near & ~alone).any())


def _around(raw: Channel, done: Conditioned, bump: Bump) -> tuple[Floats, Floats, float]:
    """Return instants, forces as shares of the greatest, and noise of the readings around a bump."""
    thin = raw.thinned(0.1)
    zero = done.zero_N.value if done.zero_N else 0.0
    keep = (thin.time_s > bump.start_s - SLACK_S) & (thin.time_s < bump.end_s + SLACK_S)
    force = thin.force_N[keep] - zero
    top = float(force.max())
    return thin.time_s[keep], force / top, max(robust_sd(force), 0.3 * done.quantum_N) / top


def time_between(line: tuple[Floats, Floats, float], anchor: tuple[Floats, Floats, float]) -> Measured | None:
    """Return how much later the anchor's bump stands on its clock than the line's on its own [s].

    Parameters
    ----------
    line, anchor : (array, array, float)
        Instants [s], forces as shares of the greatest, and the noise of these.

    Notes
    -----
    Both are samples of one bump, each at its own instants and of its own height: from half to half height of some
    width, with rise and fall of some length. For every shape of a table the likelihood of each cell's samples is
    worked out over the place of the bump; the two are correlated, which leaves the time between them, and averaged
    over all shapes.
    """
    scores = []
    places = []
    for time, share, noise in (line, anchor):
        middle = float(np.average(time, weights=np.clip(share, 0.05, None)))
        at = middle + np.arange(-3.0, 3.0 + 1e-9, _STEP_S)
        places.append(middle)
        scores.append(_log_likelihood(time, share, noise, at))
    lags = np.arange(-2.0, 2.0 + 1e-9, _STEP_S)
    reach = (lags.size - 1) // 2
    x, y = (np.exp(score - score.max()) for score in scores)
    weight = np.array(
        [
            float(np.sum(x[:, reach:-reach] * y[:, reach + k : y.shape[1] - reach + k]))
            for k in range(-reach, reach + 1)
        ]
    )
    if not weight.sum() > 0.0:
        return None
    weight /= weight.sum()
    mean = float(weight @ lags)
    u = float(weight @ (lags - mean) ** 2) ** 0.5
    return Measured.normal(places[1] - places[0] + mean, (u * u + _SHAPE_U_S**2) ** 0.5)


def _stamp_doubt(line: Channel, anchor: Channel) -> float:
    """Return how far the stamps of one moment may be from those of the whole pull [s].

    In a table of both cells' last values the age of a value changes from row to row, and stamps in whole periods slide
    against the readings.
    """
    period = max(line.period_s, anchor.period_s)
    at = np.minimum(np.searchsorted(anchor.time_s, line.time_s), anchor.time_s.size - 1)
    table = bool(np.mean(anchor.time_s[at] == line.time_s) > 0.8)
    whole = any(_in_whole_periods(channel) for channel in (line, anchor))
    return period * (_COARSE_STAMPS if table or whole else _PERIOD_SHARE)


def _in_whole_periods(channel: Channel) -> bool:
    steps = np.diff(channel.time_s) / channel.period_s
    return bool(np.mean(np.abs(steps - np.round(steps)) < 1e-6) > 0.95)


def _log_likelihood(time: Floats, share: Floats, noise: float, at: Floats) -> Floats:
    """Return the log-likelihood of (shapes, places), the height of each fitted."""
    sd = np.hypot(max(noise, 0.01), _MISFIT * np.clip(share, 0.25, 1.0))
    since = time[None, :] - at[:, None]
    rows = []
    for width in _WIDTHS_S:
        for rise in _EDGES_S:
            for fall in _EDGES_S:
                up = _smooth((since + 0.5 * width) / rise + 0.5)
                down = 1.0 - _smooth((since - 0.5 * width) / fall + 0.5)
                shape = np.minimum(up, down) / sd
                power = np.sum(shape * shape, axis=1) + 1e-6
                height = shape @ (share / sd) / power
                rows.append(0.5 * height * height * power - 0.5 * np.log(power))
    return np.array(rows)


def _smooth(x: Floats) -> Floats:
    x = np.clip(x, 0.0, 1.0)
    return x * x * (3.0 - 2.0 * x)
