"""Records of a plan. Forces in newtons; every item carries its load at likely, high and at winch stall."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import ClassVar

from haulwright.field.derating import Derating
from haulwright.field.no_standing import Bend, Part
from haulwright.field.result import ResistanceRule
from haulwright.mechanics.rig import Rig
from haulwright.notices import Notice
from haulwright.planning.likely_result import Driver, Likely
from haulwright.planning.sibling_result import Siblings
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
    at_m : float or None
        How far the vehicle has come where the load at stall is greatest [m].
    first : str
        What must be said of it before anything else: an anchor that slides, a tree that is none.
    holds_N : Range or None
        What an anchor is estimated to hold, by friction or a published table: no rating [N].
    marked_N : float or None
        As marked on it, before factor and deratings [N].
    factor : float or None
        What the mark was divided by.
    deratings : tuple of Derating
        What the rig takes off, each with its source.
    name : str
        The piece in words.
    at : str
        Body of the rig that it is part of or made fast to; empty for a line.
    """

    item: str
    role: str
    load_N: ItemLoad
    limit_N: float | None
    basis: str
    utilisation: float | None
    verdict: str
    note: str = ""
    at_m: float | None = None
    first: str = ""
    holds_N: Range | None = None
    marked_N: float | None = None
    factor: float | None = None
    deratings: tuple[Derating, ...] = ()
    name: str = ""
    at: str = ""


@dataclass(frozen=True)
class OwnBridle:
    """A bridle to two points of one vehicle, where the pull begins.

    Attributes
    ----------
    on : str
        The vehicle.
    item : str
    points_m : mapping point -> (x, y)
        Where its two points stand, by the spacing told of them [m].
    middle_m : (float, float)
        Where the line is made fast to it [m].
    """

    on: str
    item: str
    points_m: Mapping[str, tuple[float, float]]
    middle_m: tuple[float, float]


@dataclass(frozen=True)
class GuidanceCheck:
    """One piece against the regulator's guidance: failure capacity against winch stall.

    Attributes
    ----------
    item, role : str
    asked_N : float
        Least failure capacity asked [N].
    capacity_N : float or None
        What it is known to break at, or its WLL as the least of that [N].
    basis : str
        How that is known.
    verdict : str
        ``meets``, ``below`` or ``unknown``.
    """

    item: str
    role: str
    asked_N: float
    capacity_N: float | None
    basis: str
    verdict: str


@dataclass(frozen=True)
class AnchorLoad:
    """What one anchor sees, seen from above: x along the way ahead, y to its left.

    Attributes
    ----------
    likely_N, stall_N : tuple of float
        Pull on it at the likely resistance and at winch stall, level components, without friction or with, whichever is
        the greater at stall [N].
    at_m : float
        How far the vehicle has come there [m].
    """

    likely_N: tuple[float, float]
    stall_N: tuple[float, float]
    at_m: float


@dataclass(frozen=True)
class Candidate:
    """One rig that this kit can build here and this winch can pull.

    Advantage, winch share and effort are those of the place of the travel at which the effort is greatest.
    """

    rig: str
    title: str
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
    way: str = "ahead"  # or back
    winch: str = ""
    winch_on: str = ""
    resistance_N: Range | None = None  # of its way
    worst_at_m: float = 0.0  # how far the vehicle has come where the effort is greatest
    advantage_start: float | None = None  # load ÷ effort where the pull begins
    places_m: Mapping[str, tuple[float, float]] = field(
        default_factory=dict
    )  # at the start: ahead, to the left
    anchors: Mapping[str, AnchorLoad] = field(default_factory=dict)
    side_pull_N: ItemLoad | None = None  # greatest pull on the stuck vehicle across its way
    extension: str | None = None  # extension line between the winch line and what it is made fast to
    bridles: Mapping[str, tuple[str, str]] = field(
        default_factory=dict
    )  # body of the rig -> the anchors that share it
    guidance: tuple[GuidanceCheck, ...] = ()  # the regulator's guidance, a check of its own
    inside_share: Measured | None = (
        None  # of likely conditions: the winch pulls it, rated pieces within their limits
    )
    drivers: tuple[Driver, ...] = ()  # what the tightest margin hangs on, the most first
    likely: Likely | None = None  # how that share came about
    likely_note: str = ""  # why there is no share
    siblings: Siblings | None = None  # the manual chains beside the solver, for the chosen rig
    chain: tuple[int, ...] = ()  # places in ``items``, from the stuck vehicle to the drum
    rise_rad: float = 0.0  # slope along its way, above zero uphill
    own_bridles: tuple[OwnBridle, ...] = ()  # to two points of one vehicle
    _rig: Rig | None = None

    @property
    def ground_rig(self) -> Rig | None:
        """The rig on the ground as it stands at the start, as :mod:`haulwright.mechanics` takes it."""
        return self._rig


@dataclass(frozen=True)
class Rejected:
    """A rig that cannot be used here, and what it lacked.

    Attributes
    ----------
    rig, lacked : str
    count : int
        How many rigs this row stands for.
    _named, _kind : str
        The family of the rig, without the anchors it was tried at, and the kind of thing it lacked.
    """

    rig: str
    lacked: str
    _named: str = ""
    count: int = 1
    _kind: str = ""


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
    """Where nobody may stand, and the nearest places where one may.

    Attributes
    ----------
    radius_m : float
        By the largest distance rule, from every part of every line [m].
    rule : str
        That rule.
    rules : tuple of mapping
        Every distance rule with its distance and source.
    never : tuple of str
        Places that no distance makes safe.
    parts : tuple of Part
        The parts of all lines, where the pull begins and where it ends; what lies in line with one is never safe.
    bends : tuple of Bend
        The bends of all lines; their insides are never safe.
    in_line_rad : float
        How wide "in line" is taken, seen from either end of a part [rad].
    stand_m : tuple of (float, float)
        The nearest places no rule forbids, one on either side [m].
    """

    radius_m: float
    rule: str
    rules: tuple[Mapping[str, object], ...]
    never: tuple[str, ...]
    parts: tuple[Part, ...] = ()
    bends: tuple[Bend, ...] = ()
    in_line_rad: float = 0.0
    stand_m: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True)
class Mark:
    """What a cell should read at one place while it pulls, and the reading at which to stop [N]."""

    place: str
    low_N: float
    high_N: float
    stop_N: float
    stop_why: str


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
    briefs: Mapping[str, tuple[str, ...]] = field(
        default_factory=dict
    )  # people there -> brief; ``brief`` is one of them
    closing: tuple[str, ...] = ()  # the end of the pull, in order
    marks: tuple[Mark, ...] = ()  # what the cells should read, and when to stop
    friction_source: Mapping[str, str] = field(default_factory=dict)  # kit item -> where its k comes from
    uncertainty: Mapping[str, Measured] = field(default_factory=dict)
    ways: Mapping[str, ResistanceSummary] = field(
        default_factory=dict
    )  # resistance of every way that was planned
    vehicle: str = ""
    surface: str = ""

    @property
    def best(self) -> Candidate | None:
        """The chosen candidate: the first, unless another was asked for; None where no rig of the kit can be used."""
        return next((one for one in self.candidates if one.rig == self.chosen), None)

    def measured(self, candidate: Candidate, key: str) -> Measured:
        """Return a number of a candidate (``advantage``, ``winch_share``) with its interval; exact without friction."""
        path = f"candidates.{candidate.rank - 1}.{key}"
        return self.uncertainty.get(path, Measured.exact(getattr(candidate, key)))
