"""What is said beside a rig: stall, unrated pieces, frictions out of their range, the regulator's guidance."""

from __future__ import annotations

from haulwright.catalogue import row
from haulwright.mechanics.solution import RigSolution
from haulwright.notices import Code, Notice
from haulwright.planning.candidates import Setting
from haulwright.planning.result import ItemCheck, ResistanceSummary
from haulwright.planning.solved import Solved
from haulwright.quantities.units import show

FURTHER = "block-anchor-factor"
CONNECTOR = "connector-stall-factor"


def notices_of(
    setting: Setting, solved: Solved, resistance: ResistanceSummary, items: tuple[ItemCheck, ...]
) -> tuple[Notice, ...]:
    """Return what must be read with a rig: stall, unrated pieces, frictions out of range, guidance, set-ups."""
    notices = [Code.STALL.notice((setting.request.pull.winch.id,), stall=show(setting.stall_N, "kN"))]
    notices += [Code.UNKNOWN_RATING.notice((i.item,), what=i.item) for i in items if i.verdict == "unknown"]
    notices += [
        notice
        for use in setting.geared.uses
        for notice in use.limit.notices
        if notice.code != Code.UNKNOWN_RATING.name
    ]
    notices += _friction_notices(setting, solved)
    notices.append(_guidance(setting))
    if (
        setting.drum
        and resistance.breakout * solved.high[1].one_winch.winch_share > setting.drum.lowest.pull_N
    ):
        text = f"The vehicle may not start: breakout asks for more than {show(setting.drum.lowest.pull_N, 'kN')} at the drum."
        notices.append(Code.OUT_OF_RANGE.notice((setting.request.pull.winch.id,), text=text))
    if setting.layout.setups > 1:
        text = f"{setting.layout.setups} set-ups: the blocks meet after {setting.layout.travel_m:.1f} m of travel each."
        notices.append(Code.TWO_BLOCKED.notice((setting.name,), text=text))
    return tuple(dict.fromkeys(notices))


def _friction_notices(setting: Setting, solved: Solved) -> list[Notice]:
    notices = []
    for block, item in setting.geared.devices.items():
        friction = setting.request.friction[item.id]
        if friction.warning:
            notices.append(Code.UNCHECKED.notice((item.id,), text=friction.warning))
        high = _tension_at(solved.expected, block)
        if friction.valid_N and not friction.valid_N[0] <= high <= friction.valid_N[1]:
            text = (
                f"{item.label}: its friction was measured from {show(friction.valid_N[0], 'kN')} to "
                f"{show(friction.valid_N[1], 'kN')}, here the line carries {show(high, 'kN')}."
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


def _guidance(setting: Setting) -> Notice:
    """Check pieces marked MBS against the regulator's guidance; WLL is never held against it."""
    connector, further = row("rules", CONNECTOR), row("rules", FURTHER)
    short: dict[str, str] = {}
    unmarked: dict[str, str] = {}
    for use in setting.geared.uses:
        if use.owned is None:
            continue
        asked = setting.stall_N * connector.si * (further.si if use.part in ("turning", "anchoring") else 1.0)
        if use.owned.basis != "MBS" or use.owned.rating is None:
            unmarked[use.item] = use.label
        elif use.owned.rating < asked:
            short[use.item] = f"{use.label} ({show(use.owned.rating, 'kN')} MBS, asked {show(asked, 'kN')})"
    words = [
        f"Regulator's guidance ({further.source.cite()}): least failure capacity {connector.si:g} × stall for connectors, "
        f"{connector.si * further.si:g} × stall for a block at a bend and what ties it to its anchor.",
        f"Below it: {', '.join(short.values())}." if short else "No piece marked MBS is below it.",
        f"Not checked, no MBS marked: {', '.join(unmarked.values())}." if unmarked else "",
    ]
    text, where = " ".join(word for word in words if word), (*short, *unmarked)
    return Code.UNCHECKED.notice(where, text=text) if short else Code.RULE_OF_THUMB.notice(where, text=text)
