"""Two cells, two clocks: the offset between them.

The offset of a channel is its stamp minus the line channel's stamp of the same instant.

References
----------
R. H. Jones, "Maximum likelihood fitting of ARMA models to time series with missing observations", Technometrics 22
(1980) 389 (from memory): the Kalman likelihood of irregularly sampled series.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import uniform_filter1d

from haulwright.quantities.measured import Measured
from haulwright.trials.condition import LOADED_SHARE
from haulwright.trials.grid import correlate, filled, grid_step, high_passed, loaded_log, make_grid, on_grid
from haulwright.trials.log import SEARCH_S, Channel, Floats

FAST_HZ = 4.0  # from this rate on, correlation resolves the offset by itself
_SMOOTH_S = 1.5
_FINE_FAST_S, _FINE_SLOW_S = 2.0, 1.5
_COARSE_SD_S = 0.5  # friction on ramp and release shifts the coarse answer by up to this
_LEAST_U_S = 0.02
_WIDER = 2.0  # private noise is not white: simulated errors are twice the likelihood's own width
_MOST_SAMPLES = 1500
_TAUS_S = (0.4, 0.8, 1.6, 3.2, 6.4)
_NOISES = (0.03, 0.1, 0.3, 1.0)


def clock_offset(line: Channel, anchor: Channel) -> Measured:
    """Return the anchor's clock offset [s]: its stamp minus the line's stamp of the same instant.

    Notes
    -----
    Coarse: the slopes of both forces, smoothed over 1.5 s, are correlated within ±20 s; ramp and release dominate.
    Fine, from 4 Hz on: the high-passed loaded parts are correlated within ±2 s. Fine, slower: both channels are
    samples, each at its own instants, of one Ornstein-Uhlenbeck process plus private noise; the exact likelihood is
    averaged over the correlation time and the noise.
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
        slope = np.gradient(force)
        slopes.append(slope / (np.linalg.norm(slope) or 1.0))
    reach = round(SEARCH_S / step)
    lags = np.arange(-reach, reach + 1)
    return step * _peak(lags, np.array([_lagged(slopes[0], slopes[1], int(lag)) for lag in lags]))[0]


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
    x, y = (high_passed(loaded_log(force), step) for force in (grid.line_N, grid.anchor_N))
    reach = round(_FINE_FAST_S / step)
    lags = np.arange(-reach, reach + 1)
    values = np.array([_lagged_correlation(x, y, int(lag)) for lag in lags])
    place, height, bend = _peak(lags, values)
    count = int(np.count_nonzero(np.isfinite(x) & np.isfinite(y)))
    spread = (1.0 - height**2) / max(count * height * abs(bend), 1e-9) if height > 0.0 else float(reach**2)
    # half the samples count: the noise between neighbours is not independent
    u = step * min(float((2.0 * spread) ** 0.5), float(reach))
    return Measured.normal(coarse + step * place, max(u, _LEAST_U_S))


def _lagged_correlation(x: Floats, y: Floats, lag: int) -> float:
    ahead, behind = max(0, lag), max(0, -lag)
    return correlate(x[behind : x.size - ahead], y[ahead : y.size - behind])


def _fine_slow(line: Channel, anchor: Channel, coarse: float) -> Measured:
    samples = [_standard(channel) for channel in (line, anchor)]
    if min(times.size for times, _ in samples) < 20:
        return Measured.normal(coarse, _COARSE_SD_S)
    (tx, x), (ty, y) = samples
    offsets = coarse + np.arange(-_FINE_SLOW_S, _FINE_SLOW_S + 1e-9, 0.05)
    scores = ou_log_likelihood(tx, x, ty, y, offsets, np.array(_TAUS_S), np.array(_NOISES))
    total = (
        np.logaddexp.reduce(scores.reshape(offsets.size, -1), axis=1)
        - 0.5 * ((offsets - coarse) / _COARSE_SD_S) ** 2
    )
    weight = np.exp(total - total.max())
    weight /= weight.sum()
    mean = float(weight @ offsets)
    u = _WIDER * float(weight @ (offsets - mean) ** 2) ** 0.5
    return Measured.normal(mean, max(u, _LEAST_U_S))


def _standard(channel: Channel) -> tuple[Floats, Floats]:
    """Return instants and standardised, slowly detrended logarithms of the loaded readings."""
    top = float(np.percentile(channel.force_N, 97.0))
    keep = np.flatnonzero(channel.force_N > LOADED_SHARE * top)[:_MOST_SAMPLES]
    time, value = channel.time_s[keep], np.log(channel.force_N[keep])
    size = max(5, 2 * round(0.5 * 20.0 / channel.period_s) + 1)
    value = value - uniform_filter1d(value, size, mode="nearest")
    limit = 4.0 * max(float(value.std()) * 0.75, 1e-9)
    value = np.clip(value, -limit, limit)
    return time, value / max(float(value.std()), 1e-9)


def ou_log_likelihood(
    tx: Floats, x: Floats, ty: Floats, y: Floats, offsets: Floats, taus: Floats, noises: Floats
) -> Floats:
    """Return the log-likelihood of two standardised series as samples of one Ornstein-Uhlenbeck process.

    Parameters
    ----------
    tx, x, ty, y : array
        Instants [s] and values of unit variance.
    offsets : array
        Offsets of ``ty`` to try [s].
    taus : array
        Correlation times to try [s].
    noises : array
        Private noise variances to try, as shares of the process's.

    Returns
    -------
    array
        Of shape (offsets, taus, noises).

    Notes
    -----
    Scalar Kalman filter: between samples dt apart the state decays by exp(-dt/tau) and gains variance
    s(1 - exp(-2 dt/tau)); each sample adds the log density of its innovation. All trials run side by side.
    """
    times = np.concatenate((np.broadcast_to(tx[:, None], (tx.size, offsets.size)), ty[:, None] - offsets))
    order = np.argsort(times, axis=0, kind="stable")
    times = np.take_along_axis(times, order, axis=0)
    values = np.concatenate((x, y))[order]
    gaps = np.diff(times, axis=0, prepend=times[:1])
    signal = 1.0 / (1.0 + noises)[None, None, :]
    noise = 1.0 - signal
    rate = (-1.0 / taus)[None, :, None]
    shape = (offsets.size, taus.size, noises.size)
    mean, variance, score = np.zeros(shape), np.broadcast_to(signal, shape).copy(), np.zeros(shape)
    for gap, value in zip(gaps, values, strict=True):
        decay = np.exp(gap[:, None, None] * rate)
        mean *= decay
        variance = signal + (variance - signal) * decay * decay
        total = variance + noise
        miss = value[:, None, None] - mean
        score -= np.log(total) + miss * miss / total
        gain = variance / total
        mean += gain * miss
        variance *= 1.0 - gain
    return 0.5 * score
