"""Records of the field: resistance of the stuck vehicle by several published rules."""

from __future__ import annotations

from dataclasses import dataclass
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
    of ±30 %. ``breakout_N`` starts the vehicle; ``likely_N`` keeps it moving. ``drivers`` add up to ``likely_N``.
    """

    name: str
    low_N: float
    likely_N: float
    high_N: float
    breakout_N: float
    source: str
    drivers: tuple[Driver, ...]
    note: str = ""


@dataclass(frozen=True)
class LeftOutRule:
    """A published rule that does not cover this vehicle or ground, and why."""

    name: str
    reason: str
    source: str = ""


@dataclass(frozen=True, kw_only=True)
class Resistance(Record):
    """Several rules side by side, and the one the plan uses (that which asks most, unless told otherwise)."""

    kind: ClassVar[str] = "resistance"
    pull: str
    weight_N: float
    rules: tuple[ResistanceRule, ...]
    chosen: str
    left_out: tuple[LeftOutRule, ...] = ()
