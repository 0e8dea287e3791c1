"""Which named rigs can be built here: anchors, blocks, ropes, line on the drum; and what the others lack."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from haulwright.errors import PlanRefusal
from haulwright.files.kit import TURNING, Item
from haulwright.files.pull import Pull
from haulwright.mechanics.names import nearest
from haulwright.mechanics.notation import looks_like_notation, parse_notation
from haulwright.mechanics.rig import ANCHOR, Rig
from haulwright.mechanics.solution import RigSolution
from haulwright.mechanics.statics import solve_rig
from haulwright.mechanics.tackles import NAMES, find, named_rig
from haulwright.planning.bind import bind
from haulwright.planning.gear import Geared, gear_up
from haulwright.planning.layout import DrumUse, Lacking, Layout, drum_use, lay_out
from haulwright.planning.request import Request
from haulwright.planning.result import Rejected

NOT_PLANNED = ("series", "one long rope")  # rigs of a pull test, not of a recovery
ROPES = ("rope", "extension line")


@dataclass(frozen=True)
class Setting:
    """A rig that can be built here, with its gear.

    Attributes
    ----------
    name : str
        Name in the plan.
    named : str
        The named rig without the anchors it is tried at.
    rig : Rig
        With the names of the site.
    request : Request
        With the second rope chosen, where the rig has one.
    layout : Layout
    drum : DrumUse or None
        None where the drum's or the rope's sizes are not told.
    stall_N : float
        Line pull at stall on the lowest layer met, times the stall factor [N].
    geared : Geared
    """

    name: str
    named: str
    rig: Rig
    request: Request
    layout: Layout
    drum: DrumUse | None
    stall_N: float
    geared: Geared


def settings(request: Request) -> tuple[list[Setting], list[Rejected]]:
    """Return the rigs that can be built here, and what the others lack.

    Parameters
    ----------
    request : Request

    Returns
    -------
    list of Setting, list of Rejected

    Raises
    ------
    PlanRefusal
        UNKNOWN_BODY for a rig to check that names something which is not on the site.
    RigRefusal
        A rig to check that is not known or cannot work.
    """
    found, rejected = [], []
    for name, named, rig in _rigs(request.pull):
        try:
            found.append(_setting(name, named, rig, request))
        except Lacking as lack:
            rejected.append(Rejected(name, str(lack), named))
    rejected += [Rejected(name, why, name) for name, why in _no_place(request.pull)]
    return found, rejected


def wanted_names(pull: Pull) -> list[str]:
    """Return the named rigs for the place the winch stands, or the one that is to be checked."""
    if pull.rig is not None:
        if find(pull.rig) is None:
            named_rig(pull.rig)  # refuses with the nearest name
        if "/" in pull.rig:
            return [pull.rig]
        side = "on-load" if pull.own_winch else "off-load"
        hit = find(pull.rig)
        return [f"{hit[0].name}/{side}"] if hit else []
    suffix = "/on-load" if pull.own_winch else "/off-load"
    return [name for name in NAMES if name.endswith(suffix) and not name.startswith(NOT_PLANNED)]


def _rigs(pull: Pull) -> Iterator[tuple[str, str, Rig]]:
    """Yield every rig with its bodies bound to this site: its name in the plan, that of the named rig, the rig."""
    if pull.rig is not None and looks_like_notation(pull.rig):
        yield pull.rig, pull.rig, _written(pull.rig, pull)
        return
    for name in wanted_names(pull):
        rig = named_rig(name)
        if (rig.winch_on == rig.load.name) != pull.own_winch:
            stands = "the stuck vehicle" if pull.own_winch else pull.winch_on
            raise PlanRefusal("WINCH_PLACE", f"rig: {name} does not fit a winch on {stands}.", ("rig", name))
        options = _bindings(rig, pull)
        for names in options:
            spots = [
                new for old, new in names.items() if rig.bodies[old].role == ANCHOR and new != pull.winch_on
            ]
            label = f"{name}, {' and '.join(spots)}" if len(options) > 1 else name
            yield label, name, bind(rig, names)


def _written(path: str, pull: Pull) -> Rig:
    rig = parse_notation(path)
    known = [pull.vehicle.name, *(anchor.name for anchor in pull.site.anchors)]
    for body in rig.bodies.values():
        if body.role == ANCHOR and body.name not in known:
            text = f"rig: {body.name!r} is not on the site.{nearest(body.name, known)}"
            raise PlanRefusal("UNKNOWN_BODY", text, ("rig", body.name))
    if rig.load.name != pull.vehicle.name:
        text = f"rig: the load is {rig.load.name!r}, the stuck vehicle {pull.vehicle.name!r}: use one name."
        raise PlanRefusal("UNKNOWN_BODY", text, ("rig", rig.load.name))
    if rig.winch_on != pull.winch_on:
        text = f"rig: the drum is on {rig.winch_on}, the winch stands on {pull.winch_on}: say it once."
        raise PlanRefusal("WINCH_PLACE", text, ("rig", "winch"))
    return rig


def _behind(rig: Rig, body: str) -> bool:
    return rig.bodies[body].at[0] > rig.load.at[0]


def _bindings(rig: Rig, pull: Pull) -> list[dict[str, str]]:
    """Return every way to put this site's names on a rig; empty where a place is lacking."""
    names = {rig.load.name: pull.vehicle.name}
    side_of = {anchor.name: anchor.side for anchor in pull.site.anchors}
    free = [body.name for body in rig.bodies.values() if body.role == ANCHOR]
    if not pull.own_winch:
        if side_of[pull.winch_on] != ("behind" if _behind(rig, rig.winch_on) else "ahead"):
            return []
        names[rig.winch_on] = pull.winch_on
        free.remove(rig.winch_on)
    spots = [name for name, side in side_of.items() if side == "ahead" and name != pull.winch_on]
    if not free:
        return [names]
    return [{**names, free[0]: spot} for spot in spots] if len(free) == 1 else []


