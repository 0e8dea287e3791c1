"""Records of the field: resistance of the stuck vehicle by several published rules."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import ClassVar

from haulwright.records import Record


@dataclass(frozen=True)
class Driver:
    """One contribution to a resistance: what it is, its share of the likely value, the force [N]."""

    name: str
    force_N: float
    share: float


@dataclass(frozen=True)
class ResistanceRule:
    """One published rule applied to the stuck vehicle. Forces in newtons.

    ``low_N`` to ``high_N`` is the range the rule family itself leaves open, never less than the house spread
    of ±30 %. ``breakout_N`` starts the vehicle; ``likely_N`` keeps it moving where it stands; ``clear_N`` once it is
    out of its hole and over the step, None where the rule knows no rolling. ``drivers`` add up to ``likely_N``.
    ``hold_N``: what may have to hold it back downhill at the low end, where it stands or once it is clear; 0 where it
    cannot run away.
    """

    name: str
    low_N: float
    likely_N: float
    high_N: float
    breakout_N: float
    source: str
    drivers: tuple[Driver, ...]
    note: str = ""
    clear_N: float | None = None
    hold_N: float = 0.0


@dataclass(frozen=True)
class LeftOutRule:
    """A published rule that does not cover this vehicle or ground, and why."""

    name: str
    reason: str
    source: str = ""


@dataclass(frozen=True)
class Saving:
    """One thing to do before pulling, and the likely force it saves.

    Attributes
    ----------
    what : str
        What to do.
    saved_N : float
        Likely force it saves by ``rule`` [N].
    rule : str
        The rule chosen; another where only that knows it.
    share : float
        The same as a share of what the rule asks as it stands.
    by_rule_N : mapping rule -> float
        By every rule that covers both cases [N]; below zero it makes matters worse.
    """

    what: str
    saved_N: float
    rule: str
    share: float = 0.0
    by_rule_N: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True)
class OwnRatio:
    """What own pulls on like ground asked, against what a rule said: seen ÷ predicted.

    ``ratio`` is the geometric mean, ``scatter`` the standard deviation of its logarithm (None for one pull), never less
    than the cells' own; ``low`` and ``high`` the 95 % prediction interval for the next pull (None for one pull);
    ``used`` where there are enough pulls. ``breakout_n`` pulls told what started them; ``breakout_high`` is the upper
    end of their interval, None where they are too few.
    """

    rule: str
    n: int
    ratio: float
    scatter: float | None
    low: float | None
    high: float | None
    used: bool
    breakout_n: int = 0
    breakout_high: float | None = None


@dataclass(frozen=True, kw_only=True)
class Resistance(Record):
    """Several rules side by side, and the one the plan uses (that which asks most, unless told otherwise).

    ``savings`` and ``also`` say what would lower it: with a number, and where no rule carries one. ``own``: what own
    pulls asked against each rule; ``own_on``: the rule that "own pulls" is built on.
    """

    kind: ClassVar[str] = "resistance"
    pull: str
    weight_N: float
    rules: tuple[ResistanceRule, ...]
    chosen: str
    left_out: tuple[LeftOutRule, ...] = ()
    savings: tuple[Saving, ...] = ()
    also: tuple[str, ...] = ()
    own: tuple[OwnRatio, ...] = ()
    own_on: str | None = None
