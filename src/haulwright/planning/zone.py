"""The zone of a pull on the ground: distance rules, the parts of all lines along the travel, the inside of every bend."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict
from itertools import pairwise

from haulwright.field.no_standing import Bend, Part, Spot, no_standing
from haulwright.field.zone import stand_clear
from haulwright.mechanics.rig import Line, Point, Rig
from haulwright.planning.candidates import Setting
from haulwright.planning.ground import Place
from haulwright.planning.request import Request
from haulwright.planning.result import Zone


def zone_of(request: Request, setting: Setting | None) -> Zone:
    """Return where nobody may stand: by distance, in line with any part, inside any bend, from start to end of the pull.

    Parameters
    ----------
    request : Request
        The pull.
    setting : Setting or None
        The chosen rig; without one, the distance rules of the site alone.
    """
    spots = [Place(0.0), *request.places.values()]
    spread = max(a.to(b) for a in spots for b in spots)
    ropes = [item for item in (request.line, *(setting.request.ropes.values() if setting else ())) if item]
    lengths = [item.length for item in ropes]
    line_m = None if not lengths or None in lengths else sum(length for length in lengths if length)
    others = sum(item.length or 0.0 for item in setting.request.ropes.values()) if setting else 0.0
    paid_out = setting.layout.path_m + others if setting else None
    clear = stand_clear(line_m=line_m, paid_out_m=paid_out, spread_m=spread)
    rules = tuple(asdict(rule) for rule in clear.rules)
    if setting is None:
        return Zone(clear.radius_m, clear.rule, rules, clear.never)
    ends = (setting.along[0].rig, setting.along[-1].rig)
    found = [*(part for rig in ends for part in _parts(rig)), *_legs(setting)]
    parts = tuple(dict.fromkeys(found))
    bends = tuple(dict.fromkeys(bend for rig in ends for bend in _bends(rig) if bend.turns))
    ground = no_standing(clear.radius_m, parts, bends)
    return Zone(
        clear.radius_m, clear.rule, rules, clear.never, parts, bends, ground.in_line_rad, ground.clear_spots()
    )


def _spot(rig: Rig, point: Point) -> Spot:
    x, y, *_ = rig.place(point)
    return (round(x, 3), round(y, 3))


def _parts(rig: Rig) -> Iterator[Part]:
    for line in rig.lines.values():
        for a, b in pairwise(line.points):
            yield Part(f"{a.body} to {b.body}", (_spot(rig, a), _spot(rig, b)))


def _legs(setting: Setting) -> Iterator[Part]:
    """Yield the legs of every bridle between two anchors: they carry as much as a line."""
    for shared in setting.request.shared.values():
        for anchor, at in zip(shared.anchors, shared.at, strict=True):
            ends = ((shared.place.along_m, shared.place.aside_m), (at.along_m, at.aside_m))
            yield Part(f"{shared.name} to {anchor}", ends)


def _bends(rig: Rig) -> Iterator[Bend]:
    for line in rig.lines.values():
        for before, at, after in _corners(line):
            yield Bend(at.body, _spot(rig, at), (_spot(rig, before), _spot(rig, after)))


def _corners(line: Line) -> Iterator[tuple[Point, Point, Point]]:
    yield from zip(line.points, line.points[1:], line.points[2:], strict=False)
