"""How blocks and line ends are made fast: straps and joints at anchors, points and bridles at vehicles."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from haulwright.files.kit import SLINGING, Item
from haulwright.files.place import Anchor, Vehicle
from haulwright.mechanics.rig import FLOATING, Rig
from haulwright.mechanics.solution import RigSolution
from haulwright.planning.bridles import bridle_between, bridle_on
from haulwright.planning.joins import Tie, from_its_axis, join, point_use, round_anchor
from haulwright.planning.shelf import Load, Shelf, Use


def made_fast_ends(rig: Rig) -> list[tuple[str, str, int, str | None]]:
    """Return body, line, index of the end's part and becket block of every end that is made fast."""
    ends = []
    for name, line in rig.lines.items():
        last = len(line.points) - 1
        for i in [0] if line.drum else [0, last]:
            ends.append((line.points[i].body, name, 0 if i == 0 else last - 1, line.points[i].block))
    return ends


def _end_load(name: str, part: int) -> Load:
    return lambda solution: solution.lines[name].parts[part].tension_N


def _ends_at(rig: Rig, body: str) -> list[Load]:
    """Return the tensions of the ends made fast to a fixed body itself, not to a becket."""
    if rig.bodies[body].role == FLOATING:
        return []
    return [
        _end_load(name, part)
        for at, name, part, becket in made_fast_ends(rig)
        if at == body and becket is None
    ]


def _blocks_on(rig: Rig, body: str) -> list[str]:
    return [block for block in dict.fromkeys(rig.contacts_from_drum) if rig.blocks[block].body == body]


def _with(block: str, ends: list[Load]) -> Load:
    return lambda solution: solution.blocks[block].with_becket_N + sum(end(solution) for end in ends)


def asked_of(rig: Rig, block: str) -> Load:
    """Return the load a block is chosen for: the first on a body may get the standing part in its becket."""
    body = rig.blocks[block].body
    return _with(block, _ends_at(rig, body) if block == _blocks_on(rig, body)[0] else [])


def _becket_on(rig: Rig, body: str, devices: Mapping[str, Item]) -> str | None:
    """Return the block whose becket takes the ends made fast to this body."""
    return next((block for block in _blocks_on(rig, body) if devices[block].becket), None)


def block_load(rig: Rig, block: str, devices: Mapping[str, Item]) -> Load:
    """Return the load of a block: with the standing part where that hangs in its becket."""
    body = rig.blocks[block].body
    return _with(block, _ends_at(rig, body) if block == _becket_on(rig, body, devices) else [])


def ties_of(rig: Rig, devices: Mapping[str, Item]) -> list[Tie]:
    """Return what is made fast where: blocks first, then the ends that do not hang in a becket."""
    ties = []
    for block, item in devices.items():
        ties.append(
            Tie(rig.blocks[block].body, item.label, block_load(rig, block, devices), ring=item.kind == "ring")
        )
    for body, name, part, becket in made_fast_ends(rig):
        hung = rig.bodies[body].role != FLOATING and _becket_on(rig, body, devices) is not None
        if becket is None and not hung:
            what = "end of the winch line" if rig.lines[name].drum else "end of the second rope"
            ties.append(Tie(body, what, _end_load(name, part), end=True))
    return ties


def make_fast(rig: Rig, body: str, ties: list[Tie], shelf: Shelf, at_stall: RigSolution) -> list[Use]:
    """Return the pieces that hold what is made fast to one body.

    Parameters
    ----------
    rig : Rig
    body : str
    ties : list of Tie
        All of this body.
    shelf : Shelf
        What is left of the kit; the pieces chosen are taken from it.
    at_stall : RigSolution
        What they are chosen for.

    Raises
    ------
    Lacking
        A piece the kit does not have.
    """
    if rig.bodies[body].role == FLOATING:
        ring = any(tie.ring for tie in ties)
        ends = [replace(tie, ring=ring) for tie in ties if tie.end]
        return [join(tie, f"{ties[0].what} to {tie.what}", shelf, at_stall) for tie in ends]
    pull = shelf.request.pull
    if body in shelf.request.shared:
        return bridle_between(shelf.request.shared[body], ties, shelf, at_stall)
    anchor = next((a for a in pull.site.anchors if a.name == body), None)
    if anchor is not None and anchor.kind != "vehicle":
        return _slung(body, ties, shelf, at_stall)
    vehicle = anchor or pull.vehicle
    side = from_its_axis(vehicle, shelf)
    joins = [
        join(tie, f"{tie.what} to {body}", shelf, at_stall, side, chosen_for_rad=shelf.side_rad)
        for tie in ties
    ]
    bridle = bridle_on(vehicle, ties, shelf, at_stall)
    return [*joins, *(bridle or _points(vehicle, ties, at_stall, shelf))]


def _slung(body: str, ties: list[Tie], shelf: Shelf, at_stall: RigSolution) -> list[Use]:
    """Strap and joining piece round an anchor: both see the whole anchor load; further ties get their own joint."""

    def whole(solution: RigSolution) -> float:
        return solution.bodies[body].load_N

    load_N = at_stall.bodies[body].load_N
    strap, limit = shelf.best(SLINGING, load_N, f"a strap or sling for {body}", round_anchor(shelf, body))
    role = f"{strap.kind} on {body}"
    uses = [Use(strap.id, strap.label, role, limit, whole, "anchoring", strap, body, at=body)]
    uses.append(join(Tie(body, "strap", whole, ring=ties[0].ring), f"strap on {body}", shelf, at_stall))
    return uses + [join(tie, f"{tie.what} on {body}", shelf, at_stall) for tie in ties[1:]]


def _points(vehicle: Vehicle | Anchor, ties: list[Tie], at_stall: RigSolution, shelf: Shelf) -> list[Use]:
    """Spread ties over the recovery points, heaviest first; what shares a point is added up."""
    count = max(len(vehicle.points), 1)
    shared: list[list[Tie]] = [[] for _ in range(count)]
    for n, tie in enumerate(sorted(ties, key=lambda tie: -tie.load(at_stall))):
        shared[n % count].append(tie)
    return [point_use(vehicle, n, _sum(group), shelf) for n, group in enumerate(shared) if group]


def _sum(ties: list[Tie]) -> Load:
    return lambda solution: sum(tie.load(solution) for tie in ties)
