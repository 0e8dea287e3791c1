"""How a rig lies on the ground: line needed, travel of one set-up, set-ups, and the drum layers met.

The stuck vehicle stands at 0, anchors at their distance along the pull and aside of it. A floating block starts where
the second rope lets it and stops at the least gap before the next body.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from haulwright.errors import PlanRefusal
from haulwright.field import drum
from haulwright.field.drum import DrumLayer
from haulwright.mechanics.rig import Line, Rig

_CLOSE_m = 1e-6


class Lacking(Exception):  # noqa: N818 - not an error of the user's: the reason a rig is rejected
    """What a rig lacks here, in words."""


@dataclass(frozen=True)
class Place:
    """Place of a body [m]: along the pull from the stuck vehicle's start, and aside of it."""

    along_m: float
    aside_m: float = 0.0

    def to(self, other: Place) -> float:
        """Return the distance to another place [m]."""
        return math.hypot(self.along_m - other.along_m, self.aside_m - other.aside_m)


@dataclass(frozen=True)
class Layout:
    """Lengths of one rig on this site.

    Attributes
    ----------
    path_m : float
        Winch line outside the drum at the start of the first set-up [m].
    travel_m : float
        Travel of the stuck vehicle in one set-up [m], at most what is wanted.
    setups : int
        Times the rig is set for the travel wanted.
    taken_in_m : float
        Winch line taken in during the longest set-up [m].
    """

    path_m: float
    travel_m: float
    setups: int
    taken_in_m: float


def line_length(line: Line, places: Mapping[str, Place]) -> float:
    """Return the length of a line along its points [m]."""
    spots = [places[point.body] for point in line.points]
    return sum(a.to(b) for a, b in pairwise(spots))


def lay_out(
    rig: Rig, anchors: Mapping[str, Place], travel_m: float, gap_m: float, second_rope_m: float | None
) -> Layout:
    """Return the lengths of a rig whose one-rope or two-rope geometry is known.

    Parameters
    ----------
    rig : Rig
        With the anchors' real names.
    anchors : mapping name -> Place
    travel_m : float
        Travel of the stuck vehicle wanted [m].
    gap_m : float
        Least gap between neighbouring blocks [m].
    second_rope_m : float or None
        Length of the rope of a two-rope rig [m].

    Raises
    ------
    Lacking
        The anchor is too near for the travel, or the second rope too short or too long.

    Notes
    -----
    A two-rope rig is set as often as its floating block runs out of way: each set-up starts where the second rope,
    pulled straight, puts the block. Its length in the rig does not change while the vehicle moves.
    """
    ahead = [place for name, place in anchors.items() if place.along_m > 0.0 and _reaches(rig, name)]
    if not ahead:
        raise Lacking(f"an anchor ahead of {rig.load.name}")
    least_m = min(place.to(Place(0.0)) for place in ahead)
    if travel_m > least_m - gap_m + _CLOSE_m:
        raise Lacking(
            f"the nearest anchor of the rig stands {least_m:.1f} m off: {least_m - gap_m:.1f} m of travel before the "
            f"blocks are {gap_m:g} m apart, {travel_m:g} m wanted"
        )
    if not rig.floating:
        start = {**anchors, rig.load.name: Place(0.0)}
        end = {**anchors, rig.load.name: Place(travel_m)}
        path = line_length(rig.hauling_line, start)
        if path - line_length(rig.hauling_line, end) <= _CLOSE_m:
            raise Lacking(f"a winch line that gets shorter as {rig.load.name} moves ahead")
        return Layout(path, travel_m, 1, path - line_length(rig.hauling_line, end))
    if len(rig.floating) > 1 or second_rope_m is None:
        what = (
            "the length of its second rope"
            if rig.floating and second_rope_m is None
            else "one floating block only"
        )
        raise Lacking(f"{what}: its travel cannot be worked out")
    far_m = min(place.along_m for place in ahead) - gap_m
    return _two_ropes(rig, anchors, (travel_m, gap_m, far_m), second_rope_m)


