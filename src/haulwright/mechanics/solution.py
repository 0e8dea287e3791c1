"""The record of a solved rig. Forces in newtons, lengths in metres; parts run from the standing part to the fall."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import ClassVar, NamedTuple, TypedDict

from haulwright.errors import RigRefusal
from haulwright.mechanics.finding_records import Clearance, LawCase, SeizedSolution
from haulwright.mechanics.whereabouts import Whereabouts as Whereabouts
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
    """What all lines together do to one body.

    Attributes
    ----------
    load_N : float
        Magnitude of their sum [N].
    vector_N : tuple of float or None
        The sum [N]; None, like all that follows, without places.
    level_N, up_N : float or None
        Its level part, and its upright part: above 0 it lifts the body, below 0 it presses it down [N].
    height_m : float or None
        z of the body's place [m].
    """

    load_N: float
    vector_N: tuple[float, ...] | None = None
    level_N: float | None = None
    up_N: float | None = None
    height_m: float | None = None


@dataclass(frozen=True)
class BlockSolution:
    """One block.

    Attributes
    ----------
    pin_N, with_becket_N : float
        Load on its pin, and with the becket's line added [N].
    wrap_rad : float
        Wrap of its first contact [rad].
    wraps_rad, between_rad : tuple of float
        Of all its contacts: wrap, and angle between the parts, which is 180° less the wrap [rad].
    vector_N : tuple of float or None
        What it pulls with on what holds it [N]: all lines of a fixed block, the lines on the pin of a floating one. None
        without places.
    rim_speed_ratio : float
        Metres of line over all its sheaves per metre of load travel.
    heat_J_per_m : float
        Heat of all its contacts per metre of load travel [J/m].
    heat_J : float or None
        Heat over the travel wanted [J]; None without one.
    heat_W : float or None
        Heat at the speed stated of the one winch [W]; None without one.
    rise_K : float or None
        Upper bound of its warming over that travel [K]; None unless its mass and material are given.
    """

    pin_N: float
    with_becket_N: float
    wrap_rad: float
    wraps_rad: tuple[float, ...] = ()
    between_rad: tuple[float, ...] = ()
    vector_N: tuple[float, ...] | None = None
    rim_speed_ratio: float = 0.0
    heat_J_per_m: float = 0.0
    heat_J: float | None = None
    heat_W: float | None = None
    rise_K: float | None = None


@dataclass(frozen=True)
class LettingBack:
    """The same rig let back slowly under the same load, by all its winches.

    ``holds_itself`` means friction alone holds the load; then no effort is given. With several winches ``effort_N`` is
    that of the one whose pull is not stated, None if there are more of those; ``efforts_N`` has every drum.
    """

    effort_N: float | None
    load_per_effort: float | None
    tensions_N: Mapping[str, tuple[float, ...]]
    holds_itself: bool = False
    efforts_N: Mapping[str, float] = field(default_factory=dict)


class PartStretch(TypedDict):
    """Stretch [m] and stored energy [J] of one part."""

    stretch_m: float
    stored_J: float


class Stretch(PartStretch):
    """Stretch [m] and stored energy [J] of one line, and of each of its parts."""

    parts: list[PartStretch]


class OneWinch(NamedTuple):
    """Shares of a rig with one winch: load ÷ effort without and with friction, their quotient, effort ÷ load."""

    ideal_advantage: float
    advantage: float
    rig_efficiency: float
    winch_share: float


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
    ideal_advantage, advantage, winch_share : float or None
        Load ÷ effort without and with friction; effort ÷ load. None for several winches: no one effort stands for all.
    rig_efficiency : float or None
        Advantage ÷ ideal; for several winches work on the load ÷ work of all winches. None where no work is done on the
        load.
    resistance_N : float
        Resistance of the load [N].
    effort_N : mapping drum -> float
        Tension at each drum [N].
    travel_ratio : mapping drum -> float
        Metres of line taken in per metre the load travels along its motion; below 0 the drum pays out.
    lines, contacts, bodies, blocks
        See the classes above, by name.
    side_pull_N : float
        Force across the load's direction that its wheels or guide carry [N].
    positions_m : mapping or None
        Places of the blocks [m].
    letting_back : LettingBack or None
    holding_N : (float, float) or None
        Any effort between these two balances [N]; with several winches that of the one whose pull is not stated.
    stretch : mapping line -> {stretch_m, stored_J, parts} or None
        Stretch [m] and stored energy [J] of every line whose EA is known, and the same of each of its parts.
    take_up_m : float or None
        Line the drum takes in before the load moves [m]; None unless the EA of every line is known.
    shares : mapping line -> {share, tension_N, per_10_mm_N} or None
        Of the lines that share a load by their stretch: greatest tension ÷ resistance, that tension [N], and its
        greatest change if one of these lines is 10 mm longer [N], None without a resistance. None where no lines share.
    slack : tuple of str
        Those of them that hang slack.
    per_10_mm : mapping line -> {effort_N, greatest_N, moves_m} or None
        On the ground, of every strap and fixed line: what 10 mm more or less of it change, to first order: the effort, the
        tension of any part [N], the place of any block [m]. None in line, without a load, or where lines share.
    line_m : mapping drum -> {needed, taken_in} or None
        Sum of the parts of the drum's line [m], nothing added for sheaves, wraps left on the drum or a tail; line taken
        in over the travel [m], None where no travel is known.
    two_blocked_m : float or None
        Travel of the load until the first pair of blocks meets [m]; None unless a gap, a travel or a least gap is given.
    clearance : Clearance or None
        Gaps, set-ups and line; None where neither a gap nor a travel nor a drum is known.
    law_source : str
        Where the law is printed; empty without friction.
    law_band : tuple of LawCase
        The law in use and what other published laws give; empty where they agree.
    seized : SeizedSolution or None
        What seized sheaves cost; None if all turn.
    energy_residual : float
        Work in minus work out and heat, relative to effort × travel; below 1e-9 or the solver is wrong.
    uncertainty : mapping path -> Measured
        Intervals by the path of the value, e.g. ``"advantage"``, ``"effort_N.winch"``, ``"bodies.oak.load_N"``.
    _layout, _roles, _winch_on, _whereabouts
        For drawings, never printed: point name -> (body, station along the pull), body -> role, body of the drum
        (empty with several); places and directions of everything.
    """

    kind: ClassVar[str] = "rig-solution"
    rig: str
    path: str = ""
    sentence: str
    mode: str
    law: str
    ideal_advantage: float | None
    advantage: float | None
    rig_efficiency: float | None
    winch_share: float | None
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
    stretch: Mapping[str, Stretch] | None = None
    take_up_m: float | None = None
    shares: Mapping[str, Mapping[str, float | None]] | None = None
    slack: tuple[str, ...] = ()
    per_10_mm: Mapping[str, Mapping[str, float]] | None = None
    line_m: Mapping[str, Mapping[str, float | None]] | None = None
    two_blocked_m: float | None = None
    clearance: Clearance | None = None
    law_source: str = ""
    law_band: tuple[LawCase, ...] = ()
    seized: SeizedSolution | None = None
    energy_residual: float
    uncertainty: Mapping[str, Measured] = field(default_factory=dict)
    _layout: Mapping[str, tuple[str, float]] = field(default_factory=dict)
    _roles: Mapping[str, str] = field(default_factory=dict)
    _winch_on: str = ""
    _whereabouts: Whereabouts | None = None

    @property
    def one_winch(self) -> OneWinch:
        """What holds for one winch only.

        Raises
        ------
        RigRefusal
            UNSUPPORTED where there are several winches.
        """
        if self.ideal_advantage is None or self.advantage is None or self.winch_share is None:
            names = tuple(self.effort_N)
            raise RigRefusal(
                "UNSUPPORTED",
                f"{self.rig} has {len(names)} winches ({', '.join(names)}); this is for a rig with one winch.",
                names,
            )
        efficiency = self.advantage / self.ideal_advantage
        return OneWinch(self.ideal_advantage, self.advantage, efficiency, self.winch_share)
