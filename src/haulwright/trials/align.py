"""Two cells, two clocks: the offset between them.

The offset of a channel is its stamp minus the line channel's stamp of the same instant.

References
----------
R. H. Jones, "Maximum likelihood fitting of ARMA models to time series with missing observations", Technometrics 22
(1980) 389 (from memory): the Kalman likelihood of irregularly sampled series.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import median_filter, uniform_filter1d

from haulwright.quantities.measured import Measured
from haulwright.trials.condition import LOADED_SHARE, UNLOADED_SHARE
from haulwright.trials.grid import HIGH_PASS_S, correlate, filled, grid_step, high_passed, make_grid, on_grid
from haulwright.trials.log import SEARCH_S, Channel, Floats

FAST_HZ = 4.0  # from this rate on, correlation resolves the offset by itself
_SMOOTH_S = 2.5
_PULL_MEDIAN_S, _SLACK_S = 15.0, 4.0  # what is shorter is no pull; what is looked at before it
_SLACK_SHARE = 0.1  # of the load, added before the logarithm: slack rope has no slope
_FINE_FAST_S, _FINE_SLOW_S, _STEP_S = 2.0, 1.5, 0.05
_COARSE_SD_S = 0.5  # friction taken up on the ramp shifts the coarse answer by up to this,
_COARSE_SCALE_S = 0.1  # and mostly by no more than this
LEAST_U_S = 0.02
# the noise is not quite what the likelihood takes it for: a sample counts for half a witness
_WITNESS, _WIDER = 0.5, 2.0
_MOST_SAMPLES = 400
_FADES_S = (0.3, 0.6, 1.2, 2.4)
_FREQUENCIES_HZ = (0.0, 0.2, 0.3, 0.42, 0.58, 0.75)
_NOISES = (0.05, 0.15, 0.4)
_AFTER_RAMP_S, _BEFORE_RELEASE_S = 8.0, 4.0


def clock_offset(line: Channel, anchor: Channel) -> Measured:
    """Return the anchor's clock offset [s]: its stamp minus the line's stamp of the same instant.

    Notes
    -----
    Coarse: the slopes of the logarithms of both forces, smoothed over 2.5 s, are correlated within ±20 s, from the
    taking up of the line to 4 s before the load is let go. In the release friction turns round, so the line falls
    before the anchor does: it would shift the answer by a tenth of a second and more, always the same way, the more
    the more devices there are. In logarithms a change of a fifth counts the same at light and at full load.
    Fine, from 4 Hz on: the high-passed loaded parts are correlated within ±2 s. Fine, slower: both channels are
    samples, each at its own instants, of one damped oscillation kept alive by shocks (stick-slip), plus private noise;
    the exact likelihood is averaged over frequency, fading and noise, and joined with the coarse answer. Both fine
    steps leave out ramp and release.
    """
    coarse = _coarse(line, anchor)
    if 1.0 / max(line.period_s, anchor.period_s) >= FAST_HZ:
        return _fine_fast(line, anchor, coarse)
    return _fine_slow(line, anchor, coarse)


def _coarse(line: Channel, anchor: Channel) -> float:
    step = 0.1 if max(line.period_s, anchor.period_s) < 0.2 else 0.25
    start = min(line.time_s[0], anchor.time_s[0]) - 2.0
    end = max(line.time_s[-1], anchor.time_s[-1]) + 2.0
    times = start + step * np.arange(int((end - start) / step) + 1)
    size = max(1, round(_SMOOTH_S / step))
    slopes = []
    for channel in (line, anchor):
        force = uniform_filter1d(filled(on_grid(channel, 0.0, times, step)), size)
        top = float(np.percentile(channel.force_N, 97.0))
        slope = np.gradient(np.log(np.maximum(force / top, 0.0) + _SLACK_SHARE))
        begin, _ = pull_span(channel, top)
        loaded = channel.time_s[channel.force_N > LOADED_SHARE * top]
        slope[(times < begin - _SLACK_S) | (times > loaded[-1] - _BEFORE_RELEASE_S)] = 0.0
        slopes.append(slope / (np.linalg.norm(slope) or 1.0))
    reach = round(SEARCH_S / step)
    lags = np.arange(-reach, reach + 1)
    return step * _peak(lags, np.array([_lagged(slopes[0], slopes[1], int(lag)) for lag in lags]))[0]


def pull_span(channel: Channel, top_N: float) -> tuple[float, float]:
    """Return first and last instant at which a 15 s running median is above 5 % of a force [s].

    What is shorter than that, a tug or a knock, is no pull.
    """
    size = max(3, 2 * round(0.5 * _PULL_MEDIAN_S / channel.period_s) + 1)
    smooth = median_filter(channel.force_N, size=size, mode="nearest")
    pulled = channel.time_s[smooth > UNLOADED_SHARE * top_N]
    if not pulled.size:
        return float(channel.time_s[0]), float(channel.time_s[-1])
    return float(pulled[0]), float(pulled[-1])


def _lagged(x: Floats, y: Floats, lag: int) -> float:
    if lag >= 0:
        return float(np.dot(x[: x.size - lag], y[lag:]))
    return float(np.dot(x[-lag:], y[: y.size + lag]))


def _peak(lags: NDArray[np.int_], values: Floats) -> tuple[float, float, float]:
    """Return place, height and curvature of the greatest value, by a parabola through three."""
    top = int(np.argmax(values))
    if top in (0, values.size - 1):
        return float(lags[top]), float(values[top]), 0.0
    left, mid, right = values[top - 1 : top + 2]
    bend = left - 2.0 * mid + right
    shift = 0.5 * (left - right) / bend if bend < 0.0 else 0.0
    return float(lags[top]) + float(shift), float(mid), float(bend)


def _fine_fast(line: Channel, anchor: Channel, coarse: float) -> Measured:
    step = grid_step(line, anchor)
    grid = make_grid(line, anchor, coarse)
    both = _well_loaded(grid.time_s, grid.line_N) & _well_loaded(grid.time_s, grid.anchor_N)
    logs = (np.log(np.where(both, force, np.nan)) for force in (grid.line_N, grid.anchor_N))
    x, y = (high_passed(log_force, step) for log_force in logs)
    reach = round(_FINE_FAST_S / step)
    lags = np.arange(-reach, reach + 1)
    values = np.array([_lagged_correlation(x, y, int(lag)) for lag in lags])
    place, height, bend = _peak(lags, values)
    if height <= 0.0 or bend == 0.0:  # no peak: too little in common to improve on the coarse answer
        return Measured.normal(coarse, _COARSE_SD_S)
    count = int(np.count_nonzero(np.isfinite(x) & np.isfinite(y)))
    spread = (1.0 - height**2) / max(count * height * abs(bend), 1e-9)
    # half the samples count: the noise between neighbours is not independent
    u = step * min(float((2.0 * spread) ** 0.5), float(reach))
    return Measured.normal(coarse + step * place, max(u, LEAST_U_S))


def _lagged_correlation(x: Floats, y: Floats, lag: int) -> float:
    ahead, behind = max(0, lag), max(0, -lag)
    return correlate(x[behind : x.size - ahead], y[ahead : y.size - behind])


def _fine_slow(line: Channel, anchor: Channel, coarse: float) -> Measured:
    samples = [_standard(channel) for channel in (line, anchor)]
    if min(times.size for times, _ in samples) < 20:
        return Measured.normal(coarse, _COARSE_SD_S)
    (tx, x), (ty, y) = samples
    offsets = coarse + np.arange(-_FINE_SLOW_S, _FINE_SLOW_S + 1e-9, _STEP_S)
    scores = swing_log_likelihood(tx, x, ty, y, offsets, _FADES_S, _FREQUENCIES_HZ, _NOISES)
    likelihood = np.logaddexp.reduce(scores.reshape(offsets.size, -1), axis=1)
    # Student's t of 4 degrees of freedom about the coarse answer
    prior = -2.5 * np.log1p(((offsets - coarse) / _COARSE_SCALE_S) ** 2 / 4.0)
    total = _WITNESS * likelihood + prior
    weight = np.exp(total - total.max())
    weight /= weight.sum()
    mean = float(weight @ offsets)
    u = _WIDER * float(weight @ (offsets - mean) ** 2) ** 0.5
    return Measured.normal(mean, max(u, LEAST_U_S))


def _well_loaded(time_s: Floats, force_N: Floats) -> NDArray[np.bool_]:
    """Tell the loaded readings away from ramp and release, where friction builds up and turns round."""
    loaded = force_N > LOADED_SHARE * float(np.nanpercentile(force_N, 97.0))
    where = np.flatnonzero(loaded)
    if not where.size:
        return loaded
    begin, end = float(time_s[where[0]]), float(time_s[where[-1]])
    spare = min(1.0, max(0.0, (end - begin - 20.0) / 20.0))  # a short pull has none to give away
    inside = (time_s > begin + spare * _AFTER_RAMP_S) & (time_s < end - spare * _BEFORE_RELEASE_S)
    return loaded & inside


def _standard(channel: Channel) -> tuple[Floats, Floats]:
    """Return instants and standardised, slowly detrended logarithms of the well loaded readings."""
    keep = np.flatnonzero(_well_loaded(channel.time_s, channel.force_N))[:_MOST_SAMPLES]
    time, value = channel.time_s[keep], np.log(channel.force_N[keep])
    if keep.size < 2:
        return time, value
    size = max(5, 2 * round(0.5 * HIGH_PASS_S / channel.period_s) + 1)
    value = value - uniform_filter1d(value, size, mode="nearest")
    limit = 4.0 * max(float(value.std()) * 0.75, 1e-9)
    value = np.clip(value, -limit, limit)
    return time, value / max(float(value.std()), 1e-9)


def swing_log_likelihood(
    tx: Floats,
    x: Floats,
    ty: Floats,
    y: Floats,
    offsets: Floats,
    fades_s: Sequence[float],
    frequencies_Hz: Sequence[float],
    noises: Sequence[float],
) -> Floats:
    """Return the log-likelihood of two standardised series as samples of one damped oscillation kept alive by shocks.

    Parameters
    ----------
    tx, x, ty, y : array
        Instants [s] and values of unit variance.
    offsets : array
        Offsets of ``ty`` to try [s].
    fades_s : sequence of float
        Times in which the oscillation forgets itself, to try [s].
    frequencies_Hz : sequence of float
        Its frequencies to try [1/s]; at 0 it is the Ornstein-Uhlenbeck process.
    noises : sequence of float
        Private noise variances to try, as shares of the process's.

    Returns
    -------
    array
        Of shape (offsets, fades × frequencies, noises).

    Notes
    -----
    Autocovariance s exp(-|t|/fade) cos(2 π f t), plus white private noise. Its state of two numbers is one complex
    number z, which between samples dt apart turns and decays by exp((-1/fade + 2 π i f) dt); its covariance is kept as
    the mean of both variances and a complex number for what is not round about it. The Kalman filter then is a few
    products a sample, all trials side by side; each sample adds the log density of its innovation.
    """
    times = np.concatenate((np.broadcast_to(tx[:, None], (tx.size, offsets.size)), ty[:, None] - offsets))
    order = np.argsort(times, axis=0, kind="stable")
    times = np.take_along_axis(times, order, axis=0)
    values = np.concatenate((x, y))[order]
    gaps = np.diff(times, axis=0, prepend=times[:1])
    signal = 1.0 / (1.0 + np.asarray(noises))[None, None, :]
    noise = 1.0 - signal
    rates = np.array([complex(-1.0 / fade, 2.0 * np.pi * f) for fade in fades_s for f in frequencies_Hz])
    shape = (offsets.size, rates.size, len(noises))
    state, skew = np.zeros(shape, dtype=np.complex128), np.zeros(shape, dtype=np.complex128)
    round_, score = np.broadcast_to(signal, shape).copy(), np.zeros(shape)
    for gap, value in zip(gaps, values, strict=True):
        turn = np.exp(gap[:, None] * rates)[..., None]
        twice = turn * turn
        state *= turn
        skew *= twice
        round_ = signal + (round_ - signal) * np.abs(twice)
        total = round_ + skew.real + noise
        miss = value[:, None, None] - state.real
        score -= np.log(total) + miss * miss / total
        seen = round_ + skew
        state += seen * (miss / total)
        seen *= seen
        seen /= 2.0 * total
        round_ -= np.abs(seen)
        skew -= seen
    return 0.5 * score
