"""Floating blocks between several places: they find their balance, and the rig is stepped along its travel."""

from __future__ import annotations

import math
from collections.abc import Mapping
from itertools import pairwise

from haulwright.errors import RigRefusal
from haulwright.mechanics.core import solve_core
from haulwright.mechanics.rig import ANCHOR, FLOATING, Rig
from haulwright.planning.ground import UNIT_N, Place, grounded, moved
from haulwright.planning.lacking import Lacking
from haulwright.planning.layout import MOST_SETUPS, Layout, SHORTEST_m, Site, Start, no_way, of_starts

_PASSES = 30
_NEAR_m = 1e-3
_CLOSE_m = 1e-6


def stepped(rig: Rig, site: Site, ropes_m: Mapping[str, float]) -> Layout:
    """Return the lengths of a rig whose blocks find their balance between several places, without friction."""
    starts: list[Start] = []
    done = 0.0
    while done < site.travel_m - _CLOSE_m:
        begin = _settled(grounded(rig, _spread(rig, site, done), site.direction, ropes_m))
        _check_between(begin, site)
        run, end = run_of(begin, site.travel_m - done, (site.gap_m, site.hang_m))
        if run < SHORTEST_m or len(starts) == MOST_SETUPS:
            raise Lacking(no_way(done), "rope")
        starts.append(Start(done, run, begin, end))
        done += run
    return of_starts(rig, starts)


def _settled(rig: Rig) -> Rig:
    try:
        return solve_core(rig, 1.0, UNIT_N, None, ()).moving.rig
    except RigRefusal as refused:
        raise Lacking(f"a place for its floating blocks: {refused.message}", "place") from None


def run_of(begin: Rig, travel_m: float, gaps_m: tuple[float, float]) -> tuple[float, Rig]:
    """Return how far a rig goes until a floating block meets what it runs towards, and the rig there.

    Parameters
    ----------
    begin : Rig
        With its blocks where they balance.
    travel_m : float
        Travel at most [m].
    gaps_m : (float, float)
        Least gap, and what is kept beside it at an anchor [m].

    Notes
    -----
    The whole travel is tried first. If it is too far, the travel at which the least gap is reached, or beyond which there
    is no balance, is found by false position, to 1 mm.
    """
    over, far = _tried(begin, travel_m, gaps_m)
    if far is not None and over >= -_CLOSE_m:
        return travel_m, far
    low, high, room, rig, run = 0.0, travel_m, _room(begin, begin, gaps_m), begin, 0.0
    for _ in range(_PASSES):
        middle = low + (high - low) * max(0.02, min(0.98, room / (room - over)))
        left, tried = _tried(begin, middle, gaps_m)
        if tried is not None and left >= 0.0:
            low, room, rig, run = middle, left, tried, middle
        else:
            high, over = middle, left
        if high - low <= _NEAR_m or (tried is not None and 0.0 <= left <= _NEAR_m / 4.0):
            break
    return run, rig


def _tried(begin: Rig, travel_m: float, gaps_m: tuple[float, float]) -> tuple[float, Rig | None]:
    """Return what is left of the least gap after some travel, and the rig there; None where it finds no balance."""
    try:
        then = _settled(moved(begin, travel_m))
    except Lacking:
        return -gaps_m[0], None
    return _room(begin, then, gaps_m), then


def _room(begin: Rig, then: Rig, gaps_m: tuple[float, float]) -> float:
    """Return what is left of the least gap over all parts of the floating blocks that have got shorter [m]."""
    left = math.inf
    for line in then.lines.values():
        for a, b in pairwise(line.points):
            roles = (then.bodies[a.body].role, then.bodies[b.body].role)
            if FLOATING in roles:
                kept = sum(gaps_m) if ANCHOR in roles else gaps_m[0]
                apart, before = (math.dist(rig.place(a), rig.place(b)) for rig in (then, begin))
                if apart <= before:
                    left = min(left, apart - kept)
    return left


def _spread(rig: Rig, site: Site, done_m: float) -> dict[str, Place]:
    """Return a place for every body, floating blocks spread out between the load and the anchors they are drawn before."""
    load = site.load(done_m)
    ahead = [place for place in site.anchors.values() if site.ahead_m(place) > site.ahead_m(load)]
    middle = Place(
        sum(place.along_m for place in ahead) / len(ahead), sum(place.aside_m for place in ahead) / len(ahead)
    )
    floating = sorted(rig.floating, key=lambda body: -body.at[0])  # from the load on
    places = {**site.anchors, rig.load.name: load}
    for n, body in enumerate(floating, start=1):
        share = n / (len(floating) + 1)
        places[body.name] = Place(
            load.along_m + share * (middle.along_m - load.along_m),
            load.aside_m + share * (middle.aside_m - load.aside_m),
        )
    return places


def _check_between(rig: Rig, site: Site) -> None:
    """Check that every pair of bodies joined by a part is a gap apart."""
    for line in rig.lines.values():
        for a, b in pairwise(line.points):
            apart = math.dist(rig.place(a), rig.place(b))
            roles = (rig.bodies[a.body].role, rig.bodies[b.body].role)
            kept = site.gap_m + (site.hang_m if ANCHOR in roles else 0.0)
            if FLOATING in roles and apart < kept - _CLOSE_m:
                raise Lacking(
                    f"ropes of other lengths: {a.label} and {b.label} lie {apart:.1f} m apart before the pull begins",
                    "rope",
                )
