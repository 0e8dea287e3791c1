"""What is asked of a plan, worked out once for each way and winch: resistance, frictions of the kit, rope on the drum."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from haulwright.errors import PlanRefusal
from haulwright.field import drum
from haulwright.field.drum import DrumLayer
from haulwright.field.result import Resistance, ResistanceRule
from haulwright.files.kit import TURNING, Item
from haulwright.files.place import WinchPlace
from haulwright.files.pull import Pull
from haulwright.mechanics.rig import Vec
from haulwright.planning.friction import ItemFriction, friction_of
from haulwright.planning.ground import Place
from haulwright.planning.resistance import estimate_for
from haulwright.planning.result import Rejected
from haulwright.planning.shared_anchor import SharedAnchor
from haulwright.planning.ways import AHEAD, BACK, end_of, seen, stands_of, ways_of
from haulwright.planning.winch import windings


@dataclass(frozen=True)
class Request:
    """A pull with everything derived from it that is the same for all rigs of one way and one winch.

    Attributes
    ----------
    pull : Pull
        As seen on this way, with this winch; see :func:`haulwright.planning.ways.seen`.
    resistance : Resistance
    friction : mapping item id -> ItemFriction
        Of every block and ring of the kit.
    line : Item or None
        Rope on the drum.
    windings : tuple of tuple of DrumLayer
        Layers of the full drum, once for each way the rope may lie; empty where its sizes or the rope's are not told.
    wraps : float
        Wraps that stay on the drum.
    way : str
        ``ahead`` or ``back``.
    stand : WinchPlace or None
        The winch and where it stands.
    ropes : mapping line -> Item
        The rope chosen for each line without a drum of a rig.
    hang_m : float
        How far a block may hang from its anchor on a strap [m]; kept clear of that beside the least gap.
    rooms_m : mapping body -> float
        Beyond the least gap, between a body of a rig and what its lines run to, the least along the travel [m]: a bridle
        on a vehicle must fit in it.
    shared : mapping body -> SharedAnchor
        Anchors that share a block by a bridle, of a rig that has one.
    extension : Item or None
        An extension line between the winch line and what it is made fast to.
    """

    pull: Pull
    resistance: Resistance
    friction: Mapping[str, ItemFriction]
    line: Item | None
    windings: tuple[tuple[DrumLayer, ...], ...]
    wraps: float
    way: str = AHEAD
    stand: WinchPlace | None = None
    ropes: Mapping[str, Item] = field(default_factory=dict)
    hang_m: float = 0.0
    rooms_m: Mapping[str, float] = field(default_factory=dict)
    shared: Mapping[str, SharedAnchor] = field(default_factory=dict)
    extension: Item | None = None

    @property
    def rule(self) -> ResistanceRule:
        """Return the resistance rule the plan uses."""
        return next(rule for rule in self.resistance.rules if rule.name == self.resistance.chosen)

    @property
    def second_rope(self) -> Item | None:
        """Return the rope of the first line without a drum; None in a rig of one rope."""
        return next(iter(self.ropes.values()), None)

    @property
    def reserved(self) -> frozenset[str]:
        """Return the items that are taken before any other piece is chosen."""
        taken = [*self.ropes.values(), *(one.piece for one in self.shared.values())]
        return frozenset(item.id for item in (*taken, self.extension) if item is not None)

    @property
    def direction(self) -> Vec:
        """Return the direction of the pull on the ground: x ahead of the stuck vehicle, y to its left."""
        return (1.0, 0.0, 0.0) if self.way == AHEAD else (-1.0, 0.0, 0.0)

    @property
    def places(self) -> dict[str, Place]:
        """Return where the anchors stand: along and aside of the way ahead, whichever way is pulled."""
        sign = self.direction[0]
        return {a.name: Place(sign * a.along, sign * a.aside) for a in self.pull.site.anchors}


def build_request(pull: Pull, way: str | None = None, stand: WinchPlace | None = None) -> Request:
    """Return the request of a pull on one way with one winch.

    Parameters
    ----------
    pull : Pull
    way : str or None
        ``ahead`` or ``back``; None takes the one wanted, ahead where either is.
    stand : WinchPlace or None
        None takes the first.

    Returns
    -------
    Request

    Raises
    ------
    Refusal
        What cannot be worked out from it, e.g. a surface or a device that is not known.
    """
    way, stand = way or ways_of(pull)[0], stand or stands_of(pull)[0]
    pull = seen(pull, way, stand)
    line = pull.kit.rope_of(pull.winch)
    turning = [item for item in pull.kit.items if item.kind in TURNING and item.usable]
    return Request(
        pull=pull,
        resistance=estimate_for(pull),
        friction={item.id: friction_of(item, pull.friction) for item in turning},
        line=line,
        windings=windings(pull.winch, line),
        wraps=_wraps(pull, line),
        way=way,
        stand=stand,
    )


def requests_of(pull: Pull) -> tuple[list[Request], list[Rejected]]:
    """Return a request for every way wanted and every winch, and the ways and winches that are out.

    Raises
    ------
    Refusal
        As :func:`build_request`, where no way is left.
    """
    found, rejected, refused = [], [], None
    for way in ways_of(pull):
        for stand in stands_of(pull):
            if stand.on == pull.vehicle.name and stand.end != end_of(way):
                lacks = (
                    f"a winch at the {end_of(way)} of {pull.vehicle.name}; {stand.id} is at its {stand.end}"
                )
                rejected.append(Rejected(f"every rig {_words(way)} with {stand.id}", lacks))
                continue
            try:
                found.append(build_request(pull, way, stand))
            except PlanRefusal as refusal:
                refused = refusal
                lacks = f"a resistance that is known: {refusal.message}"
                rejected.append(Rejected(f"every rig {_words(way)}", lacks))
                break
    if not found and refused is not None:
        raise refused
    return found, rejected


def _words(way: str) -> str:
    return "back" if way == BACK else "ahead"


def _wraps(pull: Pull, line: Item | None) -> float:
    if pull.winch.least_wraps is not None:
        return pull.winch.least_wraps
    return drum.least_wraps("wire" if line is not None and line.wire else "fibre")
