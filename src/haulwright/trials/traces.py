"""Traces for drawing: both forces over time as averaged and as logged, and their ratio, at the level of detail asked for.

An hour at 100 Hz is 360 000 readings a cell. A drawing shows some thousand of them: the least and greatest of each
bucket of time, or every reading once so few are left in what is looked at. Nothing here enters a result.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import ClassVar

import numpy as np
from numpy.typing import NDArray

from haulwright.errors import TrialRefusal
from haulwright.records import Made, Record
from haulwright.trials.log import GAP_PERIODS, Floats, ForceLog
from haulwright.trials.prepare import Prepared

LEAST_POINTS, MOST_POINTS = 100, 20_000
LIGHT_SHARE = 0.2  # below this share of the line's working level a quotient of two readings says nothing
_TIME_DIGITS, _FORCE_DIGITS, _RATIO_DIGITS = 4, 2, 5  # finer than any logger, to keep an answer short


@dataclass(frozen=True)
class ForceTrace:
    """One force over time, for drawing.

    Attributes
    ----------
    exact : bool
        Whether every reading of the span is here; then ``high_N`` is empty.
    time_s : tuple of float
        Instants of the readings, or the middle of each bucket [s]; in order.
    low_N, high_N : tuple of float
        The readings, or the least and greatest of each bucket [N]; not-a-number opens the trace at a silence.
    """

    exact: bool
    time_s: tuple[float, ...]
    low_N: tuple[float, ...]
    high_N: tuple[float, ...]


@dataclass(frozen=True)
class RatioTrace:
    """Anchor ÷ line over time, as :class:`ForceTrace`; open where the line is all but slack."""

    exact: bool
    time_s: tuple[float, ...]
    low: tuple[float, ...]
    high: tuple[float, ...]


@dataclass(frozen=True)
class ChannelTrace:
    """One channel.

    Attributes
    ----------
    n : int
        Readings in the whole log.
    rate_Hz : float
        Median sampling rate [1/s].
    aligned : ForceTrace
        On the line's clock, zero taken off, spikes left out; above 50 Hz as means over 20 ms: what is averaged.
    logged : ForceTrace or None
        As logged: on its own clock, zero not taken off; where it was asked for.
    """

    n: int
    rate_Hz: float
    aligned: ForceTrace
    logged: ForceTrace | None = None


@dataclass(frozen=True, kw_only=True)
class RunTraces(Record):
    """The traces of one run within a span of time.

    ``start_s`` and ``end_s`` are those of the whole log, ``from_s`` and ``to_s`` those of what is shown.
    ``least_N`` and ``greatest_N`` hold every aligned force of the whole log, ``ratio_range`` 98 % of its ratios.
    """

    kind: ClassVar[str] = "traces"
    run: str
    start_s: float
    end_s: float
    from_s: float
    to_s: float
    channels: Mapping[str, ChannelTrace]
    ratio: RatioTrace | None
    least_N: float
    greatest_N: float
    ratio_range: tuple[float, float] | None = None


@dataclass(frozen=True)
class Series:
    """One series whole: instants [s], values, median period [s]."""

    time_s: Floats
    value: Floats
    period_s: float


@dataclass(frozen=True)
class WholeTraces:
    """Everything there is to draw of a run: by place as averaged and as logged, and the ratio."""

    aligned: Mapping[str, Series]
    logged: Mapping[str, Series]
    ratio: Series | None = field(default=None)


def whole_traces(log: ForceLog, ready: Prepared) -> WholeTraces:
    """Return all that can be drawn of a log that was made ready.

    Parameters
    ----------
    log : ForceLog
    ready : Prepared
        From :func:`haulwright.trials.prepare.prepare`.
    """
    aligned = {
        place: Series(
            done.channel.time_s - ready.offsets[place].value, done.channel.force_N, done.channel.period_s
        )
        for place, done in ready.conditioned.items()
    }
    logged = {
        place: Series(log.channels[place].time_s, log.channels[place].force_N, log.channels[place].period_s)
        for place in ready.conditioned
    }
    grid = ready.grid
    with np.errstate(invalid="ignore"):
        heavy = grid.line_N > LIGHT_SHARE * ready.conditioned["line"].working_N
    ratio = Series(grid.time_s[heavy], grid.anchor_N[heavy] / grid.line_N[heavy], grid.step_s)
    return WholeTraces(aligned, logged, ratio if ratio.time_s.size else None)


def traces_within(
    whole: WholeTraces,
    run: str,
    *,
    from_s: float | None = None,
    to_s: float | None = None,
    points: int = 3000,
    logged: bool = False,
) -> RunTraces:
    """Return the traces of a run within a span, each with no more than so many points.

    Parameters
    ----------
    whole : WholeTraces
    run : str
    from_s, to_s : float or None
        Span on the line's clock [s]; the whole log if not given.
    points : int
        Most points of each trace, 100 to 20 000.
    logged : bool
        Whether the traces as logged are wanted too.

    Raises
    ------
    TrialRefusal
        SPAN for a span that is none; POINTS.
    """
    if not LEAST_POINTS <= points <= MOST_POINTS:
        text = f"points = {points}: give {LEAST_POINTS} to {MOST_POINTS}."
        raise TrialRefusal("POINTS", text, ("points",))
    start = min(float(one.time_s[0]) for one in whole.aligned.values())
    end = max(float(one.time_s[-1]) for one in whole.aligned.values())
    first, last = start if from_s is None else from_s, end if to_s is None else to_s
    if not last > first:
        text = f"from {first:g} s to {last:g} s is no span: the end must come after the start."
        raise TrialRefusal("SPAN", text, ("from_s", "to_s"))
    least = min(0.0, *(float(one.value.min()) for one in whole.aligned.values()))
    greatest = max(float(one.value.max()) for one in whole.aligned.values())
    return RunTraces(
        run=run,
        start_s=round(start, _TIME_DIGITS),
        end_s=round(end, _TIME_DIGITS),
        from_s=round(first, _TIME_DIGITS),
        to_s=round(last, _TIME_DIGITS),
        channels={
            place: ChannelTrace(
                n=int(whole.logged[place].time_s.size),
                rate_Hz=1.0 / whole.logged[place].period_s,
                aligned=ForceTrace(*_level(one, first, last, points, _FORCE_DIGITS)),
                logged=ForceTrace(*_level(whole.logged[place], first, last, points, _FORCE_DIGITS))
                if logged
                else None,
            )
            for place, one in whole.aligned.items()
        },
        ratio=RatioTrace(*_level(whole.ratio, first, last, points, _RATIO_DIGITS)) if whole.ratio else None,
        least_N=round(least, _FORCE_DIGITS),
        greatest_N=round(greatest, _FORCE_DIGITS),
        ratio_range=_range(whole.ratio) if whole.ratio else None,
        made=Made(
            "readings within the span, or the least and greatest of each bucket of time",
            {"from_s": from_s, "to_s": to_s, "points": points},
        ),
    )


def _range(ratio: Series) -> tuple[float, float]:
    low, high = np.percentile(ratio.value, [1.0, 99.0])
    return round(float(low), _RATIO_DIGITS), round(float(high), _RATIO_DIGITS)


_Level = tuple[bool, tuple[float, ...], tuple[float, ...], tuple[float, ...]]


def _level(series: Series, first: float, last: float, points: int, digits: int) -> _Level:
    """Return a series within a span: exact or in buckets, its silences opened, one reading beyond each end."""
    a = max(0, int(np.searchsorted(series.time_s, first)) - 1)
    b = int(np.searchsorted(series.time_s, last, side="right")) + 1
    time, value = series.time_s[a:b], series.value[a:b]
    silent = (np.flatnonzero(np.diff(time) > GAP_PERIODS * series.period_s) + 1).astype(np.int64)
    if time.size <= points:
        return (True, *_told(time, value, time[:0], silent, time[silent - 1], digits))
    width = 2.0 * (last - first) / points
    cell = np.floor(time / width)
    starts = np.union1d(np.concatenate(([0], np.flatnonzero(np.diff(cell)) + 1)), silent).astype(np.int64)
    stops = np.append(starts[1:], time.size)
    middle = 0.5 * (time[starts] + time[stops - 1])
    low, high = np.minimum.reduceat(value, starts), np.maximum.reduceat(value, starts)
    return (
        False,
        *_told(middle, low, high, np.searchsorted(starts, silent).astype(np.int64), time[silent - 1], digits),
    )


def _told(
    time: Floats, low: Floats, high: Floats, open_at: NDArray[np.int64], open_s: Floats, digits: int
) -> tuple[tuple[float, ...], tuple[float, ...], tuple[float, ...]]:
    """Return a series as plain numbers, a not-a-number put in where it opens."""
    parts = (np.insert(time, open_at, open_s), np.insert(low, open_at, np.nan))
    tall = np.insert(high, open_at, np.nan) if high.size else high
    return (
        tuple(np.round(parts[0], _TIME_DIGITS).tolist()),
        tuple(np.round(parts[1], digits).tolist()),
        tuple(np.round(tall, digits).tolist()),
    )
