"""The record of a solved rig. Forces in newtons, lengths in metres; parts run from the standing part to the fall."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import ClassVar

from haulwright.quantities.measured import Measured
from haulwright.records import Record


@dataclass(frozen=True)
class PartSolution:
    """One straight part of a line.

    Attributes
    ----------
    from_, to : str
        Point names, in the order from the standing end to the fall.
    tension_N : float
        Tension while hauling [N].
    length_m : float or None
        Length [m]; None without coordinates.
    """

    from_: str
    to: str
    tension_N: float
    length_m: float | None = None


@dataclass(frozen=True)
class LineSolution:
    """All parts of one line, from the standing part to the fall."""

    parts: tuple[PartSolution, ...]


@dataclass(frozen=True)
class ContactSolution:
    """One line passing over one block.

    Attributes
    ----------
    line : str
        Name of the line.
    index : int
        Place along the line, 1 for the first contact after the standing end.
    at : str
        Name of the block.
    wrap_rad : float
        Angle the line is turned through [rad].
    ratio : float
        Tension ratio k >= 1, haul side over other side.
    load_N : float
        Load this contact puts on the block [N].
    direction : str
        ``towards-fall``, ``away`` or ``still``: the way the line runs over the block when hauling.
    rim_speed_ratio : float
        Metres of line over the block per metre of load travel.
    heat_J_per_m : float
        Heat per metre of load travel [J/m].
    """

    line: str
    index: int
    at: str
    wrap_rad: float
    ratio: float
    load_N: float
    direction: str
    rim_speed_ratio: float
    heat_J_per_m: float


@dataclass(frozen=True)
class BodySolution:
    """What all lines together do to one body: magnitude [N] and vector [N] (None without coordinates)."""

    load_N: float
    vector_N: tuple[float, ...] | None = None


@dataclass(frozen=True)
class BlockSolution:
    """One block: load on its pin, with the becket's line added [N]; wrap [rad] of its (first) contact."""

    pin_N: float
    with_becket_N: float
    wrap_rad: float


@dataclass(frozen=True)
class LettingBack:
    """The same rig let back slowly under the same load.

    ``holds_itself`` means friction alone holds the load; then no effort is given.
    """

    effort_N: float | None
    load_per_effort: float | None
    tensions_N: Mapping[str, tuple[float, ...]]
    holds_itself: bool = False


@dataclass(frozen=True, kw_only=True)
class RigSolution(Record):
    """Everything the solver knows about one rig, hauling slowly and steadily.

    Attributes
    ----------
    rig : str
        Name of the rig.
    path : str
        The rig in one-line notation, empty if it was not given that way.
    sentence : str
        The rig as understood, one plain sentence.
    mode : str
        ``line`` or ``ground``.
    law : str
        Friction law in words.
    ideal_advantage, advantage, rig_efficiency, winch_share : float
        Load ÷ effort without and with friction; their quotient; effort ÷ load.
    resistance_N : float
        Resistance of the load [N].
    effort_N : mapping drum -> float
        Tension at each drum [N].
    travel_ratio : mapping drum -> float
        Metres of line taken in per metre of load travel.
    lines, contacts, bodies, blocks
        See the classes above, by name.
    side_pull_N : float
        Force across the load's direction that its wheels or guide carry [N].
    positions_m : mapping or None
        Places of the blocks [m].
    letting_back : LettingBack or None
    holding_N : (float, float) or None
        Any effort between these two balances [N].
    stretch : mapping line -> {stretch_m, stored_J} or None
        Stretch [m] and stored energy [J] of every line whose EA is known.
    take_up_m : float or None
        Line the drum takes in before the load moves [m]; None unless the EA of every line is known.
    line_m : mapping drum -> {needed, taken_in} or None
        Sum of the parts of the drum's line [m], nothing added for sheaves, wraps left on the drum or a tail; line taken
        in over the travel [m], None where no travel is known.
    two_blocked_m : None
        Not computed here.
    energy_residual : float
        Work in minus work out and heat, relative to effort × travel; below 1e-9 or the solver is wrong.
    uncertainty : mapping path -> Measured
        Intervals by the path of the value, e.g. ``"advantage"``, ``"effort_N.winch"``, ``"bodies.oak.load_N"``.
    _layout, _roles, _winch_on
        For drawings, never printed: point name -> (body, station along the pull), body -> role, body of the drum.
    """

    kind: ClassVar[str] = "rig-solution"
    rig: str
    path: str = ""
    sentence: str
    mode: str
    law: str
    ideal_advantage: float
    advantage: float
    rig_efficiency: float
    winch_share: float
    resistance_N: float
    effort_N: Mapping[str, float]
    travel_ratio: Mapping[str, float]
    lines: Mapping[str, LineSolution]
    contacts: tuple[ContactSolution, ...]
    bodies: Mapping[str, BodySolution]
    blocks: Mapping[str, BlockSolution]
    side_pull_N: float = 0.0
    positions_m: Mapping[str, tuple[float, ...]] | None = None
    letting_back: LettingBack | None = None
    holding_N: tuple[float, float] | None = None
    stretch: Mapping[str, Mapping[str, float]] | None = None
    take_up_m: float | None = None
    line_m: Mapping[str, Mapping[str, float | None]] | None = None
    two_blocked_m: float | None = None
    energy_residual: float
    uncertainty: Mapping[str, Measured] = field(default_factory=dict)
    _layout: Mapping[str, tuple[str, float]] = field(default_factory=dict)
    _roles: Mapping[str, str] = field(default_factory=dict)
    _winch_on: str = ""
