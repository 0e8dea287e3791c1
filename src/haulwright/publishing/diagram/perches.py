"""Where the stops of one body are drawn round it: blocks on their straps, rings, drums; side by side where they crowd."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from haulwright.publishing.diagram.geometry import XY, towards
from haulwright.publishing.diagram.plan import EYE
from haulwright.publishing.diagram.scheme import Stop

Key = tuple[str, int]  # line, index
NEAR_PX = 60.0  # two ends are told apart at this distance from their body


@dataclass(frozen=True)
class Seat:
    """A body for its stops: centre, how far its glyph reaches, the way its front lies (None: round), half its bumper."""

    at: XY
    face: float
    front: XY | None
    half: float
    floating: bool
    strap: float


@dataclass(frozen=True)
class Guest:
    """A stop before it has a place: its true point, the way its parts pull, half the width it fills."""

    stop: Stop
    base: XY
    way: XY
    half: float
    slim: bool = False

    @property
    def key(self) -> Key:
        """Line and index."""
        return self.stop.line, self.stop.index


@dataclass(frozen=True)
class Perch:
    """A stop with its place: middle of the block or the end's ring, and where its strap begins."""

    stop: Stop
    centre: XY
    fast: XY
    ring: bool


def crowds(guests: Sequence[Guest], seat: Seat, radius: float) -> list[list[Guest]]:
    """Return groups of stops that would lie over each other, each group of two and more."""
    groups = [[guest] for guest in guests]
    for i, a in enumerate(guests):
        for b in guests[i + 1 :]:
            if _clash(a, b, seat, radius):
                one = next(g for g in groups if a in g)
                two = next(g for g in groups if b in g)
                if one is not two:
                    one.extend(two)
                    groups.remove(two)
    return [group for group in groups if len(group) > 1]


def _clash(a: Guest, b: Guest, seat: Seat, radius: float) -> bool:
    if math.dist(a.base, b.base) > a.half + b.half:
        return False
    cos = a.way[0] * b.way[0] + a.way[1] * b.way[1]
    sin = abs(a.way[0] * b.way[1] - a.way[1] * b.way[0])
    turned = a.stop.turns or b.stop.turns
    reach = seat.face + seat.strap + radius * EYE if turned else NEAR_PX
    if a.stop.turns and b.stop.turns and cos <= 0.0:
        return math.hypot(a.way[0] - b.way[0], a.way[1] - b.way[1]) * reach < 2.0 * radius
    return cos > 0.0 and sin * reach < a.half + b.half


def seat_all(
    guests: Sequence[Guest],
    seat: Seat,
    radius: float,
    room: float,
    orders: Mapping[frozenset[Key], tuple[Key, ...]],
) -> dict[Key, Perch]:
    """Return the place of every stop of a body.

    Parameters
    ----------
    guests : sequence of Guest
    seat : Seat
    radius : float
        Of the bend round a block [px].
    room : float
        Left between neighbours of a crowd [px].
    orders : mapping
        The order across of each crowd.
    """
    placed: dict[Key, Perch] = {}
    for group in crowds(guests, seat, radius):
        keys = frozenset(guest.key for guest in group)
        wanted = orders.get(keys, tuple(guest.key for guest in group))
        row = sorted(group, key=lambda guest: wanted.index(guest.key))
        placed.update(_row(row, seat, radius, room))
    for guest in guests:
        if guest.key not in placed:
            placed[guest.key] = _alone(guest, seat, radius)
    return placed


def _alone(guest: Guest, seat: Seat, radius: float) -> Perch:
    face = _face(guest, seat)
    fast = _moved(guest.base, guest.way, face)
    if guest.stop.turns:
        reach = radius * EYE + (0.0 if seat.floating else seat.strap)
        return Perch(guest.stop, _moved(fast, guest.way, reach), fast, ring=False)
    if guest.stop.drum:
        return Perch(guest.stop, guest.base, guest.base, ring=False)
    return Perch(guest.stop, fast, fast, ring=True)


def _face(guest: Guest, seat: Seat) -> float:
    if seat.front is None:
        return seat.face
    ahead = guest.way[0] * seat.front[0] + guest.way[1] * seat.front[1]
    return seat.face if ahead < -0.5 else 0.0


def _row(row: Sequence[Guest], seat: Seat, radius: float, room: float) -> dict[Key, Perch]:
    """Place a crowd in a row across the mean way of its pulls."""
    x, y = sum(g.way[0] for g in row), sum(g.way[1] for g in row)
    size = math.hypot(x, y)
    way = (x / size, y / size) if size > 1e-6 else row[0].way
    across = (-way[1], way[0])
    offsets = _offsets(row, room)
    out = {}
    for guest, off in zip(row, offsets, strict=True):
        hub = guest.base
        start = _fast(hub, way, across, off, seat, guest)
        loose = abs(off)
        if guest.stop.turns:
            reach = _face(guest, seat) + radius * EYE + max(seat.strap, 0.3 * loose)
        elif guest.stop.drum:
            reach = 0.0
        else:
            reach = _face(guest, seat) + (8.0 + 0.25 * loose if loose > 1.0 else 0.0)
        centre = (hub[0] + way[0] * reach + across[0] * off, hub[1] + way[1] * reach + across[1] * off)
        out[guest.key] = Perch(guest.stop, centre, start, ring=not guest.stop.turns and not guest.stop.drum)
    return out


def _offsets(row: Sequence[Guest], room: float) -> list[float]:
    at, places = 0.0, []
    for i, guest in enumerate(row):
        at += guest.half + (row[i - 1].half + (room if not guest.slim else 4.0) if i else 0.0)
        places.append(at)
    zero = next(
        (at for at, g in zip(places, row, strict=True) if g.stop.drum), (places[0] + places[-1]) / 2.0
    )
    return [at - zero for at in places]


def _fast(hub: XY, way: XY, across: XY, off: float, seat: Seat, guest: Guest) -> XY:
    """Where a strap begins: on the bumper of a vehicle, on the rim of a tree towards its block."""
    if seat.front is None:
        far = (
            hub[0] + way[0] * 3.0 * seat.face + across[0] * off,
            hub[1] + way[1] * 3.0 * seat.face + across[1] * off,
        )
        return towards(hub, far, seat.face)
    bumper = (-seat.front[1], seat.front[0])
    side = off * (across[0] * bumper[0] + across[1] * bumper[1])
    slid = min(max(side, -seat.half), seat.half)
    start = (hub[0] + bumper[0] * slid, hub[1] + bumper[1] * slid)
    return _moved(start, way, _face(guest, seat))


def _moved(at: XY, way: XY, by: float) -> XY:
    return at[0] + way[0] * by, at[1] + way[1] * by
