"""Two cells' clocks, from everything a run says of them: the motion under load, and tugs before and after."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from haulwright.errors import TrialRefusal
from haulwright.notices import Code, Notice
from haulwright.quantities.measured import Measured
from haulwright.trials.align import FAST_HZ, LEAST_U_S, clock_offset
from haulwright.trials.condition import LOADED_SHARE, Conditioned
from haulwright.trials.log import Channel
from haulwright.trials.result import ChannelInfo
from haulwright.trials.tugs import Tug, match_tugs, tug_spans, with_tugs

STATED = ("", "none", "start", "end", "both")  # what a run sheet can say of tugs
_APART = 3.0  # more than so many standard uncertainties between two answers: they disagree
_SIGNIFICANT = 3.0  # a rate difference is applied from so many of its standard uncertainties on
_FAR_S = 0.3  # a fast log's motion is wrong by a swing of the load or not at all
_RATE_SD = (
    100e-6  # two clocks run alike within this (standard deviation) unless tugs say otherwise (house rule)
)


@dataclass(frozen=True)
class Clock:
    """What is known of a cell's clock against the line's.

    Attributes
    ----------
    offset : Measured
        Its stamp minus the line's stamp of the same instant, in the middle of the loaded part [s].
    at_s : float
        That middle on the line's clock [s].
    found_from : str
        What that was got from, in words.
    rate : Measured or None
        By how much its clock runs faster (1), where tugs stand on both sides of the pull.
    rate_applied : bool
        Whether its stamps were stretched by that.
    tugs : tuple of Tug
        Tugs both cells saw.
    notices : tuple of Notice
    """

    offset: Measured
    at_s: float
    found_from: str
    rate: Measured | None = None
    rate_applied: bool = False
    tugs: tuple[Tug, ...] = ()
    notices: tuple[Notice, ...] = ()


def set_clock(
    line: tuple[Channel, Conditioned], other: tuple[Channel, Conditioned], stated: str = ""
) -> tuple[Clock, Conditioned]:
    """Return what is known of another cell's clock, and its channel with the rate of its clock put right.

    Parameters
    ----------
    line, other : (Channel, Conditioned)
        Each channel as read and conditioned.
    stated : str
        What the run sheet says of tugs: ``both``, ``start``, ``end``, ``none``, or nothing.

    Raises
    ------
    TrialRefusal
        BAD_CHOICE if it says anything else.

    Notes
    -----
    A rate difference between tugs before and after the pull is applied from three of its standard uncertainties on. A
    single tug that is more than three of them away from what the motion says counts for nothing; two that agree with
    each other, but not with the motion, count alone. From 4 readings a second on the motion times better than any tug,
    whose friction turns round in it: there tugs that agree confirm, and tell the rate.
    """
    if stated not in STATED:
        text = f"tugs = {stated!r}: expected one of {', '.join(STATED[1:])}, or nothing."
        raise TrialRefusal("BAD_CHOICE", text, ("tugs",))
    raw, done = other
    middle = middle_of(line[1])
    by_motion = clock_offset(line[1].channel, done.channel)
    told = _motion_words(line[0], raw)
    if stated == "none":
        return Clock(by_motion, middle, told), done
    tugs, doubtful = match_tugs(line, other, by_motion.value)
    notices = _missing(raw.place, stated, tugs, doubtful)
    if not tugs:
        return Clock(by_motion, middle, told, notices=notices), done
    done = with_tugs(raw, done, tug_spans(tugs, by_motion.value))
    rate = rate_of(tugs)
    applied = rate is not None and abs(rate.value) > _SIGNIFICANT * rate.u
    slope = rate.value if rate is not None and applied else 0.0
    if applied:
        done = _at_rate(done, slope, middle + by_motion.value)
        by_motion = clock_offset(line[1].channel, done.channel)
    at_middle = [_moved(tug, middle, slope, rate) for tug in tugs]
    slow = 1.0 / max(line[0].period_s, raw.period_s) < FAST_HZ
    offset, used = joined(by_motion, at_middle, slow=slow)
    words = f"{told}{used.replace('tugs', _count(tugs))}"
    notices += (_notice(raw.place, words, rate, applied),)
    return Clock(offset, middle, words, rate, applied, tugs, notices), done


def with_clocks(channels: Mapping[str, ChannelInfo], clocks: Mapping[str, Clock]) -> dict[str, ChannelInfo]:
    """Return the records of channels with how their clocks were found."""
    told = dict(channels)
    for place, clock in clocks.items():
        told[place] = replace(
            told[place],
            clock_from=clock.found_from,
            clock_rate_ppm=_ppm(clock.rate),
            clock_rate_applied=clock.rate_applied,
        )
    return told


def _ppm(rate: Measured | None) -> Measured | None:
    if rate is None:
        return None
    return Measured(1e6 * rate.value, 1e6 * rate.u, 1e6 * rate.lo, 1e6 * rate.hi)


def rate_of(tugs: Sequence[Tug]) -> Measured | None:
    """Return by how much the other clock runs faster, None without tugs on both sides of the pull.

    Examples
    --------
    >>> far = [Tug(20.0, 22.0, False, Measured.normal(1.0, 0.03)), Tug(220.0, 222.0, True, Measured.normal(1.2, 0.04))]
    >>> rate_of(far).value, rate_of(far).u
    (0.00100, 0.00025)
    """
    before, after = ([tug for tug in tugs if tug.after is side] for side in (False, True))
    if not before or not after:
        return None
    first, last = (_mean([tug.offset_s for tug in side]) for side in (before, after))
    apart = float(np.mean([t.middle_s for t in after]) - np.mean([t.middle_s for t in before]))
    return Measured.normal((last.value - first.value) / apart, float(np.hypot(first.u, last.u)) / apart)


def joined(motion: Measured, tugs: Sequence[Measured], *, slow: bool) -> tuple[Measured, str]:
    """Return the offset by motion and tugs together, and how it came about in words.

    Parameters
    ----------
    motion : Measured
        The offset by the motion under load [s].
    tugs : sequence of Measured
        By each tug [s], at least one.
    slow : bool
        Below 4 readings a second.
    """
    together = _mean(tugs)
    alike = len(tugs) > 1 and all(not _differ(tug, together) for tug in tugs)
    far = abs(together.value - motion.value) > (0.0 if slow else _FAR_S)
    if alike and far and _differ(together, motion):
        return together, "; it disagrees with tugs, which agree with each other: these count alone"
    agreeing = [tug for tug in tugs if not _differ(tug, motion)]
    if not agreeing:
        return motion, "; tugs disagree with it and count for nothing"
    if not slow and motion.u <= _mean(agreeing).u:
        return motion, ", confirmed by tugs"
    return _mean([motion, *agreeing]), ", joined with tugs"


def _differ(one: Measured, other: Measured) -> bool:
    return abs(one.value - other.value) > _APART * float(np.hypot(one.u, other.u))


def _mean(values: Sequence[Measured]) -> Measured:
    """Return the mean weighed by the variances, with an uncertainty not below what a clock can be known to."""
    weights = np.array([1.0 / max(one.u, LEAST_U_S) ** 2 for one in values])
    mean = float(weights @ np.array([one.value for one in values]) / weights.sum())
    return Measured.normal(mean, max(float(weights.sum() ** -0.5), LEAST_U_S))


def middle_of(line: Conditioned) -> float:
    """Return the middle of the loaded part on the line's clock [s]."""
    loaded = line.channel.time_s[line.channel.force_N > LOADED_SHARE * line.working_N]
    return float(loaded.mean()) if loaded.size else float(line.channel.time_s.mean())


