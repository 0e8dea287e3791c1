"""Which piece of the kit sits where in a rig, and which force it sees there."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from haulwright.files.kit import TURNING, Item
from haulwright.files.place import Anchor
from haulwright.mechanics.rig import FLOATING, Rig
from haulwright.mechanics.solution import RigSolution
from haulwright.planning.extension import extension_use
from haulwright.planning.holding import Hold, hold_of
from haulwright.planning.joins import Tie, join
from haulwright.planning.lacking import Lacking
from haulwright.planning.limits import anchor_limit, marked_limit, rope_limit
from haulwright.planning.request import Request
from haulwright.planning.shared_anchor import pull_on
from haulwright.planning.shelf import Shelf, Use
from haulwright.planning.ties import asked_of, block_load, make_fast, ties_of
from haulwright.planning.turning import ways_to_turn


@dataclass(frozen=True)
class Geared:
    """All uses of a rig, which item turns the line at each block, and whether bridles may be used."""

    uses: tuple[Use, ...]
    devices: Mapping[str, Item]
    bridles: bool = True


def gear_up(
    rig: Rig,
    request: Request,
    at_stall: RigSolution,
    side_rad: float = 0.0,
    turning: Mapping[str, Item] | None = None,
    bridles: bool | None = None,
) -> Geared:
    """Return every piece this rig needs, chosen from the kit.

    Parameters
    ----------
    rig : Rig
        With the site's names.
    request : Request
    at_stall : RigSolution
        The rig at winch stall without friction: what the gear is chosen for.
    side_rad : float
        How far from its axis the stuck vehicle is pulled at least [rad]: shackles at its points are chosen for it.
    turning : mapping block -> Item, optional
        The blocks and rings to take.
    bridles : bool or None
        Whether a bridle is used; None uses one where it can.

    Raises
    ------
    Lacking
        A piece the kit does not have.

    Notes
    -----
    A bridle is used where the kit has one and enough to join it; else the rig is tried without. Where what joins the
    blocks and rings chosen is not there, other blocks and rings are tried.
    """
    first: Lacking | None = None
    for way in (turning, *(ways_to_turn(rig, request) if turning is None else ())):
        for used in (True, False) if bridles is None else (bridles,):
            try:
                return _gear_up(rig, request, at_stall, Shelf(request, used, side_rad=side_rad), way)
            except Lacking as lack:
                first = first or lack
    raise first or Lacking("gear")


def _gear_up(
    rig: Rig, request: Request, at_stall: RigSolution, shelf: Shelf, turning: Mapping[str, Item] | None
) -> Geared:
    """Return every piece: asked for once to know all that is needed, then dealt out."""
    _geared(rig, request, at_stall, shelf, turning)
    return _geared(rig, request, at_stall, shelf.dealt_out(), turning)


def _geared(
    rig: Rig, request: Request, at_stall: RigSolution, shelf: Shelf, given: Mapping[str, Item] | None
) -> Geared:
    devices, turning = _turning(rig, shelf, at_stall, given)
    uses = [
        *_lines(rig, request, devices),
        *_extended(rig, request, shelf, at_stall),
        *turning,
        *_winch(request),
    ]
    for body in dict.fromkeys(tie.body for tie in ties_of(rig, devices)):
        ties = [tie for tie in ties_of(rig, devices) if tie.body == body]
        uses += make_fast(rig, body, ties, shelf, at_stall)
    uses += _anchors(rig, request)
    return Geared(tuple(uses), devices, shelf.bridles)


def _effort(solution: RigSolution) -> float:
    return next(iter(solution.effort_N.values()))


def _lines(rig: Rig, request: Request, devices: Mapping[str, Item]) -> list[Use]:
    uses = []
    for name, line in rig.lines.items():
        item = request.line if line.drum else request.ropes.get(name)
        role = "winch line" if line.drum else "second rope"
        turned = [devices[point.block] for point in line.points[1:-1] if point.block]
        limit = (
            marked_limit(None, role)
            if item is None
            else rope_limit(item, request.pull.kit, turned, request.pull.site.wet)
        )
        label = item.label if item else role

        def load(solution: RigSolution, name: str = name) -> float:
            return max(part.tension_N for part in solution.lines[name].parts)

        uses.append(Use(item.id if item else role, label, role, limit, load, owned=item))
    return uses


def _extended(rig: Rig, request: Request, shelf: Shelf, at_stall: RigSolution) -> list[Use]:
    """Return the extension line of a rig and what joins it to the winch line."""
    use = extension_use(rig, request)
    if use is None:
        return []
    tie = Tie(rig.hauling_line.points[0].body, "extension line", use.load, end=True)
    return [use, join(tie, "winch line to extension line", shelf, at_stall)]


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
            mark=winch.mount,
            at=request.pull.winch_on,
        )
    ]


def _turning(
    rig: Rig, shelf: Shelf, at_stall: RigSolution, given: Mapping[str, Item] | None
) -> tuple[dict[str, Item], list[Use]]:
    blocks = list(dict.fromkeys(rig.contacts_from_drum))
    devices: dict[str, Item] = {}
    uses = []
    asked = {block: asked_of(rig, block)(at_stall) for block in blocks}
    chosen = {}
    passes = {block: rig.contacts_from_drum.count(block) for block in blocks}
    for block in sorted(blocks, key=lambda name: (-passes[name], -asked[name])):
        what = (
            "a block or ring" if passes[block] == 1 else f"a block with {passes[block]} sheaves for {block}"
        )
        if given is None:
            chosen[block] = shelf.best(TURNING, asked[block], what, sheaves=passes[block])
        else:
            chosen[block] = shelf.take(given[block])
        devices[block] = chosen[block][0]
    for block in blocks:
        item, limit = chosen[block]
        load = block_load(rig, block, devices)
        body = rig.blocks[block].body
        where = "between the lines" if rig.bodies[body].role == FLOATING else f"on {body}"
        uses.append(Use(item.id, item.label, f"{item.kind} {where}", limit, load, "turning", item, at=body))
    return {block: devices[block] for block in blocks}, uses


def _anchors(rig: Rig, request: Request) -> list[Use]:
    uses = []
    behind = {name for one in request.shared.values() for name in one.anchors}
    for anchor in request.pull.site.anchors:
        if anchor.name in rig.bodies or anchor.name in behind:
            uses.append(_anchor(anchor, request))
    return uses


def _anchor(anchor: Anchor, request: Request) -> Use:
    def load(solution: RigSolution) -> float:
        return math.hypot(*pull_on(request.shared, solution, anchor.name))

    def hold(solution: RigSolution) -> Hold:
        pull = pull_on(request.shared, solution, anchor.name)
        return hold_of(anchor, request.pull.ground, pull, request.direction[:2])

    limit = anchor_limit(anchor, request.pull.kit)
    return Use(
        anchor.name,
        anchor.name,
        f"anchor {anchor.name} ({anchor.kind})",
        limit,
        load,
        "anchor",
        mark=anchor,
        hold=hold,
        at=anchor.name,
    )
