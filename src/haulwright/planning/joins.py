"""One joint: a shackle or soft shackle, a recovery point, and how they sit."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from haulwright.files.kit import JOINING
from haulwright.files.place import Anchor, Vehicle
from haulwright.mechanics.solution import RigSolution
from haulwright.planning.limits import marked_limit
from haulwright.planning.placing import STRAIGHT, Placing
from haulwright.planning.shelf import Load, Shelf, Use


@dataclass(frozen=True)
class Tie:
    """Something made fast to a body: a block or the end of a line."""

    body: str
    what: str
    load: Load
    end: bool = False
    ring: bool = False


def round_anchor(shelf: Shelf, anchor: str) -> Placing:
    """Return how a strap goes round an anchor: by its diameter, where that is told."""
    found = next((one for one in shelf.request.pull.site.anchors if one.name == anchor), None)
    return Placing(round_m=found.diameter if found is not None else None)


def from_its_axis(vehicle: Vehicle | Anchor, shelf: Shelf) -> Load | None:
    """Return the angle the stuck vehicle's shackles are pulled from its axis; None for one parked in line by choice."""
    if isinstance(vehicle, Anchor) or (vehicle.points and all(point.swings for point in vehicle.points)):
        return None

    def angle(solution: RigSolution) -> float:
        pull = solution.bodies[vehicle.name].vector_N or (0.0, 0.0)
        return math.atan2(abs(pull[1]), abs(pull[0])) if math.hypot(*pull) > 0.0 else 0.0

    return angle


def join(
    tie: Tie,
    role: str,
    shelf: Shelf,
    at_stall: RigSolution,
    side: Load | None = None,
    placing: Placing = STRAIGHT,
    chosen_for_rad: float = 0.0,
) -> Use:
    """Take a shackle or soft shackle for a tie: a ring is joined with a soft shackle only.

    Parameters
    ----------
    tie : Tie
    role : str
    shelf : Shelf
    at_stall : RigSolution
    side : callable or None
        Angle of the pull from the axis of the shackle, from a solution [rad].
    placing : Placing
        How else it sits.
    chosen_for_rad : float
        Angle from its axis it is chosen for at least, where ``side`` is told [rad].
    """
    kinds = ("soft shackle",) if tie.ring else JOINING
    lacked = f"a {' or '.join(kinds)} for {role}"
    turned = placing if side is None else replace(placing, side_rad=max(side(at_stall), chosen_for_rad))
    item, _ = shelf.best(kinds, tie.load(at_stall), lacked, turned)
    limit = shelf.limit(item, placing)
    return Use(
        item.id,
        item.label,
        f"{item.kind} for {role}",
        limit,
        tie.load,
        "line" if tie.end else "anchoring",
        item,
        side=side,
        at=tie.body,
    )


def point_use(vehicle: Vehicle | Anchor, number: int, load: Load, shelf: Shelf) -> Use:
    """Return a recovery point of a vehicle with the load on it; one that is not listed is unknown."""
    point = vehicle.points[number] if vehicle.points else None
    name = f"{vehicle.name}, {point.name if point else 'recovery point'}"
    limit = marked_limit(point, name, shelf.request.pull.kit.mbs_factor)
    return Use(
        name, name, f"recovery point on {vehicle.name}", limit, load, "point", mark=point, at=vehicle.name
    )
