"""The rigs to look at for one way and one winch: the one asked for, or every named rig and tackle this ground could take."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

from haulwright.errors import PlanRefusal
from haulwright.files.kit import Item
from haulwright.files.place import Anchor
from haulwright.files.pull import Pull
from haulwright.mechanics.names import nearest
from haulwright.mechanics.notation import looks_like_notation, parse_notation
from haulwright.mechanics.rig import ANCHOR, Rig
from haulwright.mechanics.tackles import find, named_rig
from haulwright.planning.drafts import Draft, Ground, Template, drafts, named_templates, tackle_templates
from haulwright.planning.ground import Place
from haulwright.planning.limits import item_limit
from haulwright.planning.request import Request
from haulwright.planning.result import Rejected
from haulwright.planning.shared_anchor import SharedAnchor, bridled
from haulwright.planning.ways import BACK

BRIDLING = ("bridle", "sling", "strap", "rope", "extension line")


@dataclass(frozen=True)
class Options:
    """What to look at for one request: drafts with the bridles they may hang on, and what has no place here at all."""

    request: Request
    drafts: tuple[Draft, ...]
    shared: Mapping[str, SharedAnchor]
    rejected: tuple[Rejected, ...]


def check_asked(pull: Pull, requests: Sequence[Request]) -> None:
    """Check that the one rig to check, if there is one, is known and fits the place of a winch.

    Raises
    ------
    RigRefusal
        UNKNOWN, INPUT, NOTATION …: the name or path itself.
    PlanRefusal
        UNKNOWN_BODY or WINCH_PLACE.
    """
    if pull.rig is None:
        return
    if looks_like_notation(pull.rig):
        _check_written(parse_notation(pull.rig), pull, requests)
        return
    if find(pull.rig) is None or "/" in pull.rig:
        named_rig(pull.rig)  # refuses with the nearest name, or the form there is not
    sides = {request.pull.own_winch for request in requests}
    fitting = [own for own in sides if _wanted(pull.rig, own)]
    if not fitting and sides:
        own = next(iter(sides))
        stands = "the stuck vehicle" if own else requests[0].pull.winch_on
        full = pull.rig if "/" in pull.rig else f"{pull.rig}/{'on' if own else 'off'}-load"
        named_rig(full)
        raise PlanRefusal("WINCH_PLACE", f"rig: {full} does not fit a winch on {stands}.", ("rig", pull.rig))


def _check_written(rig: Rig, pull: Pull, requests: Sequence[Request]) -> None:
    known = [pull.vehicle.name, *(anchor.name for anchor in pull.site.anchors)]
    for body in rig.bodies.values():
        if body.role == ANCHOR and body.name not in known:
            text = f"rig: {body.name!r} is not on the site.{nearest(body.name, known)}"
            raise PlanRefusal("UNKNOWN_BODY", text, ("rig", body.name))
    if rig.load.name != pull.vehicle.name:
        text = f"rig: the load is {rig.load.name!r}, the stuck vehicle {pull.vehicle.name!r}: use one name."
        raise PlanRefusal("UNKNOWN_BODY", text, ("rig", rig.load.name))
    stands = list(dict.fromkeys(request.pull.winch_on for request in requests))
    if stands and rig.winch_on not in stands:
        text = f"rig: the drum is on {rig.winch_on}, the winch stands on {' and '.join(stands)}: say it once."
        raise PlanRefusal("WINCH_PLACE", text, ("rig", "winch"))


def _wanted(name: str | None, own: bool) -> list[Template]:
    """Return the named rigs for the place of the winch, or the one of them that is asked for."""
    templates = named_templates(own)
    if name is None:
        return templates
    hit = find(name)
    if hit is None or ("/" in name and hit[1] != ("on-load" if own else "off-load")):
        return []
    return [one for one in templates if one.name.partition("/")[0] == hit[0].name]


def options_of(request: Request, tackles: Sequence[str] = ()) -> Options:
    """Return the rigs to look at for one way and one winch.

    Parameters
    ----------
    request : Request
    tackles : sequence of str
        Tackles in one-line notation, beside the named rigs; see :mod:`haulwright.planning.drafts`.
    """
    pull = request.pull
    if pull.rig is not None and looks_like_notation(pull.rig):
        rig = parse_notation(pull.rig)
        here = rig.winch_on == pull.winch_on
        return Options(request, (Draft(pull.rig, pull.rig, rig),) if here else (), {}, ())
    shared, too_short = bridles(request) if pull.rig is None else ({}, [])
    ground = _ground(pull, tuple(shared))
    templates = _wanted(pull.rig, pull.own_winch)
    if pull.rig is None:
        templates = [*templates, *tackle_templates(tackles, pull.own_winch)]
    found = tuple(drafts(templates, ground))
    if pull.rig is not None:  # one rig, at each anchor, as it is named
        found = tuple(draft for draft in found if draft.family == templates[0].name) if templates else ()
    return Options(request, found, shared, (*_no_place(templates, found, request), *too_short))


def _ground(pull: Pull, shared: tuple[str, ...]) -> Ground:
    sides = {anchor.name: anchor.side for anchor in pull.site.anchors}
    ahead = tuple(a.name for a in pull.site.anchors if _is_ahead(a) and a.name != pull.winch_on)
    return Ground(pull.vehicle.name, pull.winch_on, ahead, shared, sides.get(pull.winch_on, ""))


def _is_ahead(anchor: Anchor) -> bool:
    return anchor.side == "ahead" and anchor.distance > 0.0


def bridles(request: Request) -> tuple[dict[str, SharedAnchor], list[Rejected]]:
    """Return a block on a bridle for every two anchors ahead that the kit has a piece for.

    Parameters
    ----------
    request : Request

    Notes
    -----
    Of the pieces long enough, and short enough for the block to hang the travel and a gap before the vehicle, the one that
    stands the greatest pull: the longer a bridle, the less its legs carry. Vehicles are left out.
    """
    pull = request.pull
    pieces = _pieces(pull)
    if not pieces:
        return {}, []
    ahead = [a for a in pull.site.anchors if _is_ahead(a) and a.kind != "vehicle" and a.name != pull.winch_on]
    found: dict[str, SharedAnchor] = {}
    short: list[Rejected] = []
    for one, other in combinations(ahead, 2):
        names = (one.name, other.name)
        at = (request.places[one.name], request.places[other.name])
        joined = _joined(names, at, pieces, request)
        if joined is None:
            what = f"a bridle, strap or line longer than {at[0].to(at[1]):.1f} m that leaves way before the block"
            if request.places[one.name].aside_m * request.places[other.name].aside_m >= 0.0:
                what = "anchors on both sides of the pull: one leg of a bridle would hang slack"
            short.append(
                Rejected(f"every rig at {names[0]} + {names[1]}", what, "a bridle between two anchors")
            )
        else:
            found[joined.name] = joined
    return found, short


def _pieces(pull: Pull) -> list[Item]:
    wound = {winch.rope for winch in pull.kit.winches if isinstance(winch.rope, str)}
    pieces = [i for i in pull.kit.items if i.kind in BRIDLING and i.usable and i.length and i.id not in wound]
    return sorted(pieces, key=lambda item: -(item.length or 0.0))


def _joined(
    names: tuple[str, str], at: tuple[Place, Place], pieces: Iterable[Item], request: Request
) -> SharedAnchor | None:
    want, sign = request.pull.want, request.direction[0]
    found = [bridled(names, at, piece, request.direction) for piece in pieces]
    leaves_way = [
        one for one in found if one is not None and sign * one.place.along_m >= want.travel + want.least_gap
    ]
    return max(leaves_way, key=lambda one: _stands(one, request), default=None)


def _stands(one: SharedAnchor, request: Request) -> tuple[float, float]:
    """Return the pull in line that brings the heavier leg to the limit of the piece, 0 without one; then its length."""
    limit_N = item_limit(one.piece, request.pull.kit).limit_N or 0.0
    sign = request.direction[0]
    share = max(leg.tension_N for leg in one.legs((-sign, 0.0)))
    return limit_N / share, one.piece.length or 0.0


def _no_place(templates: Sequence[Template], found: Sequence[Draft], request: Request) -> list[Rejected]:
    """Return the rigs for which this site has no place, and why."""
    pull = request.pull
    built = {draft.family.partition(",")[0] if "," in draft.family else draft.family for draft in found}
    built |= {draft.family for draft in found}
    missing = []
    there, behind = (
        ("behind", "ahead of") if request.way == BACK else ("ahead of", "behind")
    )  # as seen by all
    for template in templates:
        if template.name in built:
            continue
        lacks = f"an anchor {there} {pull.vehicle.name}"
        side = next((a.side for a in pull.site.anchors if a.name == pull.winch_on), "")
        if (
            not pull.own_winch
            and template.several_lines
            and template.path.startswith("beyond")
            and side == "ahead"
        ):
            lacks = f"the winch {behind} {pull.vehicle.name}; {pull.winch_on} stands on the other side"
        elif not pull.own_winch and not template.path.startswith(("beyond", "X2")) and side == "behind":
            lacks = f"the winch {there} {pull.vehicle.name}; {pull.winch_on} stands on the other side"
        missing.append(Rejected(template.name, lacks, template.name, _kind="place"))
    return missing


def renamed(drafted: Iterable[Draft], suffix: str) -> tuple[Draft, ...]:
    """Return drafts whose names tell the way or the winch too, where there are several."""
    return tuple(replace(draft, name=f"{draft.name}{suffix}") for draft in drafted)
