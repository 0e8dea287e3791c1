"""What is said of a set-up: blocks that meet, a drum that is full, a line that does not reach, where the rig ends."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from haulwright.mechanics.advance import Walk
from haulwright.mechanics.core import Core
from haulwright.mechanics.finding_records import Clearance, LineNeed
from haulwright.mechanics.gaps import SAME_M, curved
from haulwright.mechanics.rig import FLOATING
from haulwright.notices import Code, Notice


def needed_m(need: LineNeed) -> float:
    """Return the line a drum needs [m], without its parts where those are not known."""
    return math.fsum([need.parts_m or 0.0, need.sheaves_m, need.kept_m, need.tail_m])


def clearance_notices(
    core: Core, found: Clearance, full: Mapping[str, float], walked: Walk | None
) -> Iterator[Notice]:
    """Yield every notice of how far a set-up goes."""
    yield from _meet_notices(found)
    for drum, need in found.line.items():
        line = core.moving.rig.drums[drum].name
        if need.have_m is not None and need.have_m < needed_m(need) - 1e-6:
            yield Code.LINE_SHORT.notice((line, drum), text=_short(line, need))
        if drum in full and found.wanted_m is not None:
            yield from _full(core, drum, found, full[drum], walked)
    if walked and walked.refused:
        text = (
            f"After {walked.travels_m[-1]:.1f} m of travel the rig works no further: {walked.refused.message}"
        )
        yield Code.OUT_OF_RANGE.notice(tuple(walked.refused.where), text=text)
    elif found.wanted_m is not None and curved(core.moving.rig) and walked is None:
        names = tuple(b.name for b in core.moving.rig.bodies.values() if b.role == FLOATING)
        text = (
            f"{' and '.join(names)} moves along a curve as the load travels: whether it meets another block, and the line "
            "taken in, are not given. Look along the travel."
        )
        yield Code.UNCHECKED.notice(names, text=text)


def _full(core: Core, drum: str, found: Clearance, end: float, walked: Walk | None) -> Iterator[Notice]:
    """Yield that a drum is full before the travel wanted, or before the blocks meet, is done."""
    meets = found.gaps[0].meets_m if found.gaps else None
    travel = min(x for x in (found.wanted_m, meets) if x is not None)
    if travel <= end + SAME_M:
        return
    room = found.line[drum].room_m or 0.0
    motion, line = core.moving.motion, core.moving.rig.drums[drum]
    brings = motion.flows[line.name][-1] / motion.load_speed * travel
    steady = "" if walked else f" brings in {brings:.1f} m, its drum"
    again = f"; {_times(found.resets)} needed" if found.resets else ""
    text = f"{drum}{steady} has room for {room:.1f} m: full after {end:.1f} m{again}."
    yield Code.DRUM_FULL.notice((drum,), text=text)


def _meet_notices(found: Clearance) -> Iterator[Notice]:
    first = found.gaps[0] if found.gaps else None
    if (
        first is None
        or first.meets_m is None
        or found.wanted_m is None
        or found.wanted_m <= first.meets_m + SAME_M
    ):
        return
    pair = f"({first.from_} and {first.to})"
    if first.meets_m <= SAME_M:
        text = f"Blocks are as near as they may come at the start {pair}: there is no travel. Set the rig longer."
    else:
        again = f"; {_times(found.resets)} needed" if found.resets else ""
        text = f"Blocks meet after {first.meets_m:.1f} m {pair}{again}."
    if first.least_from != "stated":
        text += f" That leaves {first.least_m:g} m between them, a house number: state least_gap."
    yield Code.TWO_BLOCKED.notice((first.from_, first.to), text=text)


def _times(resets: int | None) -> str:
    return f"{resets} reset{'' if resets == 1 else 's'}"


def _short(line: str, need: LineNeed) -> str:
    parts = [
        f"{value:.2f} m {what}"
        for value, what in (
            (need.parts_m, "its parts"),
            (need.sheaves_m, "round the sheaves"),
            (need.kept_m, "wraps that stay on the drum"),
            (need.tail_m, "hitch and tail"),
        )
        if value
    ]
    return (
        f"{line} needs {needed_m(need):.2f} m ({', '.join(parts)}), there are {need.have_m or 0.0:.2f} m: it does not reach. "
        "Give a longer line or other places."
    )
