"""A rig with its anchors, its travel or its frictions a little off: shares, loads, line out, angles at every place."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from haulwright.mechanics.core import Core, solve_core
from haulwright.mechanics.rig import LOAD, Rig
from haulwright.mechanics.solution import RigSolution
from haulwright.planning.along import greatest
from haulwright.planning.candidates import Setting
from haulwright.planning.gear import gear_up
from haulwright.planning.ground import Place, bare, moved
from haulwright.planning.lacking import Lacking
from haulwright.planning.layout import placed_length
from haulwright.planning.shared_anchor import SharedAnchor, bridled
from haulwright.planning.shelf import Use

Offset = tuple[float, float]


@dataclass(frozen=True)
class Off:
    """How far a rig is off.

    Attributes
    ----------
    anchors : mapping anchor -> (float, float)
        Ahead and to the left [m].
    travel_m : float
        Of the last place [m].
    ratios : mapping block -> float
        Those that are not as expected.
    """

    anchors: Mapping[str, Offset]
    travel_m: float
    ratios: Mapping[str, float]


@dataclass(frozen=True)
class Seen:
    """A rig at one place of its travel, for an effort of 1.

    Attributes
    ----------
    share : (float, float)
        Effort ÷ resistance without friction and with it.
    loads : tuple of (float, float)
        Load ÷ effort of every use, without friction and with it.
    side_rad : (float, float)
        Pull on the stuck vehicle from its axis, above 0 to the left, without friction and with it.
    out_m : float
        Winch line outside the drum.
    """

    share: Offset
    loads: tuple[Offset, ...]
    side_rad: Offset
    out_m: float


def places_of(setting: Setting) -> list[Rig]:
    """Return the rig at every place of its travel that is looked at, the end of the last set-up always among them."""
    rigs = [place.rig for place in setting.along]
    return rigs if len(rigs) > 1 else [*rigs, setting.layout.starts[-1].end]


def seen(setting: Setting, rigs: Sequence[Rig], off: Off) -> list[Seen]:
    """Return a rig that is a little off, at every place.

    Parameters
    ----------
    setting : Setting
    rigs : sequence of Rig
        From :func:`places_of`.
    off : Off

    Raises
    ------
    RigRefusal
        It does not work so.
    """
    shared = {name: _shared(one, off, setting) for name, one in setting.request.shared.items()}
    uses = _uses(setting, shared)
    ratios = {block: k.value for block, k in setting.ratios.items()} | dict(off.ratios)
    found = []
    for n, rig in enumerate(rigs):
        there = _moved(rig, shared, off)
        if n == len(rigs) - 1 and off.travel_m:
            there = moved(there, off.travel_m)
        free = solve_core(there, 1.0, None, setting.stall_N, ())
        held = solve_core(there, ratios or None, None, setting.stall_N, (), free)
        found.append(_seen(free, held, uses))
    return found


def _seen(free: Core, held: Core, uses: Sequence[Use]) -> Seen:
    records = (bare(free), bare(held))
    efforts = [next(iter(one.effort_N.values())) for one in records]
    shares = [effort / one.resistance_N for one, effort in zip(records, efforts, strict=True)]
    loads = [[use.load(one) / effort for one, effort in zip(records, efforts, strict=True)] for use in uses]
    load = free.moving.rig.load.name
    sides = [_side_rad(one, load) for one in records]
    out_m = placed_length(free.moving.rig)
    return Seen(_two(shares), tuple(_two(one) for one in loads), _two(sides), out_m)


def _two(values: Sequence[float]) -> Offset:
    return values[0], values[1]


def _side_rad(solution: RigSolution, load: str) -> float:
    pull = solution.bodies[load].vector_N or (0.0, 0.0)
    return math.atan2(pull[1], abs(pull[0])) if math.hypot(*pull) > 0.0 else 0.0


def _moved(rig: Rig, shared: Mapping[str, SharedAnchor], off: Off) -> Rig:
    bodies = dict(rig.bodies)
    for name, body in rig.bodies.items():
        if body.role == LOAD:
            continue
        if name in shared:
            at = shared[name].place
            bodies[name] = replace(body, at=(at.along_m, at.aside_m, body.at[2]))
        elif name in off.anchors:
            x, y = off.anchors[name]
            bodies[name] = replace(body, at=(body.at[0] + x, body.at[1] + y, body.at[2]))
    return replace(rig, bodies=bodies)


def _shared(one: SharedAnchor, off: Off, setting: Setting) -> SharedAnchor:
    """Return a bridle laid between two anchors that are a little off."""
    offsets = [off.anchors.get(name, (0.0, 0.0)) for name in one.anchors]
    if not any(x or y for x, y in offsets):
        return one
    first, second = (
        Place(at.along_m + x, at.aside_m + y) for at, (x, y) in zip(one.at, offsets, strict=True)
    )
    laid = bridled(one.anchors, (first, second), one.piece, setting.request.direction)
    return one if laid is None else laid


def _uses(setting: Setting, shared: Mapping[str, SharedAnchor]) -> Sequence[Use]:
    """Return the uses of the rig; those of a bridle that is a little off with the same pieces."""
    uses = setting.geared.uses
    if all(one is setting.request.shared[name] for name, one in shared.items()):
        return uses
    request = replace(setting.request, shared=shared)
    try:
        at_stall, old = greatest([place.free for place in setting.along]), setting.geared
        again = gear_up(setting.rig, request, at_stall, 0.0, old.devices, old.bridles).uses
    except Lacking:
        return uses
    return again if [use.item for use in again] == [use.item for use in uses] else uses
