"""Where a bridle to two points of one vehicle lies when the pull begins."""

from __future__ import annotations

import math
from collections.abc import Sequence

from haulwright.files.place import Anchor, Vehicle
from haulwright.mechanics.rig import Rig
from haulwright.planning.candidates import Setting
from haulwright.planning.result import OwnBridle
from haulwright.planning.shelf import Use


def own_bridles(setting: Setting) -> tuple[OwnBridle, ...]:
    """Return the bridles a rig uses on its vehicles, the stuck one and those it is pulled to.

    Notes
    -----
    The two points stand apart by their spacing: of the stuck vehicle across its way, of another across the way the line
    leaves it. The first of them is taken to be on the left unless its name says right. The middle lies where the line
    leaves, as far out as the legs reach in line.
    """
    pull = setting.request.pull
    vehicles: tuple[Vehicle | Anchor, ...] = (pull.vehicle, *pull.site.anchors)
    found = []
    for use in setting.geared.uses:
        vehicle = next((one for one in vehicles if one.name == use.at), None)
        if use.owned is None or use.owned.kind != "bridle" or vehicle is None:
            continue
        if vehicle.spacing and use.owned.length and len(vehicle.points) > 1:
            found.append(_laid(setting.rig, vehicle, use, vehicle.spacing, use.owned.length))
    return tuple(found)


def _laid(rig: Rig, vehicle: Vehicle | Anchor, use: Use, spacing_m: float, length_m: float) -> OwnBridle:
    x, y, *_ = rig.bodies[vehicle.name].at
    dx, dy = _out_of(rig, vehicle.name)
    reach_m = math.sqrt(max(length_m**2 - spacing_m**2, 0.0)) / 2.0
    names = [point.name for point in vehicle.points[:2]]
    if "right" in names[0] and "right" not in names[1]:
        names.reverse()
    ax, ay = (rig.direction[0], rig.direction[1]) if vehicle.name == rig.load.name else (dx, dy)
    sides = ((x - ay * side * spacing_m / 2.0, y + ax * side * spacing_m / 2.0) for side in (1.0, -1.0))
    points = dict(zip(names, sides, strict=True))
    return OwnBridle(vehicle.name, use.item, points, (x + dx * reach_m, y + dy * reach_m))


def _out_of(rig: Rig, body: str) -> tuple[float, float]:
    """Return the way in which what is made fast to a body pulls it: that of a line's end, else of its block."""
    ways = []
    for line in rig.lines.values():
        for n, point in enumerate(line.points):
            fall = line.drum is not None and n == len(line.points) - 1
            if point.body == body and not fall:
                near = [line.points[i] for i in (n - 1, n + 1) if 0 <= i < len(line.points)]
                ways += [_unit(rig.bodies[body].at, rig.bodies[one.body].at) for one in near]
    x, y = sum(way[0] for way in ways), sum(way[1] for way in ways)
    size = math.hypot(x, y)
    return (x / size, y / size) if size > 0.0 else (rig.direction[0], rig.direction[1])


def _unit(a: Sequence[float], b: Sequence[float]) -> tuple[float, float]:
    far = math.hypot(b[0] - a[0], b[1] - a[1])
    return ((b[0] - a[0]) / far, (b[1] - a[1]) / far) if far > 0.0 else (0.0, 0.0)
