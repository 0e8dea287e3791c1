"""What is asked of a plan, worked out once: resistance, frictions of the kit, rope on the drum."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from haulwright.catalogue import row
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
    wound : tuple of DrumLayer or None
        Layers of the full drum; None where its sizes or the rope's are not told.
    wraps : float
        Wraps that stay on the drum.
    second_rope : Item or None
        The rope chosen for the second line of a rig, where it has one.
    """

    pull: Pull
    resistance: Resistance
    friction: Mapping[str, ItemFriction]
    line: Item | None
    wound: tuple[DrumLayer, ...] | None
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
        wound=_wound(pull, line),
        wraps=_wraps(pull, line),
    )


def _wound(pull: Pull, line: Item | None) -> tuple[DrumLayer, ...] | None:
    size = pull.winch.drum
    if size is None or line is None or line.diameter is None or line.length is None:
        return None
    return drum.layers(
        size.barrel, size.width, line.diameter, line.length, pull.winch.line_pull, pull.winch.lay
    )


def _wraps(pull: Pull, line: Item | None) -> float:
    if pull.winch.least_wraps is not None:
        return pull.winch.least_wraps
    return row("rules", "least-wraps-wire" if line is not None and line.wire else "least-wraps-fibre").si
