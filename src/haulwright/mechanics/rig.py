"""What a rig is: bodies, blocks, lines and a load.

A line is an ordered path of points from its standing end to its fall (the end on a drum) or its other made-fast end.
Interior points are contacts: the line turns over a block there. Every point lies on a body; a floating block is a body
of its own. Everything is immutable; positions are 3-vectors [m], in a rig drawn without places they are stations on the
x axis of which only the order counts.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from haulwright.errors import RigRefusal
from haulwright.mechanics.sheave import Law

Vec = tuple[float, float, float]
AXES: tuple[Vec, ...] = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
ZERO: Vec = (0.0, 0.0, 0.0)
ANCHOR, LOAD, FLOATING = "anchor", "load", "floating"


@dataclass(frozen=True)
class Body:
    """Something lines pull on: an anchor (does not move), the load, or a floating block.

    Attributes
    ----------
    name : str
    role : str
        ``anchor``, ``load`` or ``floating``.
    at : Vec
        Place [m], or station.
    eyes : mapping name -> Vec
        Offsets of eyes from the place [m].
    limit_N : float or None
        What it may carry [N]; None where nothing says so.
    limit_source : str
        Who or what vouches for that.
    """

    name: str
    role: str
    at: Vec
    eyes: Mapping[str, Vec] = field(default_factory=dict)
    limit_N: float | None = None
    limit_source: str = ""


@dataclass(frozen=True)
class Block:
    """Something a line turns round, fixed to a body.

    Attributes
    ----------
    name, body : str
    eye : str or None
    law : Law or None
        Its own friction law; None takes the rig's.
    turn_rad : float or None
        Wrap given by the rig file [rad] where there are no places.
    seized : bool
    wll_N : float or None
    device : str or None
        Name of the piece itself; blocks of one device share the error of its friction.
    seized_mu : float or None
        Friction coefficient of its seized sheave [-]; None takes the middle of the published range.
    sheave_m : float or None
        Diameter of its sheave [m], for the line that lies round it.
    mass_kg, heat_capacity_J_per_kgK : float or None
        For the upper bound of its warming; None where not given.
    """

    name: str
    body: str
    eye: str | None = None
    law: Law | None = None
    turn_rad: float | None = None
    seized: bool = False
    wll_N: float | None = None
    device: str | None = None
    seized_mu: float | None = None
    sheave_m: float | None = None
    mass_kg: float | None = None
    heat_capacity_J_per_kgK: float | None = None


@dataclass(frozen=True)
class Point:
    """One point of a line: a body, one of its eyes, a block (contact) or a block's becket (end)."""

    body: str
    label: str
    block: str | None = None
    eye: str | None = None


@dataclass(frozen=True)
class Rope:
    """What is known of the rope of a line; None where it is not given.

    Attributes
    ----------
    EA_N : float or None
        Axial stiffness: modulus × metallic (or fibre) area [N].
    break_N : float or None
        Breaking force [N].
    diameter_m : float or None
    """

    EA_N: float | None = None
    break_N: float | None = None
    diameter_m: float | None = None


@dataclass(frozen=True)
class Line:
    """One rope. ``points`` run from the standing end to the fall; ``drum`` is the winch's name or None.

    Attributes
    ----------
    name : str
    points : tuple of Point
    drum : str or None
    length_m : float or None
        Fixed length of a line without a drum, from end to end [m]; used where blocks find their place.
    strap : bool
        True for a strap or leg a block hangs by.
    rope : Rope or None
        Its rope, for stretch and stored energy.
    stated_m : float or None
        How much line there is [m], held against what the parts need.
    slack_m : float or None
        How much longer the line is than its path as drawn [m], for lines that share a load.
    tail_m : float
        Line beyond its standing end: hitch and tail [m].
    step : float
        Of a line with both ends on a stepped drum: radius of the small step, which pays out at the standing end, over
        that of the large one [-]; 0 where only the fall goes to a drum.
    """

    name: str
    points: tuple[Point, ...]
    drum: str | None = None
    length_m: float | None = None
    strap: bool = False
    rope: Rope | None = None
    stated_m: float | None = None
    slack_m: float | None = None
    tail_m: float = 0.0
    step: float = 0.0

    @property
    def contacts(self) -> range:
        """Indices of the interior points."""
        return range(1, len(self.points) - 1)


@dataclass(frozen=True)
class Winch:
    """What is stated of one winch; None where nothing is.

    Attributes
    ----------
    pull_N : float or None
        Its line pull [N].
    speed_m_s : float or None
        Speed at which it takes in line [m/s].
    capacity_m : float or None
        Line its drum holds [m].
    kept_m : float or None
        Line of the wraps that must stay on [m].
    on_drum_m : float or None
        Line on the drum at the start [m].
    stall_N : float or None
        Its line pull at stall [N].
    """

    pull_N: float | None = None
    speed_m_s: float | None = None
    capacity_m: float | None = None
    kept_m: float | None = None
    on_drum_m: float | None = None
    stall_N: float | None = None


@dataclass(frozen=True)
class Gap:
    """Two points that close on each other, by block or body: how far apart they start and how near they may come [m]."""

    from_: str
    to: str
    start_m: float | None = None
    least_m: float | None = None