def _at_rate(done: Conditioned, rate: float, about_s: float) -> Conditioned:
    """Return a channel as a clock of the line's rate would have stamped it, unchanged at one instant."""

    def told(time_s: float) -> float:
        return about_s + (time_s - about_s) / (1.0 + rate)

    channel = done.channel
    return replace(
        done,
        channel=replace(channel, time_s=about_s + (channel.time_s - about_s) / (1.0 + rate)),
        zero_end_s=None if done.zero_end_s is None else told(done.zero_end_s),
        zero_start_s=None if done.zero_start_s is None else told(done.zero_start_s),
    )


def _moved(tug: Tug, middle_s: float, slope: float, rate: Measured | None) -> Measured:
    """Return what a tug says of the offset in the middle of the pull."""
    away = tug.middle_s - middle_s
    sd = rate.u if rate is not None and slope else _RATE_SD
    return Measured.normal(tug.offset_s.value - slope * away, float(np.hypot(tug.offset_s.u, sd * away)))


def _motion_words(line: Channel, other: Channel) -> str:
    fast = 1.0 / max(line.period_s, other.period_s) >= FAST_HZ
    fine = "the correlation" if fast else "the likelihood as one stick-slip motion"
    return f"slopes of both forces, then {fine} of the loaded part without ramp and release"


def _count(tugs: Sequence[Tug]) -> str:
    before = sum(not tug.after for tug in tugs)
    parts = [(before, "before"), (len(tugs) - before, "after")]
    told = " and ".join(f"{'a tug' if n == 1 else f'{n} tugs'} {side}" for n, side in parts if n)
    return f"{told} the pull"


def _missing(place: str, stated: str, tugs: Sequence[Tug], doubtful: bool) -> tuple[Notice, ...]:
    """Tell of tugs that were stated and not found, or that could be matched in more than one way."""
    told = []
    if doubtful:
        text = f"Clock of the {place} cell: tugs too near each other to tell which is which are not used."
        told.append(Code.CLOCK.notice((place,), text=text))
    wanted = {"start": (False,), "end": (True,), "both": (False, True)}.get(stated, ())
    gone = ["after" if side else "before" for side in wanted if not any(tug.after is side for tug in tugs)]
    if gone:
        text = f"The run sheet states a tug {' and '.join(gone)} the pull; none was found that line and {place} both show."
        told.append(Code.CLOCK.notice((place,), text=text))
    return tuple(told)


def _notice(place: str, words: str, rate: Measured | None, applied: bool) -> Notice:
    text = f"Clock of the {place} cell: {words}."
    if rate is not None:
        done = "put right" if applied else "not significant, left alone"
        text += f" Its clock runs {1e6 * rate.value:+.0f} ± {1e6 * rate.half95:.0f} ppm fast: {done}."
    return Code.CLOCK.notice((place,), text=text)
