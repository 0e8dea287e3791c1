"""How a rig lies on the ground: line needed, travel of one set-up, set-ups, and the rig where each of them begins.

The stuck vehicle stands at 0, anchors at their places. A floating block starts where the rope it hangs on lets it and
stops at the least gap before the next body; then it is set anew.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise

from haulwright.mechanics.rig import Line, Rig, Vec
from haulwright.planning.ground import Place, grounded
from haulwright.planning.lacking import Lacking

AHEAD: Vec = (1.0, 0.0, 0.0)
SHORTEST_m = 0.1  # a set-up that gains less is none
MOST_SETUPS = 12
_CLOSE_m = 1e-6


@dataclass(frozen=True)
class Start:
    """One set-up: how far the vehicle has come before it [m], its travel [m], the rig where it begins and where it ends."""

    done_m: float
    travel_m: float
    rig: Rig
    end: Rig


@dataclass(frozen=True)
class Layout:
    """Lengths of one rig on this site.

    Attributes
    ----------
    path_m : float
        Most winch line outside the drum, at the start of a set-up [m].
    travel_m : float
        Mean travel of the stuck vehicle in one set-up [m], at most what is wanted.
    setups : int
        Times the rig is set for the travel wanted.
    taken_in_m : float
        Winch line taken in during the longest set-up [m].
    starts : tuple of Start
        Every set-up.
    """

    path_m: float
    travel_m: float
    setups: int
    taken_in_m: float
    starts: tuple[Start, ...] = ()


@dataclass(frozen=True)
class Site:
    """What the lengths of a rig follow from.

    Attributes
    ----------
    anchors : mapping body -> Place
        Every body of the rig that does not move.
    travel_m, gap_m : float
        Travel wanted and least gap between neighbouring blocks [m].
    direction : Vec
        Of the pull.
    hang_m : float
        How far a block may hang from its anchor on its strap [m]: kept beside the gap.
    """

    anchors: Mapping[str, Place]
    travel_m: float
    gap_m: float
    direction: Vec = AHEAD
    hang_m: float = 0.0

    def load(self, done_m: float) -> Place:
        """Return where the load stands after some travel."""
        return Place(done_m * self.direction[0], done_m * self.direction[1])

    def ahead_m(self, place: Place) -> float:
        """Return how far a place lies along the pull [m]."""
        return place.along_m * self.direction[0] + place.aside_m * self.direction[1]

    def beside_m(self, place: Place) -> float:
        """Return how far a place lies beside the line of the pull [m], above 0 to the left of it."""
        return place.aside_m * self.direction[0] - place.along_m * self.direction[1]


def line_length(line: Line, places: Mapping[str, Place]) -> float:
    """Return the length of a line along its points [m]."""
    spots = [places[point.body] for point in line.points]
    return sum(a.to(b) for a, b in pairwise(spots))


def reached(rig: Rig) -> set[str]:
    """Return the fixed bodies to which a part runs from the load or from a floating block."""
    moving = {rig.load.name, *(body.name for body in rig.floating)}
    found = set()
    for line in rig.lines.values():
        for a, b in pairwise(line.points):
            if (a.body in moving) != (b.body in moving):
                found.add(b.body if a.body in moving else a.body)
    return found


def check_reach(rig: Rig, site: Site) -> None:
    """Check that an anchor stands ahead, and far enough for the travel wanted with the least gap kept.

    Raises
    ------
    Lacking
    """
    ahead = [site.anchors[name] for name in reached(rig) if site.ahead_m(site.anchors[name]) > 0.0]
    if not ahead:
        where = "ahead of" if site.direction[0] > 0.0 else "behind"
        raise Lacking(f"an anchor {where} {rig.load.name}", "place")
    least_m = min(_way_m(place, site) for place in ahead)
    if site.travel_m > least_m + _CLOSE_m:
        off = min(place.to(site.load(0.0)) for place in ahead)
        strap = f", one {site.hang_m:g} m from the anchor on its strap" if site.hang_m else ""
        raise Lacking(
            f"room for the travel: the nearest anchor of the rig stands {off:.1f} m off: {max(least_m, 0.0):.1f} m of "
            f"travel before the blocks are {site.gap_m:g} m apart{strap}, {site.travel_m:g} m wanted",
            "place",
        )


def _way_m(place: Place, site: Site) -> float:
    """Return the travel until the load is a gap away from a place, or abreast of it [m]."""
    along, beside = site.ahead_m(place), abs(site.beside_m(place))
    return along - math.sqrt(max((site.gap_m + site.hang_m) ** 2 - beside**2, 0.0))


def fixed_layout(rig: Rig, site: Site) -> Layout:
    """Return the lengths of a rig without floating blocks: it is set once.

    Raises
    ------
    Lacking
        The anchor is too near for the travel, or the winch line gets no shorter.
    """
    check_reach(rig, site)
    load, line = rig.load.name, rig.hauling_line
    start, end = ({**site.anchors, load: site.load(done)} for done in (0.0, site.travel_m))
    path = line_length(line, start)
    taken_in = path - line_length(line, end)
    if taken_in <= _CLOSE_m:
        raise Lacking(f"a winch line that gets shorter as {load} comes along", "place")
    placed = (grounded(rig, places, site.direction) for places in (start, end))
    return Layout(path, site.travel_m, 1, taken_in, (Start(0.0, site.travel_m, *placed),))


def placed_length(rig: Rig) -> float:
    """Return the length of the winch line of a rig on the ground [m]."""
    return sum(math.dist(rig.place(a), rig.place(b)) for a, b in pairwise(rig.hauling_line.points))


def of_starts(rig: Rig, starts: list[Start]) -> Layout:
    """Return the lengths over several set-ups.

    Raises
    ------
    Lacking
        The winch line gets no shorter.
    """
    paths = [placed_length(one.rig) for one in starts]
    taken_in = max(path - placed_length(one.end) for path, one in zip(paths, starts, strict=True))
    if taken_in <= _CLOSE_m:
        raise Lacking(f"a winch line that gets shorter as {rig.load.name} comes along", "place")
    travel = sum(one.travel_m for one in starts)
    return Layout(max(paths), travel / len(starts), len(starts), taken_in, tuple(starts))


def no_way(done_m: float) -> str:
    """Return that a floating block has run out of way, in words."""
    return f"the floating block has no way left after {done_m:.1f} m of travel: a second rope of other length"
