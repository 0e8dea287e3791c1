"""Every rig of fixed blocks on a grid of kits, sites and loads, found anew by a few lines of statics of their own.

Nothing of the package but the survey under test and the resistance it starts from is used here: paths, tensions from
geometry, loads, limits and the search for an assignment of pieces are written out below. A rig is inside if any way to
put the pieces of the kit in it keeps every piece, anchor and the winch within its limit.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import combinations, pairwise, permutations, product
from typing import Any

import pytest

from haulwright.files.pull import read_pull
from haulwright.planning.found import survey
from haulwright.planning.resistance import summary
from haulwright.planning.result import Candidate

LOAD = "wagon"
STALL_kN, MOUNT_kN, POINTS_kN = 42.0, 60.0, (90.0, 90.0)
BARREL_m, ROPE_m, WRAPS, TRAVEL_m = 0.3, 0.011, 5, 5.0
MOST_RATIO = 1.09  # upper end of every block
INSIDE, WITHIN = 0.8, 1.0

SITES: dict[str, dict[str, tuple[float, float, float]]] = {  # ahead, aside [m], limit [kN]
    "oak": {"oak": (10.0, 0.0, 150.0)},
    "weak oak": {"oak": (10.0, 0.0, 75.0)},
    "oak aside": {"oak": (12.0, 3.0, 150.0)},
    "two trees": {"oak": (10.0, 1.0, 150.0), "elm": (12.0, -2.0, 100.0)},
}
SHACKLES: dict[str, tuple[float | None, ...]] = {  # None: not marked
    "strong": (171.0, 131.0, 123.0, 123.0),
    "one strong": (171.0, 51.0, 61.0, 44.0),
    "falling": (131.0, 111.0, 91.0, 54.0),
    "one unmarked": (171.0, None, 111.0),
}
BLOCKS: dict[str, tuple[tuple[float, bool], ...]] = {  # WLL, has a becket
    "none": (),
    "one": ((110.0, False),),
    "two": ((110.0, False), (100.0, False)),
    "becket": ((160.0, True), (90.0, False)),
}
STRAPS = {"one": (160.0,), "two": (104.0, 161.0)}
LINES = {"long": (98.0, 60.0), "thin": (80.0, 60.0), "short": (120.0, 26.0)}  # MBS [kN], halved; length [m]
MASSES = ("1.6 t", "4.6 t")
GRID = list(product(SITES, SHACKLES, BLOCKS, STRAPS, LINES, MASSES))


def written(case: tuple[str, ...]) -> dict[str, Any]:
    """Return the pull of one case."""
    site, shackles, blocks, straps, line, mass = case
    breaks, length = LINES[line]
    rope = {"id": "L", "kind": "rope", "diameter": f"{ROPE_m} m", "length": f"{length} m"}
    items: list[dict[str, Any]] = [{**rope, "rating": f"{breaks} kN", "basis": "MBS", "factor": 2}]
    for n, (wll, becket) in enumerate(BLOCKS[blocks]):
        block = {"id": f"B{n}", "kind": "block", "becket": becket, "device": f"puck-{n}"}
        items.append({**block, "rating": f"{wll} kN", "basis": "WLL"})
    for n, rating in enumerate(SHACKLES[shackles]):
        marked = {} if rating is None else {"rating": f"{rating} kN", "basis": "WLL"}
        items.append({"id": f"S{n}", "kind": "shackle", **marked})
    items += [
        {"id": f"T{n}", "kind": "strap", "rating": f"{wll} kN", "basis": "WLL"}
        for n, wll in enumerate(STRAPS[straps])
    ]
    device = {
        "k": 1.07,
        "u": 0.01,
        "interval95": [1.05, MOST_RATIO],
        "valid_N": [1e2, 1e6],
        "source": "invented",
    }
    return {
        "pull": "case",
        "vehicle": {
            "name": LOAD,
            "mass": mass,
            "sunk": "rim",
            "points": [
                {"name": f"p{n}", "rating": f"{wll} kN", "basis": "WLL"} for n, wll in enumerate(POINTS_kN)
            ],
        },
        "ground": {"surface": "road", "slope": "4 deg", "direction": "up"},
        "site": {
            "anchors": [
                {
                    "name": name,
                    "kind": "tree",
                    "at": [f"{x} m", f"{y} m"],
                    "limit": f"{limit} kN",
                    "source": "invented",
                }
                for name, (x, y, limit) in SITES[site].items()
            ]
        },
        "winch": "W",
        "want": {"travel": f"{TRAVEL_m} m", "least_gap": "2 m"},
        "friction": {f"puck-{n}": device for n in range(2)},
        "kit": {
            "items": items,
            "winches": [
                {
                    "id": "W",
                    "line_pull": f"{STALL_kN} kN",
                    "drum": {"barrel": f"{BARREL_m} m", "width": "1 m"},
                    "rope": "L",
                    "least_wraps": WRAPS,
                    "mount": {"rating": f"{MOUNT_kN} kN", "basis": "WLL"},
                }
            ],
        },
    }


def paths(trees: Sequence[str], blocks: int) -> Iterator[tuple[str, ...]]:
    """Yield every path of one rope from the drum on the load: to and fro, the last turn elsewhere, round two trees."""
    for parts in range(1, blocks + 2):
        for tree in trees:
            yield tuple(LOAD if n % 2 == 0 else tree for n in range(parts + 1))
        if parts > 2:
            for tree, last in permutations(trees, 2):
                path = [LOAD if n % 2 == 0 else tree for n in range(parts + 1)]
                path[max(n for n, name in enumerate(path) if name == tree)] = last
                yield tuple(path)
    if blocks >= 2:
        for first, second in combinations(trees, 2):
            yield (LOAD, first, second, LOAD)


@dataclass(frozen=True)
class Statics:
    """A path at one place of the travel with one ratio for all blocks, for an effort of 1."""

    share: float  # effort ÷ resistance
    pins: tuple[float, ...]
    end: float
    bodies: dict[str, float]
    side_rad: float
    length_m: float


@cache
def statics(path: tuple[str, ...], site: str, done_m: float, ratio: float) -> Statics:
    """Return tensions from block to block, and what they add up to as vectors."""
    at = {name: (x, y) for name, (x, y, _) in SITES[site].items()} | {LOAD: (done_m, 0.0)}
    tension, pulls, lengths = 1.0, [], []
    for here, there in pairwise(path):
        dx, dy = at[there][0] - at[here][0], at[there][1] - at[here][1]
        far = math.hypot(dx, dy)
        pulls.append((tension * dx / far, tension * dy / far))
        lengths.append(far)
        tension /= ratio
    sums = {name: [0.0, 0.0] for name in path}
    for n, (fx, fy) in enumerate(pulls):
        for name, sign in ((path[n], 1.0), (path[n + 1], -1.0)):
            sums[name][0] += sign * fx
            sums[name][1] += sign * fy
    pins = tuple(math.hypot(out[0] - into[0], out[1] - into[1]) for into, out in pairwise(pulls))
    ahead, aside = sums[LOAD]
    bodies = {name: math.hypot(*force) for name, force in sums.items()}
    side = math.atan2(abs(aside), ahead)
    return Statics(1.0 / ahead, pins, math.hypot(*pulls[-1]), bodies, side, sum(lengths))


@dataclass(frozen=True)
class Asked:
    """What a path asks of each kind of piece at winch stall [kN]."""

    blocks: tuple[float, ...]
    straps: dict[str, float]
    joints: tuple[tuple[float, bool], ...]  # load, whether on the load's own points
    points: tuple[float, ...]
    trees: dict[str, float]


def asked(path: tuple[str, ...], site: str, beckets: Sequence[bool]) -> Asked:
    """Return the greatest load of every piece along the travel, without friction and with the most, at winch stall."""
    found = [
        statics(path, site, done, k) for done in (0.0, TRAVEL_m / 2.0, TRAVEL_m) for k in (1.0, MOST_RATIO)
    ]

    def most(load: Any) -> float:
        return STALL_kN * max(load(one) for one in found)

    last = path[-1]
    takes_end = next((n for n, has in enumerate(beckets) if has and path[n + 1] == last), None)
    ties: dict[str, list[float]] = {name: [] for name in dict.fromkeys(path)}
    blocks = []
    for n in range(len(path) - 2):
        blocks.append(most(lambda one, n=n: one.pins[n] + (one.end if takes_end == n else 0.0)))
        ties[path[n + 1]].append(blocks[-1])
    if takes_end is None:
        ties[last].append(most(lambda one: one.end))
    trees = {name: most(lambda one, name=name: one.bodies[name]) for name in ties if name != LOAD}
    joints = [(load, False) for load in trees.values()]
    joints += [(load, False) for name in trees for load in ties[name][1:]]
    joints += [(load, True) for load in ties[LOAD]]
    return Asked(tuple(blocks), trees, tuple(joints), _points(ties[LOAD]), trees)


def _points(ties: Sequence[float]) -> tuple[float, ...]:
    held = [0.0] * len(POINTS_kN)
    for n, load in enumerate(sorted(ties, reverse=True)):
        held[n % len(held)] += load
    return tuple(held)


def turned(path: tuple[str, ...], site: str) -> float:
    """Return what a shackle keeps where it is pulled aside: a printed table, stepped, in line up to 5 degrees (house)."""
    side = max(
        statics(path, site, done, k).side_rad
        for done in (0.0, TRAVEL_m / 2.0, TRAVEL_m)
        for k in (1.0, MOST_RATIO)
    )
    return 1.0 if side <= math.radians(5.0) else 0.7 if side <= math.radians(45.0) else 0.5


def matched(asks: Sequence[float], limits: Sequence[float], share: float) -> bool:
    """Return whether every load finds a piece of its own that carries it with so much of its limit."""
    if len(asks) > len(limits):
        return False
    pairs = zip(sorted(asks, reverse=True), sorted(limits, reverse=True), strict=False)
    return all(load <= share * limit for load, limit in pairs)


def fits(path: tuple[str, ...], case: tuple[str, ...], high_kN: float, share: float) -> bool:
    """Return whether some way to put this kit into a path keeps everything within a share of its limit."""
    site, shackles, blocks, straps, line, _ = case
    breaks, length = LINES[line]
    starts = statics(path, site, 0.0, 1.0)
    kept = WRAPS * math.pi * (BARREL_m + ROPE_m)
    effort = high_kN * max(
        statics(path, site, done, MOST_RATIO).share for done in (0.0, TRAVEL_m / 2.0, TRAVEL_m)
    )
    if starts.length_m + kept > length or effort > share * STALL_kN:
        return False
    if STALL_kN > share * min(breaks / 2.0, MOUNT_kN):
        return False
    keeps = turned(path, site)
    marked = [rating for rating in SHACKLES[shackles] if rating is not None]
    for chosen in permutations(BLOCKS[blocks], len(path) - 2):
        need = asked(path, site, [becket for _, becket in chosen])
        if any(load > share * wll for load, (wll, _) in zip(need.blocks, chosen, strict=True)):
            continue
        if any(load > share * SITES[site][name][2] for name, load in need.trees.items()):
            continue
        joints = [load / (keeps if own else 1.0) for load, own in need.joints]
        points = matched(need.points, POINTS_kN, share)
        if (
            points
            and matched(joints, marked, share)
            and matched(list(need.straps.values()), STRAPS[straps], share)
        ):
            return True
    return False


def own_loads(candidate: Candidate, path: tuple[str, ...], case: tuple[str, ...]) -> dict[str, list[float]]:
    """Return the loads at stall by role for the blocks a candidate took."""
    kinds = dict(zip((f"B{n}" for n in range(2)), BLOCKS[case[2]], strict=False))
    took = [item for item in candidate.items if item.role.startswith("block on")]
    need = asked(path, case[0], [kinds[item.item][1] for item in took])
    return {
        "block": list(need.blocks),
        "strap": list(need.straps.values()),
        "shackle": [load for load, _ in need.joints],
        "recovery": [load for load in need.points if load],
        "anchor": list(need.trees.values()),
        "winch": [STALL_kN] * 3,  # the winch itself, its line and its mount
    }


def told_path(candidate: Candidate) -> tuple[str, ...]:
    points = candidate.path.partition("|")[0].replace("!", "").split(">")
    return tuple(point.strip().partition(".")[0] for point in points)


def check_case(case: tuple[str, ...]) -> tuple[int, int]:
    """Return how many rigs are inside or tight, and how many are not, having checked them all."""
    found = survey(read_pull(written(case)))
    high_kN = summary(found.requests[0].resistance).high / 1e3
    by_path = {
        told_path(one.candidate): one.candidate for one in found.found if ";" not in one.candidate.path
    }
    every = set(paths(tuple(SITES[case[0]]), len(BLOCKS[case[2]])))
    good = 0
    for path in every:
        best = next(
            (
                word
                for word, share in (("inside", INSIDE), ("tight", WITHIN))
                if fits(path, case, high_kN, share)
            ),
            "",
        )
        told = by_path[path].verdict if path in by_path else "rejected"
        if best:
            assert told == best, f"{case}, {path}: {best} by hand, {told} in the plan"
            good += 1
        else:
            assert told in ("over", "unknown", "rejected"), (
                f"{case}, {path}: over by hand, {told} in the plan"
            )
    assert set(by_path) <= every, set(by_path) - every
    for path, candidate in by_path.items():
        loads: dict[str, list[float]] = {}
        for item in candidate.items:
            loads.setdefault(item.role.split()[0], []).append(item.load_N.stall / 1e3)
        own = own_loads(candidate, path, case)
        assert {kind: sorted(rows) for kind, rows in loads.items()} == {
            kind: pytest.approx(sorted(rows), rel=1e-9) for kind, rows in own.items() if rows
        }, f"{case}, {path}"
    return good, len(every) - good


@pytest.mark.parametrize("site", SITES)
def test_no_rig_inside_is_missed_and_none_over_is_called_inside(site: str) -> None:
    cases = [case for case in GRID if case[0] == site]
    counts = [check_case(case) for case in cases]
    good, bad = (sum(column) for column in zip(*counts, strict=True))
    assert len(cases) >= 150
    assert good > 0
    assert bad > good / 10


def test_the_grid_is_large_enough() -> None:
    assert len(GRID) >= 500
