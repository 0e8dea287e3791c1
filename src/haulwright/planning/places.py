"""What a rig says of the ground it lies on: places, the pull on every anchor as a vector, pull across the way."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import TypedDict

from haulwright.mechanics.rig import Rig
from haulwright.notices import Code, Notice
from haulwright.planning.candidates import Setting
from haulwright.planning.own_bridles import own_bridles
from haulwright.planning.result import AnchorLoad, ItemLoad, OwnBridle, Range
from haulwright.planning.shared_anchor import pull_on
from haulwright.planning.solved import Solved
from haulwright.planning.ways import BACK

Vector = tuple[float, float]
SHOWN = 0.01  # house number: a smaller share is not worth a word


class OnTheGround(TypedDict):
    """The fields of a candidate that need places."""

    way: str
    winch: str
    winch_on: str
    resistance_N: Range
    worst_at_m: float
    advantage_start: float
    places_m: Mapping[str, Vector]
    anchors: Mapping[str, AnchorLoad]
    side_pull_N: ItemLoad
    extension: str | None
    bridles: Mapping[str, tuple[str, str]]
    rise_rad: float
    own_bridles: tuple[OwnBridle, ...]
    _rig: Rig


def on_the_ground(solved: Solved) -> OnTheGround:
    """Return where a rig lies and what its anchors see.

    Parameters
    ----------
    solved : Solved
    """
    setting, resistance = solved.setting, solved.resistance
    request, rig = setting.request, setting.rig
    ground = request.pull.ground
    return {
        "way": request.way,
        "winch": request.pull.winch.id,
        "winch_on": request.pull.winch_on,
        "resistance_N": Range(resistance.low, resistance.likely, resistance.high),
        "worst_at_m": solved.worst_at_m,
        "advantage_start": 1.0 / solved.start_share,
        "places_m": {name: (body.at[0], body.at[1]) for name, body in rig.bodies.items()},
        "anchors": {name: _anchor(solved, name) for name in setting.anchors},
        "side_pull_N": solved.peak(lambda solution: solution.side_pull_N).load_N,
        "extension": request.extension.id if request.extension else None,
        "bridles": {name: one.anchors for name, one in request.shared.items()},
        "rise_rad": -ground.slope if ground.direction == "down" else ground.slope,
        "own_bridles": own_bridles(setting),
        "_rig": rig,
    }


def ground_notices(solved: Solved) -> list[Notice]:
    """Return what must be read of the ground: pull across the way, advantage lost along it, a bridle, a way back.

    Parameters
    ----------
    solved : Solved
    """
    setting = solved.setting
    load, notices = setting.rig.load.name, []
    if solved.side_share > SHOWN:
        force = f"up to {100.0 * solved.side_share:.0f} % of its resistance"
        notices.append(Code.SIDE_PULL.notice((load,), way="sideways", force=force))
    start, worst = solved.start_share, solved.share
    if worst > start * (1.0 + SHOWN):
        text = (
            f"The advantage falls from {1.0 / start:.2f} at the start to {1.0 / worst:.2f} after {solved.worst_at_m:.1f} m, "
            "where the lines stand wider: effort and share are those of there."
        )
        notices.append(Code.ADVICE.notice((setting.name,), text=text))
    for one in setting.request.shared.values():
        text = (
            f"The block must not slide on the bridle from {one.anchors[0]} to {one.anchors[1]}: fix it "
            f"{one.legs_m[0]:.1f} m from {one.anchors[0]} and {one.legs_m[1]:.1f} m from {one.anchors[1]}, in line with the pull."
        )
        notices.append(Code.ADVICE.notice(one.anchors, text=text))
    notices += _taken_up(setting)
    if setting.request.way == BACK and setting.request.pull.vehicle.opposite_direction:
        text = f"Back is taken to be the way {load} came in; if ahead is, say opposite_direction: true."
        notices.append(Code.ADVICE.notice((load,), text=text))
    return notices


def _taken_up(setting: Setting) -> list[Notice]:
    """Return to which length a second rope is made fast at each set-up, where that is shorter than it is."""
    notices = []
    for name, rope in setting.request.ropes.items():
        made_m = [start.rig.lines[name].length_m or 0.0 for start in setting.layout.starts]
        if rope.length is not None and min(made_m) < rope.length - SHOWN:
            each = ", ".join(f"{length:.1f} m" for length in made_m)
            text = f"{rope.label} is made fast shorter than it is, at each set-up anew: {each}. A knot weakens it: see its limit."
            notices.append(Code.ADVICE.notice((rope.id,), text=text))
    return notices


def _anchor(solved: Solved, name: str) -> AnchorLoad:
    """Return the pull on an anchor where it is greatest at stall."""
    shared, resistance = solved.setting.request.shared, solved.resistance
    seen = []
    for place, *both in zip(solved.setting.along, solved.free, solved.upper, strict=True):
        for solution in both:
            pull = pull_on(shared, solution, name)
            seen.append((round(math.hypot(*pull), 6), -place.travel_m, pull, solution.resistance_N))
    _, back_m, (x, y), held_N = max(seen, key=lambda one: one[:2])
    likely = resistance.likely / held_N
    return AnchorLoad((x * likely, y * likely), (x, y), -back_m)
