"""Floating blocks in one straight line from the load to one place: their places follow from the ropes' lengths alone."""

from __future__ import annotations

import math
from collections.abc import Mapping
from itertools import pairwise

from haulwright.mechanics import linear
from haulwright.mechanics.rig import ANCHOR, Point, Rig
from haulwright.planning.ground import Place, grounded
from haulwright.planning.lacking import Lacking
from haulwright.planning.layout import MOST_SETUPS, Layout, SHORTEST_m, Site, Start, no_way, of_starts

_CLOSE_m = 1e-6


class StraightRig:
    """The floating blocks of a rig whose bodies all lie between its load and one place.

    Distances from the load are ``p = a + b D`` with D the distance of that place: every length is a sum of differences
    of places, so it is linear in them while they keep their order.
    """

    def __init__(self, rig: Rig, ropes_m: Mapping[str, float], hang_m: float = 0.0) -> None:
        self.rig, self.ropes_m, self.hang_m = rig, ropes_m, hang_m
        at = sorted(rig.bodies.values(), key=lambda body: body.at[0])
        order = [body.name for body in reversed(at) if body.role != ANCHOR]  # from the load on
        self.order = [rig.load.name, *(name for name in order if name != rig.load.name)]
        self.floating = self.order[1:]
        rows, given = [], []
        for name, length in ropes_m.items():
            row, far = self.row(rig.lines[name].points)
            rows.append(row)
            given.append((length, far))
        self.at = self._solve(rows, given)

    def row(self, points: tuple[Point, ...]) -> tuple[list[float], float]:
        """Return how the length of a line depends on the floating blocks' distances, and on the place's."""
        row, far = [0.0] * len(self.floating), 0.0
        for a, b in pairwise(points):
            i, j = self._rank(a.body), self._rank(b.body)
            for rank, sign in ((max(i, j), 1.0), (min(i, j), -1.0)):
                if rank > len(self.floating):
                    far += sign if i != j else 0.0
                elif rank > 0 and i != j:
                    row[rank - 1] += sign
        return row, far

    def _rank(self, body: str) -> int:
        return self.order.index(body) if body in self.order else len(self.order)

    def _solve(
        self, rows: list[list[float]], given: list[tuple[float, float]]
    ) -> list[tuple[float, float]] | None:
        if len(rows) != len(self.floating):
            return None
        fixed = linear.solve([list(row) for row in rows], [length for length, _ in given])
        with_far = linear.solve([list(row) for row in rows], [-far for _, far in given])
        if fixed is None or with_far is None:
            return None
        return list(zip(fixed, with_far, strict=True))

    def distances(self, far_m: float) -> list[float]:
        """Return the distances of load, floating blocks and place from the load [m]."""
        return [0.0, *(a + b * far_m for a, b in self.at or ()), far_m]

    def gap(self, far_m: float) -> float:
        """Return the least gap of two neighbours, below 0 where they would have passed each other [m]."""
        along = [*self.distances(far_m)[:-1], far_m - self.hang_m]
        return min(b - a for a, b in pairwise(along))

    def nearest_m(self, far_m: float, gap_m: float) -> float:
        """Return how near the place may come until two neighbours are a gap apart [m]."""
        here = [*(self.at or ())]
        ends = [(0.0, 0.0), *here, (-self.hang_m, 1.0)]
        least = 0.0
        for (a, b), (c, d) in pairwise(ends):
            if d - b > 1e-12:  # they close as the place comes nearer
                least = max(least, (gap_m - (c - a)) / (d - b))
        return least


def straight(
    rig: Rig, site: Site, ropes_m: Mapping[str, float], place: Place, take_up: bool = False
) -> Layout:
    """Return the lengths of a rig whose floating blocks lie between its load and one place.

    Parameters
    ----------
    rig, site, ropes_m : as :func:`haulwright.planning.floating.lay_out`
    place : Place
        Of the anchors its moving blocks are joined to.
    take_up : bool
        The one rope without a drum is made fast shorter at every set-up, so that its block has the most way.

    Raises
    ------
    Lacking
        Ropes too short, too long or in one place only.
    """
    ahead, beside = site.ahead_m(place), site.beside_m(place)
    starts: list[Start] = []
    done = 0.0
    while done < site.travel_m - _CLOSE_m:
        far = site.load(done).to(place)
        ropes = _taken_up(rig, ropes_m, far, (site.gap_m, site.hang_m)) if take_up else ropes_m
        on_line = StraightRig(rig, ropes, site.hang_m)
        if on_line.at is None:
            raise Lacking(
                "ropes that hold its floating blocks in one place only: its travel cannot be worked out",
                "rope",
            )
        if on_line.gap(far) < site.gap_m - _CLOSE_m:
            raise Lacking(_no_fit(on_line, far, site.gap_m, done), "rope")
        near = on_line.nearest_m(far, site.gap_m)
        reach = ahead - math.sqrt(near**2 - beside**2) if near > abs(beside) else ahead
        run = min(reach, site.travel_m) - done
        if run < SHORTEST_m or len(starts) == MOST_SETUPS:
            raise Lacking(no_way(done), "rope")
        ground = (
            grounded(rig, _places(on_line, site, place, at), site.direction, on_line.ropes_m)
            for at in (done, done + run)
        )
        starts.append(Start(done, run, *ground))
        done += run
    return of_starts(rig, starts)


def _places(on_line: StraightRig, site: Site, place: Place, done_m: float) -> dict[str, Place]:
    load = site.load(done_m)
    far = load.to(place)
    u = ((place.along_m - load.along_m) / far, (place.aside_m - load.aside_m) / far)
    at = {
        name: Place(load.along_m + d * u[0], load.aside_m + d * u[1])
        for name, d in zip(on_line.order, on_line.distances(far), strict=False)
    }
    return {**site.anchors, **at}


def _taken_up(
    rig: Rig, ropes_m: Mapping[str, float], far_m: float, gaps_m: tuple[float, float]
) -> dict[str, float]:
    """Return the rope as short as it must be made fast for its block to start at the end it runs away from.

    It is never longer than it is. Its length is ``row p + far D`` with p the distance of the block from the load.
    """
    ((name, most),) = ropes_m.items()
    row, far = StraightRig(rig, ropes_m).row(rig.lines[name].points)
    runs_out = row[0] * far > 0.0  # away from the load, towards the place
    start = gaps_m[0] if runs_out else far_m - sum(gaps_m)
    return {name: min(row[0] * start + far * far_m, most)}


def _no_fit(on_line: StraightRig, far_m: float, gap_m: float, done_m: float) -> str:
    after = f" after {done_m:.1f} m of travel" if done_m > 0.0 else ""
    have = " and ".join(f"{length:.1f} m" for length in on_line.ropes_m.values())
    if len(on_line.floating) > 1:
        return f"ropes of other lengths{after}: with {have} its blocks have no room between load and anchor"
    (name,) = on_line.ropes_m
    row, far = on_line.row(on_line.rig.lines[name].points)
    lengths = sorted(row[0] * p + far * far_m for p in (gap_m, far_m - gap_m - on_line.hang_m))
    return f"a second rope of {lengths[0]:.1f} to {lengths[1]:.1f} m{after} (this one is {have})"