def _no_place(pull: Pull) -> Iterator[tuple[str, str]]:
    """Yield the named rigs for which this site has no place, and why."""
    if pull.rig is not None and looks_like_notation(pull.rig):
        return
    for name in wanted_names(pull):
        rig = named_rig(name)
        if _bindings(rig, pull):
            continue
        if not pull.own_winch:
            side = "behind" if _behind(rig, rig.winch_on) else "ahead of"
            if next(a.side for a in pull.site.anchors if a.name == pull.winch_on) not in side:
                yield name, f"the winch {side} {pull.vehicle.name}; {pull.winch_on} stands on the other side"
                continue
        yield name, f"an anchor ahead of {pull.vehicle.name}"


def _setting(name: str, named: str, rig: Rig, request: Request) -> Setting:
    blocks = len(set(rig.contacts_from_drum))
    there = sum(item.kind in TURNING and item.usable for item in request.pull.kit.items)
    if there < blocks:
        raise Lacking(f"{blocks} blocks or rings; the kit has {there} to use")
    request, layout = _best_layout(rig, request)
    used = drum_use(request.windings, request.wraps, layout) if request.windings else None
    pull_N = used.lowest.pull_N if used else request.pull.winch.line_pull
    stall = pull_N * request.pull.winch.stall_factor
    at_stall: RigSolution = solve_rig(rig, 1.0, effort_N=stall)
    return Setting(name, named, rig, request, layout, used, stall, gear_up(rig, request, at_stall))


def _best_layout(rig: Rig, request: Request) -> tuple[Request, Layout]:
    """Return the layout with the fewest set-ups over the ropes that could be the second line."""
    seconds = len(rig.lines) - 1
    anchors = {name: place for name, place in request.places.items() if name in rig.bodies}
    want = request.pull.want
    if seconds == 0:
        return request, lay_out(rig, anchors, want.travel, want.least_gap, None)
    wound = {winch.rope for winch in request.pull.kit.winches if isinstance(winch.rope, str)}
    ropes = [i for i in request.pull.kit.items if i.kind in ROPES and i.usable and i.id not in wound]
    if len(ropes) < seconds:
        raise Lacking("a second rope" if not ropes else f"{seconds} more ropes; the kit has {len(ropes)}")
    fits: list[tuple[Layout, Item]] = []
    lacks = []
    for rope in ropes:
        try:
            fits.append((lay_out(rig, anchors, want.travel, want.least_gap, rope.length), rope))
        except Lacking as lack:
            lacks.append(f"{rope.label}: {lack}" if len(ropes) > 1 else str(lack))
    if not fits:
        raise Lacking("; ".join(lacks))
    layout, rope = min(fits, key=lambda fit: (fit[0].setups, fit[0].path_m))
    return replace(request, second_rope=rope), layout
