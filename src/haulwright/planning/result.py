"""Records of a plan. Forces in newtons; every item carries its load at likely, high and at winch stall."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import ClassVar

from haulwright.field.result import ResistanceRule
from haulwright.notices import Notice
from haulwright.quantities.measured import Measured
from haulwright.records import Record


@dataclass(frozen=True)
class Range:
    """Low, likely and high value of the same quantity."""

    low: float
    likely: float
    high: float


@dataclass(frozen=True)
class ItemLoad:
    """Load of one item [N] at likely and high resistance, and at winch stall."""

    likely: float
    high: float
    stall: float


@dataclass(frozen=True)
class ItemCheck:
    """One piece of gear (or anchor) in one candidate rig, against its own limit.

    Attributes
    ----------
    item : str
        Id of the kit item or name of the anchor.
    role : str
        Where it sits: ``block on oak``, ``winch line``, ``anchor oak`` …
    load_N : ItemLoad
        Greatest load with or without friction.
    limit_N : float or None
        Working limit after deratings [N]; None when unknown.
    basis : str
        ``WLL``, ``MBS ÷ 2``, ``limit entered by the user`` … or ``unknown``.
    utilisation : float or None
        Load at stall ÷ limit; None when unknown. For the winch: effort at the high resistance ÷ its line pull on the
        last layer met.
    verdict : str
        inside, tight, over, unknown.
    note : str
        Deratings and reason in words.
    """

    item: str
    role: str
    load_N: ItemLoad
    limit_N: float | None
    basis: str
    utilisation: float | None
    verdict: str
    note: str = ""


@dataclass(frozen=True)
class Candidate:
    """One rig that this kit can build here and this winch can pull."""

    rig: str
    path: str
    sentence: str
    rank: int
    why: str
    verdict: str
    ideal_advantage: float
    advantage: float
    winch_share: float
    effort_N: Range
    stall_N: float
    winch_limit_N: float | None  # line pull on the last layer met; None where the drum is not described
    layer: int
    line_needed_m: float | None
    line_have_m: float | None
    travel_m: float | None
    setups: int | None
    time_s: float | None
    charge_Ah: float | None
    devices: Mapping[str, str]  # block of the rig -> kit item used there
    ratios: Mapping[str, float]  # block of the rig -> tension ratio k used for the effort
    items: tuple[ItemCheck, ...]
    notices: tuple[Notice, ...] = ()


@dataclass(frozen=True)
class Rejected:
    """A rig that cannot be used here, and what it lacked; ``_named``: the named rig without the anchors it was tried at."""

    rig: str
    lacked: str
    _named: str = ""


@dataclass(frozen=True)
class ResistanceSummary:
    """Resistance the plan uses [N]: range over the chosen rule, breakout, and every rule side by side."""

    low: float
    likely: float
    high: float
    breakout: float
    chosen: str
    rules: tuple[ResistanceRule, ...]


@dataclass(frozen=True)
class Zone:
    """Where nobody may stand: radius [m] by the largest rule, each rule with its distance, and words for the rest."""

    radius_m: float
    rule: str
    rules: tuple[Mapping[str, object], ...]
    never: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class Plan(Record):
    """From a stuck vehicle to ranked rigs with every item's margin at the expected load and at stall."""

    kind: ClassVar[str] = "plan"
    pull: str
    resistance_N: ResistanceSummary
    candidates: tuple[Candidate, ...]
    rejected: tuple[Rejected, ...]
    chosen: str | None
    zone: Zone
    checklist: tuple[str, ...]
    brief: tuple[str, ...]
    friction_source: Mapping[str, str] = field(default_factory=dict)  # kit item -> where its k comes from
    uncertainty: Mapping[str, Measured] = field(default_factory=dict)

    @property
    def best(self) -> Candidate | None:
        """The chosen candidate; None where no rig of the kit can be used."""
        return next((one for one in self.candidates if one.rig == self.chosen), None)

    def measured(self, candidate: Candidate, key: str) -> Measured:
        """Return a number of a candidate (``advantage``, ``winch_share``) with its interval; exact without friction."""
        path = f"candidates.{candidate.rank - 1}.{key}"
        return self.uncertainty.get(path, Measured.exact(getattr(candidate, key)))
