"""A log made ready to be averaged: every channel conditioned, clocks aligned, line and anchor on one grid."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from haulwright.errors import TrialRefusal
from haulwright.notices import Code, Notice
from haulwright.quantities.measured import Measured
from haulwright.quantities.units import parse_force, parse_time
from haulwright.trials.align import clock_offset
from haulwright.trials.condition import Conditioned, condition
from haulwright.trials.grid import Grid, make_grid
from haulwright.trials.log import SEARCH_S, ForceLog

_BY_HAND_U_S = 0.1  # a clock offset given by hand is taken to be this good [s] (house rule)


@dataclass(frozen=True)
class ByHand:
    """What somebody chose instead of the rules; who and why are kept in the record.

    Attributes
    ----------
    steady : tuple of (float, float) or None
        Steady stretches [s].
    offset_s : float or None
        Clock offset of the anchor: its stamp minus the line's stamp of the same instant [s].
    zeros_N : mapping place -> float
        Zeros to take off [N].
    who, why : str
    """

    steady: tuple[tuple[float, float], ...] | None = None
    offset_s: float | None = None
    zeros_N: Mapping[str, float] = field(default_factory=dict)
    who: str = ""
    why: str = ""

    @property
    def anything(self) -> bool:
        """Whether anything was chosen by hand."""
        return self.steady is not None or self.offset_s is not None or bool(self.zeros_N)


def choose_by_hand(
    steady: Sequence[str | tuple[float, float]],
    offset: str | float | None,
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
    offset : str, float or None
        Clock offset of the anchor, as ``1.2 s``; a plain number is seconds.
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
    chosen = ByHand(
        tuple(_span(one) for one in steady) or None,
        None if offset is None else parse_time(offset, default_unit="s", what="clock offset"),
        {
            place: parse_force(zero, default_unit="N", what=f"zero of {place}")
            for place, zero in zeros.items()
        },
        who.strip(),
        f"{why.strip()} ({when})",
    )
    if chosen.anything and not (who.strip() and why.strip()):
        text = "A choice by hand needs who made it and why: add --by NAME --why TEXT."
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
    """A log made ready: conditioned, aligned, on one grid; display steps of line and anchor [N]."""

    conditioned: Mapping[str, Conditioned]
    offsets: Mapping[str, Measured]
    grid: Grid
    notices: tuple[Notice, ...]
    quanta_N: tuple[float, float]


def prepare(log: ForceLog, line: str, anchor: str, by_hand: ByHand | None = None) -> Prepared:
    """Return the log conditioned, aligned and on one grid.

    Parameters
    ----------
    log : ForceLog
    line, anchor : str
        Places of the two channels that make the ratio.
    by_hand : ByHand, optional
        Zeros and clock offset that are given instead of found.

    Raises
    ------
    TrialRefusal
        NO_CHANNEL, ONE_CHANNEL for a place the log has not; what conditioning and the grid refuse; BAD_CHOICE for a zero or an
        offset that cannot be.
    """
    chosen = by_hand or ByHand()
    for place in (line, anchor, *chosen.zeros_N):
        if place not in log.channels:
            known = ", ".join(log.channels)
            if len(log.channels) == 1:
                text = f"There is one force only ({known}): an advantage needs the line and the anchor."
                raise TrialRefusal("ONE_CHANNEL", text, (place,))
            raise TrialRefusal("NO_CHANNEL", f"The log has no channel {place!r}; it has {known}.", (place,))
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
            conditioned[place] = with_zero(conditioned[place], zero)
    base = conditioned[line].channel
    offsets = {
        place: Measured.exact(0.0) if place == line else clock_offset(base, done.channel)
        for place, done in conditioned.items()
        if place != anchor or chosen.offset_s is None
    }
    if chosen.offset_s is not None:
        offsets[anchor] = _given_offset(chosen.offset_s)
    grid = make_grid(base, conditioned[anchor].channel, offsets[anchor].value)
    quanta = (conditioned[line].quantum_N, conditioned[anchor].quantum_N)
    return Prepared(conditioned, offsets, grid, tuple(told), quanta)


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


def _given_offset(offset_s: float) -> Measured:
    if not abs(offset_s) < 180.0 * SEARCH_S:
        text = f"A clock offset of {offset_s:g} s is more than an hour: give seconds, anchor's stamp minus line's."
        raise TrialRefusal("BAD_CHOICE", text, ("offset",))
    return Measured.normal(offset_s, _BY_HAND_U_S)
