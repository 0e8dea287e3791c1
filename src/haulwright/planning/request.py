"""What is asked of a plan, worked out once: resistance, frictions of the kit, rope on the drum."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from haulwright.field import drum
from haulwright.field.drum import DrumLayer
from haulwright.field.result import Resistance, ResistanceRule
from haulwright.files.kit import TURNING, Item
from haulwright.files.pull import Pull
from haulwright.planning.friction import ItemFriction, friction_of
from haulwright.planning.layout import Place
from haulwright.planning.resistance import estimate_for


@dataclass(frozen=True)
class Request:
    """A pull with everything derived from it that is the same for all rigs.

    Attributes
    ----------
    pull : Pull
    resistance : Resistance
    friction : mapping item id -> ItemFriction
        Of every block and ring of the kit.
    line : Item or None
        Rope on the drum.
    windings : tuple of tuple of DrumLayer
        Layers of the full drum, once for each way the rope may lie; empty where its sizes or the rope's are not told.
    wraps : float
        Wraps that stay on the drum.
    second_rope : Item or None
        The rope chosen for the second line of a rig, where it has one.
    """

    pull: Pull
    resistance: Resistance
    friction: Mapping[str, ItemFriction]
    line: Item | None
    windings: tuple[tuple[DrumLayer, ...], ...]
    wraps: float
    second_rope: Item | None = None

    @property
    def rule(self) -> ResistanceRule:
        """Return the resistance rule the plan uses."""
        return next(rule for rule in self.resistance.rules if rule.name == self.resistance.chosen)

    @property
    def places(self) -> dict[str, Place]:
        """Return where the anchors stand."""
        return {
            a.name: Place(a.distance if a.side == "ahead" else -a.distance, a.aside)
            for a in self.pull.site.anchors
        }


def build_request(pull: Pull) -> Request:
    """Return the request of a pull.

    Parameters
    ----------
    pull : Pull

    Returns
    -------
    Request

    Raises
    ------
    Refusal
        What cannot be worked out from it, e.g. a surface or a device that is not known.
    """
    line = pull.kit.rope_of(pull.winch)
    turning = [item for item in pull.kit.items if item.kind in TURNING and item.usable]
    return Request(
        pull=pull,
        resistance=estimate_for(pull),
        friction={item.id: friction_of(item, pull.friction) for item in turning},
        line=line,
        windings=_windings(pull, line),
        wraps=_wraps(pull, line),
    )


def _windings(pull: Pull, line: Item | None) -> tuple[tuple[DrumLayer, ...], ...]:
    size, winch = pull.winch.drum, pull.winch
    if size is None or line is None or line.diameter is None or line.length is None:
        return ()
    lays = drum.LAYS if winch.lay is None else (winch.lay,)
    return tuple(
        drum.layers(size.barrel, size.width, line.diameter, line.length, winch.line_pull, lay) for lay in lays
    )


def _wraps(pull: Pull, line: Item | None) -> float:
    if pull.winch.least_wraps is not None:
        return pull.winch.least_wraps
    return drum.least_wraps("wire" if line is not None and line.wire else "fibre")
