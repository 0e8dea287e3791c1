"""An extension line where the line on the drum is too short: between it and what it is made fast to."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from haulwright.files.kit import Item
from haulwright.mechanics.rig import Rig
from haulwright.mechanics.solution import RigSolution
from haulwright.planning.drum_use import DrumUse, drum_use
from haulwright.planning.lacking import Lacking
from haulwright.planning.layout import Layout, placed_length
from haulwright.planning.limits import item_limit
from haulwright.planning.request import Request
from haulwright.planning.shelf import Use

ROOM_m = 0.5  # house number: the joint stays this far from the next block, or from the drum


def lengthened(request: Request, layout: Layout, short: Lacking) -> tuple[Request, Layout, DrumUse]:
    """Return a rig's lengths with the shortest extension line that makes up for a short winch line.

    Parameters
    ----------
    request : Request
    layout : Layout
        Whose winch line is too short.
    short : Lacking
        What it lacks without one.

    Raises
    ------
    Lacking
        No extension line of the kit is long enough, or each would reach a block before the pull is done.

    Notes
    -----
    The joint lies at the length of the extension from the standing end. It must never run over a block or on to the drum,
    so the extension is no longer than the standing part at its shortest, or than the whole line where nothing turns it.
    """
    room = min(_room(rig) for start in layout.starts for rig in (start.rig, start.end)) - ROOM_m
    too_long = ""
    for item in _extensions(request):
        if (item.length or 0.0) > room:
            too_long = f"; {item.label} is too long for it: its joint would reach a block or the drum"
            continue
        shorter = replace(layout, path_m=layout.path_m - (item.length or 0.0))
        try:
            used = drum_use(request.windings, request.wraps, shorter)
        except Lacking:
            continue
        return replace(request, extension=item), shorter, used
    raise Lacking(f"{str(short).rstrip('.')}{too_long}", "line") from None


def _extensions(request: Request) -> Iterator[Item]:
    kit, taken = request.pull.kit, request.reserved
    lines = [
        i for i in kit.items if i.kind == "extension line" and i.usable and i.length and i.id not in taken
    ]
    yield from sorted(lines, key=lambda item: item.length or 0.0)


def _room(rig: Rig) -> float:
    line = rig.hauling_line
    if len(line.points) == 2:
        return placed_length(rig)
    return math.dist(rig.place(line.points[0]), rig.place(line.points[1]))


def extension_use(rig: Rig, request: Request) -> Use | None:
    """Return the extension line of a rig as one of its pieces; None where it has none."""
    item, name = request.extension, rig.hauling_line.name
    if item is None:
        return None

    def load(solution: RigSolution) -> float:
        return solution.lines[name].parts[0].tension_N

    limit = item_limit(item, request.pull.kit)
    return Use(item.id, item.label, "extension of the winch line", limit, load, owned=item)
