"""What is said beside a rig: stall, unrated pieces, frictions out of their range, the regulator's guidance."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from functools import partial

from haulwright.files.kit import Item
from haulwright.mechanics.solution import RigSolution
from haulwright.notices import Code, Notice
from haulwright.planning.candidates import Setting
from haulwright.planning.guidance import guidance, guidance_notice
from haulwright.planning.places import ground_notices
from haulwright.planning.result import ItemCheck, ResistanceSummary
from haulwright.planning.solved import Solved
from haulwright.quantities.units import spoken


def notices_of(
    setting: Setting, solved: Solved, resistance: ResistanceSummary, items: tuple[ItemCheck, ...]
) -> tuple[Notice, ...]:
    """Return what must be read with a rig: stall, unrated pieces, frictions out of range, guidance, set-ups."""
    uses, pull = setting.geared.uses, setting.request.pull
    notices = [Code.UNCHECKED.notice((i.item,), text=_of_anchor(i)) for i in items if i.first or i.holds_N]
    notices += [Code.STALL.notice((setting.request.pull.winch.id,), stall=spoken(setting.stall_N))]
    notices += [Code.UNKNOWN_RATING.notice((i.item,), what=i.item) for i in items if i.verdict == "unknown"]
    notices += [
        notice for use in uses for notice in use.limit.notices if notice.code != Code.UNKNOWN_RATING.name
    ]
    notices += [*ground_notices(solved), *_friction_notices(setting, solved)]
    notices += overdue_notices((use.owned for use in uses if use.owned is not None), pull.day)
    notices.append(guidance_notice(guidance(uses, setting.stall_N)))
    if setting.drum and resistance.breakout * solved.share_upper > setting.drum.lowest.pull_N:
        text = f"The vehicle may not start: breakout asks for more than {spoken(setting.drum.lowest.pull_N)} at the drum."
        notices.append(Code.OUT_OF_RANGE.notice((setting.request.pull.winch.id,), text=text))
    if setting.request.hang_m > 0.0:
        text = (
            f"A block may hang up to {setting.request.hang_m:g} m from its anchor on its strap: the travel keeps clear of that "
            "too. A shorter strap leaves more."
        )
        notices.append(Code.ADVICE.notice((setting.name,), text=text))
    if setting.layout.setups > 1:
        text = f"{setting.layout.setups} set-ups: the blocks meet after {setting.layout.travel_m:.1f} m of travel each."
        notices.append(Code.TWO_BLOCKED.notice((setting.name,), text=text))
    return tuple(dict.fromkeys(notices))


def _of_anchor(item: ItemCheck) -> str:
    """Return what must be said of an anchor first, then what is known of it."""
    note = item.note.rstrip(".")
    return " ".join(text for text in (item.first, f"{item.item}: {note}." if note else "") if text)


def _friction_notices(setting: Setting, solved: Solved) -> list[Notice]:
    notices = []
    for block, item in setting.geared.devices.items():
        friction = setting.request.friction[item.id]
        if friction.warning:
            notices.append(Code.UNCHECKED.notice((item.id,), text=friction.warning))
        high = solved.peak(partial(_tension_at, block=block)).load_N.likely
        if friction.valid_N and not friction.valid_N[0] <= high <= friction.valid_N[1]:
            text = (
                f"{item.label}: its friction was measured from {spoken(friction.valid_N[0])} to "
                f"{spoken(friction.valid_N[1])}, here the line carries {spoken(high)}."
            )
            notices.append(Code.OUT_OF_RANGE.notice((item.id,), text=text))
    return notices


def _tension_at(solution: RigSolution, block: str) -> float:
    """Return the greatest line tension beside a block [N]."""
    return max(
        part.tension_N
        for line in solution.lines.values()
        for part in line.parts
        if block in (part.from_, part.to)
    )


def overdue_notices(items: Iterable[Item], day: date) -> list[Notice]:
    """Return a warning for every piece whose inspection is overdue on a day."""
    return [
        Code.OVERDUE.notice((item.id,), what=item.label, due=item.due.isoformat())
        for item in items
        if item.due is not None and item.overdue(day)
    ]
