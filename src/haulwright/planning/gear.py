"""Which piece of the kit sits where in a rig, and which force it sees there."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from haulwright.files.kit import TURNING, Item
from haulwright.files.place import Anchor
from haulwright.mechanics.rig import FLOATING, Rig
from haulwright.mechanics.solution import RigSolution
from haulwright.planning.layout import Lacking
from haulwright.planning.limits import anchor_limit, marked_limit, rope_limit
from haulwright.planning.request import Request
from haulwright.planning.shelf import Shelf, Use
from haulwright.planning.ties import asked_of, block_load, make_fast, ties_of


@dataclass(frozen=True)
class Geared:
    """All uses of a rig, and which item turns the line at each block."""

    uses: tuple[Use, ...]
    devices: Mapping[str, Item]


def gear_up(rig: Rig, request: Request, at_stall: RigSolution) -> Geared:
    """Return every piece this rig needs, chosen from the kit.

    Parameters
    ----------
    rig : Rig
        With the site's names.
    request : Request
    at_stall : RigSolution
        The rig at winch stall without friction: what the gear is chosen for.

    Raises
    ------
    Lacking
        A piece the kit does not have.

    Notes
    -----
    A bridle is used where the kit has one and enough to join it; else the rig is tried without.
    """
    try:
        return _gear_up(rig, request, at_stall, bridles=True)
    except Lacking:
        return _gear_up(rig, request, at_stall, bridles=False)


def _gear_up(rig: Rig, request: Request, at_stall: RigSolution, bridles: bool) -> Geared:
    shelf = Shelf(request, bridles)
    devices, turning = _turning(rig, shelf, at_stall)
    uses = [*_lines(rig, request, devices), *turning, *_winch(request)]
    for body in dict.fromkeys(tie.body for tie in ties_of(rig, devices)):
        ties = [tie for tie in ties_of(rig, devices) if tie.body == body]
        uses += make_fast(rig, body, ties, shelf, at_stall)
    uses += _anchors(rig, request)
    return Geared(tuple(uses), devices)


def _effort(solution: RigSolution) -> float:
    return next(iter(solution.effort_N.values()))


def _lines(rig: Rig, request: Request, devices: Mapping[str, Item]) -> list[Use]:
    uses = []
    for name, line in rig.lines.items():
        item = request.line if line.drum else request.second_rope
        role = "winch line" if line.drum else "second rope"
        turned = [devices[point.block] for point in line.points[1:-1] if point.block]
        limit = marked_limit(None, role) if item is None else rope_limit(item, request.pull.kit, turned)
        label = item.label if item else role

        def load(solution: RigSolution, name: str = name) -> float:
            return max(part.tension_N for part in solution.lines[name].parts)

        uses.append(Use(item.id if item else role, label, role, limit, load, owned=item))
    return uses


def _winch(request: Request) -> list[Use]:
    winch = request.pull.winch
    mount = marked_limit(winch.mount, f"mount of {winch.label}", request.pull.kit.mbs_factor)
    return [
        Use(
            f"{winch.id} mount",
            f"Mount of {winch.label}",
            f"winch mount on {request.pull.winch_on}",
            mount,
            _effort,
        )
    ]


def _turning(rig: Rig, shelf: Shelf, at_stall: RigSolution) -> tuple[dict[str, Item], list[Use]]:
    blocks = list(dict.fromkeys(rig.contacts_from_drum))
    devices: dict[str, Item] = {}
    uses = []
    asked = {block: asked_of(rig, block)(at_stall) for block in blocks}
    chosen = {}
    for block in sorted(blocks, key=lambda name: -asked[name]):
        chosen[block] = shelf.best(TURNING, asked[block], "a block or ring")
        devices[block] = chosen[block][0]
    for block in blocks:
        item, limit = chosen[block]
        load = block_load(rig, block, devices)
        body = rig.blocks[block].body
        where = "between the lines" if rig.bodies[body].role == FLOATING else f"on {body}"
        uses.append(Use(item.id, item.label, f"{item.kind} {where}", limit, load, "turning", item))
    return {block: devices[block] for block in blocks}, uses


def _anchors(rig: Rig, request: Request) -> list[Use]:
    uses = []
    for anchor in request.pull.site.anchors:
        if anchor.name in rig.bodies:
            uses.append(_anchor(anchor, request))
    return uses


def _anchor(anchor: Anchor, request: Request) -> Use:
    def load(solution: RigSolution) -> float:
        return solution.bodies[anchor.name].load_N

    limit = anchor_limit(anchor, request.pull.ground)
    return Use(anchor.name, anchor.name, f"anchor {anchor.name} ({anchor.kind})", limit, load, "anchor")
