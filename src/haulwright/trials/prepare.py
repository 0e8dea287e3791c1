"""A log made ready to be averaged: every channel conditioned, clocks aligned, line and anchor on one grid."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from haulwright.errors import TrialRefusal
from haulwright.files.decisions import FURTHEST_S, by_hand_words
from haulwright.notices import Code, Notice
from haulwright.quantities.measured import Measured
from haulwright.quantities.units import parse_force, parse_time
from haulwright.trials.align import clock_offset
from haulwright.trials.clocks import Clock, middle_of, set_clock
from haulwright.trials.condition import Conditioned, condition
from haulwright.trials.grid import LEAST_TOGETHER_S, Grid, make_grid
from haulwright.trials.log import Channel, ForceLog
from haulwright.trials.tugs import Tug, match_tugs, tug_spans, with_tugs

_BY_HAND_U_S = 0.1  # a clock offset given by hand is taken to be this good [s] (house rule)
# further than this from what the log says, a choice by hand is told (house rules)
_FAR_OFFSET_S, _FAR_ZERO = 0.5, 0.005


@dataclass(frozen=True)
class ByHand:
    """What somebody chose instead of the rules; who and why are kept in the record.

    Attributes
    ----------
    steady : tuple of (float, float) or None
        Steady stretches [s].
    offsets_s : mapping place -> float
        Clock offsets: the channel's stamp minus the line's stamp of the same instant [s].
    zeros_N : mapping place -> float
        Zeros to take off [N].
    who, why : str
    said : mapping of str to str
        Who and why in words where one choice has its own, by what was chosen: ``zero of the line``.
    """

    steady: tuple[tuple[float, float], ...] | None = None
    offsets_s: Mapping[str, float] = field(default_factory=dict)
    zeros_N: Mapping[str, float] = field(default_factory=dict)
    who: str = ""
    why: str = ""
    said: Mapping[str, str] = field(default_factory=dict)

    @property
    def anything(self) -> bool:
        """Whether anything was chosen by hand."""
        return self.steady is not None or bool(self.offsets_s) or bool(self.zeros_N)

    def words(self, what: str) -> str:
        """Return who chose this, and why."""
        return self.said.get(what) or by_hand_words(self.who, self.why)


LONGEST_DAY_s = 12.0 * 3600.0  # house number: a day of pulls
LEAST_READ = 0.05  # house number: less of it read, and it is no log of that day


def choose_by_hand(
    steady: Sequence[str | tuple[float, float]],
    offset: str | float | Mapping[str, str | float] | None,
    zeros: Mapping[str, str | float],
    who: str,
    why: str,
    when: str,
) -> ByHand:
    """Return choices by hand from plain words.

    Parameters
    ----------
    steady : sequence of str or (float, float)
        Stretches [s], as ``95:160``.
    offset : str, float, mapping place -> str or float, or None
        Clock offset of the anchor, or of each channel named, as ``1.2 s``; a plain number is seconds.
    zeros : mapping place -> str or float
        As ``2 kgf``; a plain number is newtons.
    who, why, when : str

    Raises
    ------
    TrialRefusal
        BAD_STRETCH for a stretch that cannot be read; BAD_CHOICE where nobody or no reason is named.
    QuantityRefusal
        A time or force that cannot be read.

    Examples
    --------
    >>> choose_by_hand(["95:160"], None, {}, "Kim", "calm", "2024-05-14").steady
    ((95.0, 160.0),)
    """
    offsets = offset if isinstance(offset, Mapping) else {} if offset is None else {"anchor": offset}
    chosen = ByHand(
        tuple(_span(one) for one in steady) or None,
        {
            place: parse_time(one, default_unit="s", what=f"clock offset of {place}")
            for place, one in offsets.items()
        },
        {
            place: parse_force(zero, default_unit="N", what=f"zero of {place}")
            for place, zero in zeros.items()
        },
        who.strip(),
        f"{why.strip()} ({when})",
    )
    if chosen.anything and not (who.strip() and why.strip()):
        text = "A choice by hand needs who made it and why: add both (--by NAME --why TEXT)."
        raise TrialRefusal("BAD_CHOICE", text, ("by", "why"))
    return chosen


def _span(given: str | tuple[float, float]) -> tuple[float, float]:
    try:
        first, last = given.split(":") if isinstance(given, str) else given
        return float(first), float(last)
    except ValueError:
        text = f"steady {given}: expected start and end in seconds of the line's clock, as 95:160."
        raise TrialRefusal("BAD_STRETCH", text, ("steady",)) from None


@dataclass(frozen=True)
class Prepared:
    """A log made ready: conditioned, aligned, on one grid; display steps of line and anchor [N]; clocks by place."""

    conditioned: Mapping[str, Conditioned]
    offsets: Mapping[str, Measured]
    grid: Grid
    notices: tuple[Notice, ...]
    quanta_N: tuple[float, float]
    clocks: Mapping[str, Clock] = field(default_factory=dict)

    @property
    def tugs(self) -> tuple[Tug, ...]:
        """Tugs that the line and another cell both saw, each once, in order."""
        seen = [tug for clock in self.clocks.values() for tug in clock.tugs]
        return tuple(sorted({tug.start_s: tug for tug in seen}.values(), key=lambda tug: tug.start_s))


def prepare(
    log: ForceLog, line: str, anchor: str, by_hand: ByHand | None = None, *, tugs: str = ""
) -> Prepared:
    """Return the log conditioned, aligned and on one grid.

    Parameters
    ----------
    log : ForceLog
    line, anchor : str
        Places of the two channels that make the ratio.
    by_hand : ByHand, optional
        Zeros and clock offset that are given instead of found.
    tugs : str
        What the run sheet says of tugs: ``both``, ``start``, ``end``, ``none``; without it they are looked for.

    Raises
    ------
    TrialRefusal
        NO_CHANNEL, ONE_CHANNEL for a place the log has not; what conditioning and the grid refuse; BAD_CHOICE for a zero or an
        offset that cannot be.
    """
    chosen = by_hand or ByHand()
    _check_places(log, line, anchor, chosen)
    conditioned = {place: condition(log.channels[place]) for place in (line, anchor)}
    told: list[Notice] = []
    for place, channel in log.channels.items():
        if place in conditioned:
            continue
        try:
            conditioned[place] = condition(channel)
        except TrialRefusal as refusal:
            told.append(Code.UNCHECKED.notice((place,), text=f"{place} is left out: {refusal.message}"))
    for place, zero in chosen.zeros_N.items():
        if place in conditioned:
            found_N = conditioned[place].zero_N
            conditioned[place] = with_zero(conditioned[place], zero)
            told += _other_zero(conditioned[place], zero, found_N)
    clocks: dict[str, Clock] = {}
    for place in [one for one in conditioned if one != line]:
        given = chosen.offsets_s.get(place)
        pair = [(log.channels[one], conditioned[one]) for one in (line, place)]
        if given is None:
            clocks[place], conditioned[place] = set_clock(pair[0], pair[1], tugs)
        else:
            told += _other_offset(pair[0][1].channel, pair[1][1].channel, given)
            marks, _ = match_tugs(pair[0], pair[1], given)
            clocks[place] = Clock(
                _given_offset(place, given), middle_of(pair[0][1]), "set by hand", tugs=marks
            )
        told += clocks[place].notices
    seen = [tug for clock in clocks.values() for tug in clock.tugs]
    conditioned[line] = with_tugs(log.channels[line], conditioned[line], tug_spans(seen))
    base = conditioned[line].channel
    offsets = {line: Measured.exact(0.0), **{place: clock.offset for place, clock in clocks.items()}}
    grid = make_grid(base, conditioned[anchor].channel, offsets[anchor].value)
    quanta = (conditioned[line].quantum_N, conditioned[anchor].quantum_N)
    return Prepared(conditioned, offsets, grid, tuple(told), quanta, clocks)


def _check_places(log: ForceLog, line: str, anchor: str, chosen: ByHand) -> None:
    """Refuse a choice for a channel there is not, and a log that is too short."""
    if line in chosen.offsets_s:
        text = "A clock offset of the line: those of the others count from the line's clock. Name another channel."
        raise TrialRefusal("BAD_CHOICE", text, (line,))
    for place in (line, anchor, *chosen.zeros_N, *chosen.offsets_s):
        if place not in log.channels:
            known = ", ".join(log.channels)
            if len(log.channels) == 1:
                text = f"There is one force only ({known}): an advantage needs the line and the anchor."
                raise TrialRefusal("ONE_CHANNEL", text, (place,))
            raise TrialRefusal("NO_CHANNEL", f"The log has no channel {place!r}; it has {known}.", (place,))
    for place in (line, anchor):
        _refuse_short(log.channels[place])
        _refuse_scattered(log.channels[place])


def _refuse_short(channel: Channel) -> None:
    """Refuse a log that is no pull before clocks are looked for in it."""
    spans = float(channel.time_s[-1] - channel.time_s[0])
    if spans < LEAST_TOGETHER_S:
        text = f"{channel.file}: {channel.label or channel.place} spans {spans:.1f} s only: log a pull of 30 s or more."
        raise TrialRefusal("TOO_SHORT", text, (channel.file, channel.place))


def _refuse_scattered(channel: Channel) -> None:
    """Refuse a log whose stamps lie hours apart with next to nothing between them: one stamp of it is wrong."""
    steps = np.diff(channel.time_s)
    spans = float(steps.sum())
    read_s = channel.time_s.size * channel.period_s
    if spans > LONGEST_DAY_s and read_s < LEAST_READ * spans:
        at = int(steps.argmax())
        text = (
            f"{channel.file}: {channel.label or channel.place} spans {spans / 3600.0:.0f} h with readings for "
            f"{read_s / 60.0:.0f} min of them; the longest silence, {steps[at] / 3600.0:.1f} h, follows reading {at + 1}. A "
            "stamp is wrong, or several days are in one file: mend the stamp in a copy, or cut the file."
        )
        raise TrialRefusal("CLOCK", text, (channel.file, channel.place))


def with_zero(done: Conditioned, zero_N: float) -> Conditioned:
    """Return a conditioned channel with this zero taken off instead of the one that was found.

    Raises
    ------
    TrialRefusal
        BAD_CHOICE for a zero above a fifth of the working level.
    """
    before = done.zero_N.value if done.zero_N else 0.0
    if abs(zero_N) > 0.2 * (done.working_N + before):
        place = done.channel.place
        text = f"A zero of {zero_N:.0f} N for the {place} is above a fifth of its working load: check value and unit."
        raise TrialRefusal("BAD_CHOICE", text, (place,))
    channel = replace(done.channel, force_N=done.channel.force_N + (before - zero_N))
    given = Measured.normal(zero_N, done.quantum_N / 12.0**0.5)
    return replace(done, channel=channel, zero_N=given, working_N=done.working_N + before - zero_N)


def _other_zero(done: Conditioned, given_N: float, found: Measured | None) -> list[Notice]:
    """Tell of a zero by hand that is far from what the unloaded readings say."""
    if found is None or abs(given_N - found.value) <= max(3.0 * found.u, _FAR_ZERO * done.working_N):
        return []
    place = done.channel.place
    text = (
        f"The zero of the {place} set by hand ({given_N:.0f} N) is {given_N - found.value:+.0f} N from its unloaded "
        f"readings ({found.value:.0f} N): check value, sign and unit."
    )
    return [Code.UNCHECKED.notice((place,), text=text)]


def _given_offset(place: str, offset_s: float) -> Measured:
    if not abs(offset_s) < FURTHEST_S:
        text = f"A clock offset of {offset_s:g} s is more than an hour: give seconds, {place}'s stamp minus line's."
        raise TrialRefusal("BAD_CHOICE", text, (place,))
    return Measured.normal(offset_s, _BY_HAND_U_S)


def _other_offset(base: Channel, channel: Channel, given_s: float) -> list[Notice]:
    """Tell of a clock offset by hand that is far from what the traces say; a wrong sign is soon written."""
    try:
        found = clock_offset(base, channel)
    except TrialRefusal:
        return []
    if abs(given_s - found.value) <= 3.0 * found.u + _FAR_OFFSET_S:
        return []
    text = (
        f"The clock offset of the {channel.place} set by hand ({given_s:g} s) is {given_s - found.value:+.1f} s from what "
        f"the traces say ({found.value:.1f} s): check value and sign (its stamp less the line's)."
    )
    return [Code.UNCHECKED.notice((channel.place,), text=text)]
