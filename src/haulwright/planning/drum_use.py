"""What the drum does during the pull: line needed, layers met, line wound layer by layer, room under the flange."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from haulwright.errors import PlanRefusal
from haulwright.field import drum
from haulwright.field.drum import DrumLayer
from haulwright.planning.lacking import Lacking
from haulwright.planning.layout import Layout, placed_length

_CLOSE_m = 1e-6


@dataclass(frozen=True)
class DrumUse:
    """What the drum does during the pull.

    Attributes
    ----------
    lowest, highest : DrumLayer
        The layers met on which stall is greatest and line pull is least, each of the winding in which it is the more so.
    needed_m, have_m : float
        Line needed with the wraps that stay on, and line there is [m].
    spans : tuple of (DrumLayer, float)
        Line wound layer by layer, over all set-ups [m].
    """

    lowest: DrumLayer
    highest: DrumLayer
    needed_m: float
    have_m: float
    spans: tuple[tuple[DrumLayer, float], ...]


def drum_use(windings: Sequence[tuple[DrumLayer, ...]], wraps: float, layout: Layout) -> DrumUse:
    """Return the layers met and the line needed.

    Parameters
    ----------
    windings : sequence of tuple of DrumLayer
        The full drum, once for each way the rope may lie. Not knowing which must not make a load less, nor the winch
        stronger.
    wraps : float
        That stay on the drum.
    layout : Layout

    Raises
    ------
    Lacking
        The line is too short for the rig, or what is wound on does not fit under the flange.
    """
    uses = [_use(wound, wraps, layout) for wound in windings]
    hardest = max(uses, key=lambda use: use.lowest.pull_N)
    weakest = min(uses, key=lambda use: use.highest.pull_N)
    return DrumUse(
        hardest.lowest,
        weakest.highest,
        max(use.needed_m for use in uses),
        weakest.have_m,
        weakest.spans,
    )


def lines_out(layout: Layout) -> tuple[tuple[float, float], ...]:
    """Return the line outside the drum at the start and the end of every set-up [m], without an extension line."""
    if not layout.starts:
        return ((layout.path_m, layout.path_m - layout.taken_in_m),)
    ends = [(placed_length(start.rig), placed_length(start.end)) for start in layout.starts]
    extension_m = max(out for out, _ in ends) - layout.path_m
    return tuple((out - extension_m, end - extension_m) for out, end in ends)


def _use(wound: tuple[DrumLayer, ...], wraps: float, layout: Layout) -> DrumUse:
    have = wound[-1].cumulative_m
    try:
        kept = have - drum.usable_line(wound, wraps)
    except PlanRefusal as short:
        raise Lacking(short.message) from None
    needed = layout.path_m + kept
    if needed > have + _CLOSE_m:
        raise Lacking(f"{needed:.1f} m of line with {wraps:g} wraps left on, {have:.1f} m on the drum")
    out = lines_out(layout)
    most, room = have - min(end for _, end in out), drum.room(wound)
    if most > room + _CLOSE_m:
        raise Lacking(
            f"room on the drum: {most:.1f} m are wound on at the end, {room:.1f} m fit under its flange; the rest would "
            "climb over it"
        )
    spans = tuple(span for start, end in out for span in drum.spans(wound, have - start, start - end))
    layers = sorted((layer for layer, _ in spans), key=lambda layer: layer.number)
    return DrumUse(layers[0], layers[-1], needed, have, spans)
