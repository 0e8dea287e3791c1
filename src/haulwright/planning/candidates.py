"""Which rigs can be built here: places, blocks, ropes, line on the drum, gear; and what the others lack."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise, permutations

from haulwright.errors import RigRefusal
from haulwright.files.kit import SLINGING, TURNING, Item, Kit
from haulwright.mechanics import tension
from haulwright.mechanics.core import solve_core
from haulwright.mechanics.remarks import STRAIGHT_RAD
from haulwright.mechanics.rig import ANCHOR, Rig
from haulwright.planning.along import Along, along_free, greatest
from haulwright.planning.drafts import Draft
from haulwright.planning.drum_use import DrumUse, drum_use
from haulwright.planning.extension import lengthened
from haulwright.planning.floating import lay_out
from haulwright.planning.gear import Geared, gear_up
from haulwright.planning.lacking import Lacking, counted, told_once
from haulwright.planning.layout import Layout, Site
from haulwright.planning.request import Request
from haulwright.planning.result import Rejected
from haulwright.planning.shared_anchor import SharedAnchor
from haulwright.quantities.measured import Measured
from haulwright.quantities.units import spoken

ROPES = ("rope", "extension line")


@dataclass(frozen=True)
class Setting:
    """A rig that can be built here, with its gear.

    Attributes
    ----------
    name : str
        Name in the plan.
    named : str
        The family of the rig, without the anchors it is tried at.
    rig : Rig
        On the ground, at the start of the first set-up, with the names of the site.
    request : Request
        Of its way and winch, with the ropes, the bridle and the extension line chosen.
    layout : Layout
    drum : DrumUse or None
        None where the drum's or the rope's sizes are not told.
    stall_N : float
        Line pull at stall on the lowest layer met, times the stall factor [N].
    geared : Geared
    along : tuple of Along
        The rig without friction at the places of its travel that are looked at.
    """

    name: str
    named: str
    rig: Rig
    request: Request
    layout: Layout
    drum: DrumUse | None
    stall_N: float
    geared: Geared
    along: tuple[Along, ...]

    @cached_property
    def ratios(self) -> dict[str, Measured]:
        """Return the tension ratio of every block."""
        friction = self.request.friction
        return {block: friction[item.id].k for block, item in self.geared.devices.items()}

    @cached_property
    def devices(self) -> dict[str, str]:
        """Return the device of every block; blocks of one device share the error of its friction."""
        friction = self.request.friction
        return {block: friction[item.id].device for block, item in self.geared.devices.items()}

    @property
    def anchors(self) -> tuple[str, ...]:
        """Return the anchors of the site that the rig uses, those behind a bridle in its place."""
        names: list[str] = []
        for body in self.rig.bodies.values():
            if body.role == ANCHOR:
                shared = self.request.shared.get(body.name)
                names += shared.anchors if shared else (body.name,)
        return tuple(dict.fromkeys(names))


def settings(
    drafts: Iterable[Draft],
    request: Request,
    shared: Mapping[str, SharedAnchor],
    high_N: float,
    asked: bool = False,
) -> tuple[list[Setting], list[Rejected]]:
    """Return the rigs that can be built here, and what the others lack.

    Parameters
    ----------
    drafts : iterable of Draft
    request : Request
    shared : mapping body -> SharedAnchor
        The bridles that drafts may hang a block on.
    high_N : float
        High resistance [N]: what the winch cannot pull even in the best case is not looked at further.
    asked : bool
        True for a rig that is to be checked: it is kept however weak the winch, and a rig that cannot work is refused.

    Raises
    ------
    RigRefusal
        A rig to check that cannot work.
    """
    found, rejected = [], []
    for draft in drafts:
        try:
            found.append(_setting(draft, request, shared, None if asked else high_N))
        except Lacking as lack:
            rejected.append(Rejected(draft.name, str(lack), draft.family, _kind=lack.kind))
        except RigRefusal as refused:
            if asked:
                raise
            lacks = f"a place where it works: {refused.message}"
            if refused.code == "ZERO_PART":
                lacks = "anchors that stand apart: two of its bodies are at one place (tell their aside, or at: [x, y])"
            rejected.append(Rejected(draft.name, lacks, draft.family, _kind="place"))
    return found, rejected


def _setting(
    draft: Draft, request: Request, shared: Mapping[str, SharedAnchor], high_N: float | None
) -> Setting:
    rig = draft.rig
    _check_counts(rig, request, shared)
    if high_N is not None:
        _check_winch(rig, request, high_N)
    used = {name: shared[name] for name in rig.bodies if name in shared}
    request = replace(request, shared=used)
    request, layout, drum = _lengths(rig, request)
    request = replace(request, rooms_m=rooms_of(layout, request))
    pull_N = drum.lowest.pull_N if drum else request.pull.winch.line_pull
    stall = pull_N * request.pull.winch.stall_factor
    along = along_free(layout, stall, used)
    if high_N is not None:
        _check_turns(along[0])
    geared = gear_up(along[0].rig, request, greatest([place.free for place in along]))
    return Setting(draft.name, draft.family, along[0].rig, request, layout, drum, stall, geared, along)


def _check_counts(rig: Rig, request: Request, shared: Mapping[str, SharedAnchor]) -> None:
    """Check that the kit has as many blocks and straps as the rig needs, before anything is solved."""
    items = [item for item in request.pull.kit.items if item.usable]
    blocks = len(set(rig.contacts_from_drum))
    there = sum(item.kind in TURNING for item in items)
    if there < blocks:
        raise Lacking(
            f"{counted(blocks, 'block or ring', 'blocks or rings')}; the kit has {there} to use", "blocks"
        )
    passes = max((rig.contacts_from_drum.count(block) for block in rig.contacts_from_drum), default=1)
    most = max((item.sheaves for item in items if item.kind in TURNING), default=1)
    if passes > most:
        raise Lacking(f"a block with {passes} sheaves; the kit has none with more than {most}", "blocks")
    kinds = {anchor.name: anchor.kind for anchor in request.pull.site.anchors}
    held = [name for body in rig.bodies for name in (shared[body].anchors if body in shared else (body,))]
    slung = [name for name in dict.fromkeys(held) if kinds.get(name, "vehicle") != "vehicle"]
    straps = sum(item.kind in SLINGING for item in items)
    if len(slung) > max(straps, 1):
        raise Lacking(
            f"{counted(len(slung), 'strap or sling', 'straps or slings')}, for {' and '.join(slung)}; the kit has {straps} to use"
        )


def _check_turns(place: Along) -> None:
    """Check that the line turns at every block: one it passes almost straight is of no use there."""
    for contact in place.free.contacts:
        if contact.wrap_rad < STRAIGHT_RAD:
            raise Lacking(f"a turn at {contact.at}: the line would pass it almost straight", "place")


def _check_winch(rig: Rig, request: Request, high_N: float) -> None:
    """Check that the winch could pull it with the best blocks, in line and on the first layer: no place is kinder."""
    if rig.floating:
        core = solve_core(rig, 1.0, None, None, ())
    else:
        least = min((friction.k.hi for friction in request.friction.values()), default=1.0)
        core = solve_core(rig, max(least, 1.0), None, None, ())
    share = next(iter(tension.efforts_of(rig, core.found).values())) / core.resistance_N
    rated = request.pull.winch.line_pull
    if high_N * share > rated:
        raise Lacking(
            f"line pull: at least {spoken(high_N * share)} at the high resistance, {spoken(rated)} on layer 1",
            "pull",
        )


def _lengths(rig: Rig, request: Request) -> tuple[Request, Layout, DrumUse | None]:
    request, layout = _best_layout(rig, request)
    if not request.windings:
        return request, layout, None
    try:
        return request, layout, drum_use(request.windings, request.wraps, layout)
    except Lacking as short:
        return lengthened(request, layout, short)


def _best_layout(rig: Rig, request: Request) -> tuple[Request, Layout]:
    """Return the layout with the fewest set-ups over the ropes that could be its other lines."""
    others = [name for name, line in rig.lines.items() if not line.drum]
    places = request.places | {name: one.place for name, one in request.shared.items()}
    anchors = {name: place for name, place in places.items() if name in rig.bodies}
    want = request.pull.want
    hang_m = hang_of(rig, request)
    request = replace(request, hang_m=hang_m)
    site = Site(anchors, want.travel, want.least_gap, request.direction, hang_m)
    if not others:
        return request, lay_out(rig, site)
    fits: list[tuple[Layout, dict[str, Item]]] = []
    lacks: dict[str, Lacking] = {}
    for ropes in permutations(_ropes(request, len(others)), len(others)):
        try:
            fits.append(_roped(rig, site, dict(zip(others, ropes, strict=True))))
        except Lacking as lack:
            lacks[" and ".join(rope.label for rope in ropes)] = lack
    if not fits:
        raise told_once(lacks, "ropes that fit", "rope")
    layout, chosen = min(fits, key=_least_work)
    return replace(request, ropes=chosen), layout


def hang_of(rig: Rig, request: Request) -> float:
    """Return how far a block may hang from its anchor on a strap of the kit [m]; 0 where no length is told.

    Notes
    -----
    A strap round an anchor with both ends at the block reaches half its length, a choked one at most its whole length;
    the girth of the anchor, which takes some of it, is not counted. The longest strap of the kit is taken.
    """
    kinds = {anchor.name: anchor.kind for anchor in request.pull.site.anchors}
    bodies = {rig.blocks[block].body for block in rig.contacts_from_drum}
    if all(kinds.get(body, "vehicle") == "vehicle" for body in bodies):
        return 0.0
    straps = [i for i in request.pull.kit.items if i.kind in SLINGING and i.usable and i.length]
    return max(((i.length or 0.0) * (1.0 if i.use == "choke" else 0.5) for i in straps), default=0.0)


def rooms_of(layout: Layout, request: Request) -> dict[str, float]:
    """Return the room between each body and what its lines run to, beyond the least gap, where it is least [m].

    Parameters
    ----------
    layout : Layout
    request : Request
        With the reach of a strap, which is kept clear too.
    """
    gap_m = request.pull.want.least_gap + request.hang_m
    rooms: dict[str, float] = {}
    for rig in (rig for start in layout.starts for rig in (start.rig, start.end)):
        for line in rig.lines.values():
            for a, b in pairwise(line.points):
                room = math.dist(rig.bodies[a.body].at, rig.bodies[b.body].at) - gap_m
                for body in (a.body, b.body):
                    rooms[body] = min(rooms.get(body, math.inf), room)
    return rooms


def _roped(rig: Rig, site: Site, ropes: dict[str, Item]) -> tuple[Layout, dict[str, Item]]:
    """Return the layout with these ropes as long as they are, or else with the one rope taken up by a knot."""
    lengths = {name: rope.length for name, rope in ropes.items() if rope.length}
    try:
        return lay_out(rig, site, lengths), ropes
    except Lacking as lack:
        if any(rope.wire for rope in ropes.values()) or lack.kind != "rope":
            raise
        try:
            knotted = {name: rope.model_copy(update={"end": "knotted"}) for name, rope in ropes.items()}
            return lay_out(rig, site, lengths, take_up=True), knotted
        except Lacking:
            raise lack from None


def _least_work(fit: tuple[Layout, dict[str, Item]]) -> tuple[bool, int, float]:
    layout, ropes = fit
    return any(rope.end == "knotted" for rope in ropes.values()), layout.setups, layout.path_m


def _ropes(request: Request, needed: int) -> list[Item]:
    """Return the ropes that could be a second line: not wound on a drum, not in a bridle."""
    ropes = [item for item in free_ropes(request.pull.kit) if item.id not in request.reserved]
    if len(ropes) < needed:
        raise Lacking(
            "a second rope"
            if not ropes
            else f"{needed} ropes beside the winch line; the kit has {len(ropes)}",
            "rope",
        )
    return ropes


def free_ropes(kit: Kit) -> list[Item]:
    """Return the usable ropes and extension lines that lie on no drum."""
    wound = {winch.rope for winch in kit.winches if isinstance(winch.rope, str)}
    return [i for i in kit.items if i.kind in ROPES and i.usable and i.id not in wound]