def _reaches(rig: Rig, anchor: str) -> bool:
    """Return whether a part runs from the load or a floating block to this anchor."""
    moving = {rig.load.name, *(body.name for body in rig.floating)}
    for line in rig.lines.values():
        for a, b in pairwise(line.points):
            if (a.body == anchor and b.body in moving) or (b.body == anchor and a.body in moving):
                return True
    return False


def _two_ropes(
    rig: Rig, anchors: Mapping[str, Place], way: tuple[float, float, float], rope_m: float
) -> Layout:
    travel_m, gap_m, far_m = way
    load, moving = rig.load.name, rig.floating[0].name
    second = next(line for line in rig.lines.values() if not line.drum)

    def places(at_m: float, block_m: float) -> dict[str, Place]:
        return {**anchors, load: Place(at_m), moving: Place(block_m)}

    def block_at(at_m: float) -> float | None:
        """Return where the second rope puts the floating block, None where it does not reach or hangs slack."""
        near, far = at_m + gap_m, far_m
        a, b = (line_length(second, places(at_m, x)) - rope_m for x in (near, far))
        if near > far or a * b > 0.0:
            return None
        for _ in range(60):
            middle = (near + far) / 2.0
            value = line_length(second, places(at_m, middle)) - rope_m
            near, far, a = (middle, far, value) if a * value > 0.0 else (near, middle, a)
        return (near + far) / 2.0

    done, setups, longest, path = 0.0, 0, 0.0, 0.0
    while done < travel_m - _CLOSE_m:
        begin = block_at(done)
        if begin is None:
            raise Lacking(_no_fit(second, places(done, done + gap_m), places(done, far_m), rope_m, done))
        run = _run(block_at, done, travel_m)
        if run < 0.1:
            raise Lacking(
                f"the floating block has no way left after {done:.1f} m of travel: a second rope of other length"
            )
        before = line_length(rig.hauling_line, places(done, begin))
        after = line_length(rig.hauling_line, places(done + run, block_at(done + run) or begin))
        path, longest = max(path, before), max(longest, before - after)
        done, setups = done + run, setups + 1
    return Layout(path, travel_m / setups, setups, longest)


def _run(block_at: Callable[[float], float | None], done: float, travel_m: float) -> float:
    """Return how far the load travels from ``done`` before the floating block runs out of way [m]."""
    low, high = done, travel_m
    if block_at(high) is not None:
        return high - done
    for _ in range(50):
        middle = (low + high) / 2.0
        low, high = (middle, high) if block_at(middle) is not None else (low, middle)
    return low - done


def _no_fit(
    second: Line, near: Mapping[str, Place], far: Mapping[str, Place], rope_m: float, done: float
) -> str:
    lengths = sorted((line_length(second, near), line_length(second, far)))
    after = f" after {done:.1f} m of travel" if done > 0.0 else ""
    return f"a second rope of {lengths[0]:.1f} to {lengths[1]:.1f} m{after} (this one is {rope_m:.1f} m)"


@dataclass(frozen=True)
class DrumUse:
    """What the drum does during the pull.

    Attributes
    ----------
    lowest, highest : DrumLayer
        Layers met at the start (stall pull is greatest) and at the end (line pull is least), each of the winding in
        which it is the more so.
    needed_m, have_m : float
        Line needed with the wraps that stay on, and line there is [m].
    spans : tuple of (DrumLayer, float)
        Line wound layer by layer in one set-up [m].
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
        The line is too short for the rig.
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


def _use(wound: tuple[DrumLayer, ...], wraps: float, layout: Layout) -> DrumUse:
    have = wound[-1].cumulative_m
    try:
        kept = have - drum.usable_line(wound, wraps)
    except PlanRefusal as short:
        raise Lacking(short.message) from None
    needed = layout.path_m + kept
    if needed > have + _CLOSE_m:
        raise Lacking(f"{needed:.1f} m of line with {wraps:g} wraps left on, {have:.1f} m on the drum")
    start = have - layout.path_m
    spans = drum.spans(wound, start, layout.taken_in_m)
    return DrumUse(spans[0][0], spans[-1][0], needed, have, spans)
