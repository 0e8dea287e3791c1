"""Which way out, and what stands at which end: a way back is the pull seen from behind.

A way back is pulled by what stands behind the vehicle, by its rear points and a winch at its rear; up the slope becomes
down it, and the way it came in becomes the other one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from haulwright.files.place import Anchor, Point, WinchPlace
from haulwright.files.pull import Pull

AHEAD, BACK = "ahead", "back"
_OTHER_SIDE = {"ahead": "behind", "behind": "ahead"}
_OTHER_SLOPE = {"up": "down", "down": "up", "level": "level"}
_END = {AHEAD: "front", BACK: "rear"}


def ways_of(pull: Pull) -> tuple[str, ...]:
    """Return the ways out that are wanted, ahead first."""
    return (AHEAD, BACK) if pull.want.way == "either" else (pull.want.way,)


def stands_of(pull: Pull) -> tuple[WinchPlace, ...]:
    """Return every winch that may be used with what it stands on."""
    return pull.stands or (WinchPlace(id=pull.winch.id, on=pull.winch_on),)


def seen(pull: Pull, way: str, stand: WinchPlace) -> Pull:
    """Return a pull as it is seen on one way, hauled by one of its winches.

    Parameters
    ----------
    pull : Pull
    way : str
        ``ahead`` or ``back``; on the way back every anchor changes sides, and so do left and right.
    stand : WinchPlace
        The winch and what it stands on.

    Returns
    -------
    Pull
        Its vehicle has the points of the end that is pulled; a helper those of the end with the winch, or else those of
        the end that has most.
    """
    on = stand.on or pull.vehicle.name
    pull = replace(pull, winch=pull.kit.winch(stand.id), winch_on=on)
    vehicle = pull.vehicle.model_copy(update={"points": _at(pull.vehicle.points, _END[way])})
    anchors = tuple(
        _seen_anchor(anchor, way, stand.end if anchor.name == on else "") for anchor in pull.site.anchors
    )
    site = pull.site.model_copy(update={"anchors": anchors})
    ground = pull.ground
    if way == BACK:
        vehicle = vehicle.model_copy(update={"opposite_direction": not vehicle.opposite_direction})
        ground = ground.model_copy(update={"direction": _OTHER_SLOPE[ground.direction]})
    return replace(pull, vehicle=vehicle, site=site, ground=ground)


def end_of(way: str) -> str:
    """Return the end of the stuck vehicle that is pulled."""
    return _END[way]


def _at(points: Sequence[Point], end: str) -> tuple[Point, ...]:
    return tuple(point for point in points if point.end == end)


def _seen_anchor(anchor: Anchor, way: str, winch_end: str) -> Anchor:
    front, rear = _at(anchor.points, "front"), _at(anchor.points, "rear")
    most = rear if len(rear) > len(front) else front
    points = _at(anchor.points, winch_end) if winch_end else most
    changed: dict[str, object] = {"points": points}
    if way == BACK:
        changed |= {"side": _OTHER_SIDE[anchor.side], "aside": 0.0 - anchor.aside}
    return anchor.model_copy(update=changed)