@dataclass(frozen=True)
class Wanted:
    """What is wanted of the pull: travel of the load and least gap between blocks [m]; None where not said."""

    travel_m: float | None = None
    least_gap_m: float | None = None


@dataclass(frozen=True)
class Rig:
    """Lines, blocks, anchors and load together.

    Attributes
    ----------
    name : str
    bodies, blocks, lines : mapping by name
    direction : Vec
        Unit vector along which the load should move.
    resistance_N : float or None
        Resistance of the load along its travel [N]; None if not given.
    law : Law or None
        Friction law of every block without its own; None if no friction is given.
    mode : str
        ``line`` or ``ground``.
    path : str
        One-line notation, empty where the rig came from a file.
    placed : bool
        True where bodies have coordinates in metres.
    unused : tuple of str
        What the rig file gives and no part of the solver uses, to be told.
    winches : mapping drum -> Winch
        What is stated of the winches; a drum that is not in it has neither pull nor speed stated.
    free_load : bool
        True where nothing guides the load, so that its lines must hold it sideways too.
    pull_along : Vec or None
        Unit vector opposite to the force on the load; None where that is a resistance against ``direction``.
    gaps : tuple of Gap
        Gaps stated between blocks.
    wanted : Wanted
        Travel and least gap wanted.
    """

    name: str
    bodies: Mapping[str, Body]
    blocks: Mapping[str, Block]
    lines: Mapping[str, Line]
    direction: Vec
    resistance_N: float | None = None
    law: Law | None = None
    mode: str = "line"
    path: str = ""
    placed: bool = False
    unused: tuple[str, ...] = ()
    winches: Mapping[str, Winch] = field(default_factory=dict)
    free_load: bool = False
    pull_along: Vec | None = None
    gaps: tuple[Gap, ...] = ()
    wanted: Wanted = Wanted()

    @property
    def load(self) -> Body:
        """The body that is to be pulled."""
        return next(body for body in self.bodies.values() if body.role == LOAD)

    @property
    def floating(self) -> tuple[Body, ...]:
        """The floating blocks."""
        return tuple(body for body in self.bodies.values() if body.role == FLOATING)

    @property
    def finds_places(self) -> bool:
        """Whether blocks are free on the ground, so that their places follow from the balance."""
        return self.mode == "ground" and bool(self.floating)

    @property
    def drums(self) -> dict[str, Line]:
        """The line of every drum."""
        return {line.drum: line for line in self.lines.values() if line.drum}

    @property
    def several(self) -> bool:
        """Whether the rig has more than one winch."""
        return len(self.drums) > 1

    @property
    def stated_pulls(self) -> dict[str, float]:
        """The line pull of every drum that has one stated [N]."""
        stated = {drum: self.winches.get(drum, Winch()).pull_N for drum in self.drums}
        return {drum: pull for drum, pull in stated.items() if pull is not None}

    @property
    def stated_stall(self) -> float | None:
        """The line pull at stall that is stated, the greatest of several winches [N]; None where none is."""
        return max((w.stall_N for w in self.winches.values() if w.stall_N is not None), default=None)

    @property
    def hauling_line(self) -> Line:
        """The line that goes to the drum, for what holds for one winch only.

        Raises
        ------
        RigRefusal
            UNSUPPORTED where there are several winches.
        """
        if self.several:
            names = tuple(self.drums)
            raise RigRefusal(
                "UNSUPPORTED",
                f"{self.name} has {len(names)} winches ({', '.join(names)}); this is for a rig with one winch.",
                names,
            )
        return next(iter(self.drums.values()))

    @property
    def winch_on(self) -> str:
        """Name of the body that carries the drum of a rig with one winch."""
        return self.hauling_line.points[-1].body

    @property
    def along(self) -> Vec:
        """Unit vector along which the lines must pull the load: against its resistance, or against the force on it."""
        return self.pull_along or self.direction

    @property
    def in_space(self) -> bool:
        """Whether anything lies, or the load goes, out of the plane z = 0."""
        heights = [self.direction[2], self.along[2]]
        for body in self.bodies.values():
            heights += [body.at[2], *(eye[2] for eye in body.eyes.values())]
        return any(heights)

    @property
    def load_axes(self) -> tuple[Vec, ...]:
        """The directions in which the load can move: its direction, or every axis where nothing guides it."""
        return AXES[: 3 if self.in_space else 2] if self.free_load else (self.direction,)

    @property
    def contacts_from_drum(self) -> tuple[str, ...]:
        """Blocks in the order the lines meet them from the drum, one entry per contact."""
        lines = sorted(self.lines.values(), key=lambda line: line.drum is None)
        return tuple(line.points[i].block or "" for line in lines for i in reversed(line.contacts))

    def place(self, point: Point) -> Vec:
        """Return where a point lies [m]."""
        body = self.bodies[point.body]
        eye = point.eye or (self.blocks[point.block].eye if point.block else None)
        if eye is None:
            return body.at
        offset = body.eyes[eye]
        return (body.at[0] + offset[0], body.at[1] + offset[1], body.at[2] + offset[2])
