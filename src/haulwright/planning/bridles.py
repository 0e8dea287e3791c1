"""Bridles: between two anchors, and to two points of a vehicle."""

from __future__ import annotations

import math
from dataclasses import replace

from haulwright.field.line_angle import bridle_leg
from haulwright.field.published_gear import bow_spread
from haulwright.files.kit import SLINGING, Item
from haulwright.files.place import Anchor, Vehicle
from haulwright.mechanics.solution import RigSolution
from haulwright.notices import Code
from haulwright.planning.joins import Tie, join, point_use, round_anchor
from haulwright.planning.placing import Placing
from haulwright.planning.shared_anchor import SharedAnchor
from haulwright.planning.shelf import Load, Shelf, Use

_CLOSE_m = 1e-6


def bridle_between(shared: SharedAnchor, ties: list[Tie], shelf: Shelf, at_stall: RigSolution) -> list[Use]:
    """Return a bridle between two anchors: the piece, its joint to the block, strap and joint at each anchor."""
    item, body = shared.piece, shared.name

    def leg(anchor: str) -> Load:
        return lambda solution: next(
            one.tension_N
            for one in shared.legs(solution.bodies[body].vector_N or (0.0, 0.0))
            if one.name == anchor
        )

    def worst(solution: RigSolution) -> float:
        return max(leg(anchor)(solution) for anchor in shared.anchors)

    def whole(solution: RigSolution) -> float:
        return solution.bodies[body].load_N

    limit = shelf.limit(item)
    between = f"{math.degrees(shared.between_rad):.0f} degrees between its legs"
    fixed = f"the block fixed on it {shared.legs_m[0]:.1f} m from {shared.anchors[0]}"
    role = f"bridle from {shared.anchors[0]} to {shared.anchors[1]}, {between}, {fixed}"
    uses = [Use(item.id, item.label, role, limit, worst, "anchoring", item, at=body)]
    bow = Placing(between_rad=shared.between_rad)
    first = Tie(body, "block", whole, ring=ties[0].ring)
    uses.append(join(first, f"{ties[0].what} to the bridle", shelf, at_stall, placing=bow))
    uses += [join(tie, f"{tie.what} to the bridle", shelf, at_stall) for tie in ties[1:]]
    for anchor in shared.anchors:
        load = leg(anchor)
        lacked = f"a strap or sling for {anchor}"
        strap, limit = shelf.best(SLINGING, load(at_stall), lacked, round_anchor(shelf, anchor))
        role = f"{strap.kind} on {anchor}"
        uses.append(Use(strap.id, strap.label, role, limit, load, "anchoring", strap, anchor, at=anchor))
        uses.append(join(Tie(anchor, "leg", load), f"leg of the bridle on {anchor}", shelf, at_stall))
    return uses


def bridle_on(vehicle: Vehicle | Anchor, ties: list[Tie], shelf: Shelf, at_stall: RigSolution) -> list[Use]:
    """Return a bridle to two points with its joints, where one tie only is made fast and the kit has one that fits.

    Notes
    -----
    It fits where its legs stand no wider than a shackle's bow is printed for, and where the middle of it, which stands
    ahead of the vehicle by its reach, keeps the least gap to what the lines run to all along the travel.
    """
    spacing, room_m = vehicle.spacing, shelf.request.rooms_m.get(vehicle.name, math.inf)
    if len(ties) != 1 or len(vehicle.points) < 2 or not spacing:
        return []
    item = next((i for i in shelf.items if i.kind == "bridle" and _fits(i, spacing, room_m)), None)
    if item is None or item.length is None:
        return []
    between_rad = 2.0 * math.asin(spacing / item.length)
    whole = ties[0].load

    def leg(solution: RigSolution) -> float:
        return bridle_leg(whole(solution), between_rad)

    shelf.items.remove(item)
    limit = shelf.limit(item)
    text = f"{item.label}: its legs are taken to share evenly. One that cannot slide, or is pulled aside, may carry all of it."
    limit = replace(limit, notices=(*limit.notices, Code.UNCHECKED.notice((item.id,), text=text)))
    part = "line" if ties[0].end else "anchoring"
    role = f"bridle on {vehicle.name}, {math.degrees(between_rad):.0f} degrees between its legs"
    uses = [Use(item.id, item.label, role, limit, leg, part, item, at=vehicle.name)]
    for n in (0, 1):
        tie = Tie(vehicle.name, "leg of the bridle", leg, end=ties[0].end)
        side = None if vehicle.points[n].swings else _half(between_rad)
        uses.append(join(tie, f"leg of the bridle to {vehicle.points[n].name}", shelf, at_stall, side))
        uses.append(point_use(vehicle, n, leg, shelf))
    return uses


def _fits(item: Item, spacing_m: float, room_m: float) -> bool:
    """Return whether a bridle's legs stand close enough together and it leaves the least gap."""
    if item.length is None or spacing_m >= item.length:
        return False
    wide = 2.0 * math.asin(spacing_m / item.length) > bow_spread().value
    return not wide and math.sqrt(item.length**2 - spacing_m**2) / 2.0 <= room_m + _CLOSE_m


def _half(between_rad: float) -> Load:
    return lambda solution: between_rad / 2.0
