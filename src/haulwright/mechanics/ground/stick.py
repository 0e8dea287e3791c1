"""Blocks that hardly run along their own line: friction may hold them anywhere between two places.

A block on a running bridle is dragged along by the winch line while the bridle itself hardly runs over it. Where it then
rests depends on where it lay before; the two ends are the places with the bridle's friction fully one way and the other.
"""

from __future__ import annotations

from dataclasses import dataclass

from haulwright.mechanics import winch_stated
from haulwright.mechanics.geometry import wrap_between
from haulwright.mechanics.ground.haul import Hauled, Laws, metres, with_sign
from haulwright.mechanics.ground.net import Net, steps
from haulwright.mechanics.ground.newton import State
from haulwright.mechanics.rig import Vec

HARDLY = 0.1  # house number: under 10 cm of line over the block for each metre the drum takes in


@dataclass(frozen=True)
class Band:
    """Where a block that hardly runs may rest.

    ``at_m`` and ``effort`` give both ends, with the friction of the contact fully one way and the other; ``greatest`` is
    the greatest tension of the line at either end. Effort (at ``drum``, the first whose pull is not stated) and tension
    are shares of the resistance.
    """

    block: str
    line: str
    at_m: tuple[Vec, Vec]
    effort: tuple[float, float]
    greatest: float
    drum: str


def bands(net: Net, laws: Laws, found: Hauled) -> tuple[Band, ...]:
    """Return the bands of all contacts between a free block and a line without a drum that hardly runs over it."""
    return tuple(band for contact in _hardly(net, found) if (band := _band(net, laws, found, contact)))


def _hardly(net: Net, found: Hauled) -> list[tuple[int, int]]:
    most = HARDLY * found.path.taken_in
    return [
        (r, j)
        for r, line in enumerate(net.lines)
        for j in range(len(line.blocks))
        if line.points[j + 1][0] < len(net.free)
        and ((r, j) in found.stuck or (not line.drum and abs(found.path.flows[r][j + 1]) < most))
    ]


def _band(net: Net, laws: Laws, found: Hauled, contact: tuple[int, int]) -> Band | None:
    r, j = contact
    line = net.lines[r]
    law = laws.get(line.blocks[j])
    if law is None or law.ratio(_wrap(net, found.state, contact)) <= 1.0:
        return None
    ends = [end for sign in (1.0, -1.0) if (end := with_sign(net, laws, found, contact, sign))]
    if len(ends) < 2:
        return None
    body = line.points[j + 1][0]
    hauls = winch_stated.hauling(net.rig)[0]
    drum = next(i for i, one in enumerate(net.lines) if one.name == net.rig.drums[hauls].name)
    (one, pulls), (other, pulls_there) = ends
    return Band(
        block=line.blocks[j],
        line=line.name,
        at_m=(metres(net, one.where)[body], metres(net, other.where)[body]),
        effort=(pulls[drum][-1], pulls_there[drum][-1]),
        greatest=max(*pulls[r], *pulls_there[r]),
        drum=hauls,
    )


def _wrap(net: Net, state: State, contact: tuple[int, int]) -> float:
    parts = steps(net.lines[contact[0]], state.where)
    return wrap_between(parts[contact[1]][0], parts[contact[1] + 1][0])
