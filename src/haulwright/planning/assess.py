"""Every piece of a rig against its own limit: at the likely and high resistance, and at winch stall.

Friction never excuses smaller gear: a piece's load is the greatest found with every ratio at 1 and with every ratio at
the upper end of its interval. The effort at the winch keeps its friction-raised value.
"""

from __future__ import annotations

from haulwright.errors import PlanRefusal
from haulwright.field import rating
from haulwright.field.motor import winch_work
from haulwright.planning.candidates import Setting
from haulwright.planning.chain import chain_of
from haulwright.planning.guidance import guidance
from haulwright.planning.judged import check
from haulwright.planning.lacking import Lacking
from haulwright.planning.places import on_the_ground
from haulwright.planning.remarks import notices_of
from haulwright.planning.result import Candidate, ItemCheck, ItemLoad, Range, ResistanceSummary
from haulwright.planning.shelf import Use
from haulwright.planning.solved import Peak, Solved, solve
from haulwright.planning.titles import rig_title
from haulwright.planning.winch import motor_of
from haulwright.quantities.units import spoken

_WIDER = 1.1  # house number: by so much more effort than at the start it is worth a word


def assess(
    setting: Setting, resistance: ResistanceSummary, keep_weak: bool = False
) -> tuple[Candidate, Solved]:
    """Return the rig with every piece checked; rank and reason are still empty.

    Parameters
    ----------
    setting : Setting
    resistance : ResistanceSummary
    keep_weak : bool
        Also return a rig the winch cannot pull at the high resistance (verdict ``over``).

    Raises
    ------
    Lacking
        The winch does not pull it at the high resistance.
    """
    solved = solve(setting, resistance)
    setting = solved.setting
    effort = _effort(solved, resistance)
    winch = _winch_check(setting, effort)
    if winch.verdict == "over" and not keep_weak:
        limit, layer = spoken(winch.limit_N or 0.0), _last_layer(setting)
        raise Lacking(
            f"line pull: {spoken(effort.high)} at the high resistance{_wide(solved)}, {limit} on layer {layer}"
        )
    items = (
        winch,
        *(_check(use, solved, solved.peak(use.load)) for use in setting.geared.uses),
    )
    time_s, charge = _work(setting, effort.likely)
    share = solved.share
    candidate = Candidate(
        rig=setting.name,
        title=rig_title(setting.name),
        path=setting.rig.path,
        sentence=solved.sentence,
        rank=0,
        why="",
        verdict=rating.worst(item.verdict for item in items),
        ideal_advantage=solved.ideal_advantage,
        advantage=1.0 / share,
        winch_share=share,
        effort_N=effort,
        stall_N=setting.stall_N,
        winch_limit_N=setting.drum.highest.pull_N if setting.drum else None,
        layer=setting.drum.lowest.number if setting.drum else 1,
        line_needed_m=setting.drum.needed_m if setting.drum else None,
        line_have_m=setting.drum.have_m if setting.drum else _line_length(setting),
        travel_m=setting.layout.travel_m,
        setups=setting.layout.setups,
        time_s=time_s,
        charge_Ah=charge,
        devices={block: item.id for block, item in setting.geared.devices.items()},
        ratios={b: setting.request.friction[item.id].k.value for b, item in setting.geared.devices.items()},
        items=items,
        notices=notices_of(setting, solved, resistance, items),
        guidance=guidance(setting.geared.uses, setting.stall_N),
        chain=chain_of(setting),
        **on_the_ground(solved),
    )
    return candidate, solved


def _wide(solved: Solved) -> str:
    """Return where that is, if the lines stand so much wider there that less travel would help."""
    if solved.share <= _WIDER * solved.start_share:
        return ""
    return f" after {solved.worst_at_m:.1f} m of travel, where the lines stand wide"


def _effort(solved: Solved, resistance: ResistanceSummary) -> Range:
    """Return the greatest effort: friction as expected for low and likely, its upper end for high [N]."""
    share = solved.share
    return Range(resistance.low * share, resistance.likely * share, resistance.high * solved.share_upper)


def _line_length(setting: Setting) -> float | None:
    return setting.request.line.length if setting.request.line else None


def _check(use: Use, solved: Solved, peak: Peak) -> ItemCheck:
    return check(use, solved, peak.load_N, peak.at_m)


def _last_layer(setting: Setting) -> int:
    """Return the layer the winch is judged on: the last met, or the first where the drum is not described."""
    return setting.drum.highest.number if setting.drum else 1


def _winch_check(setting: Setting, effort: Range) -> ItemCheck:
    """Check the winch: effort at the high resistance against its line pull on the last layer met; stall is its own limit.

    Without a described drum the layer is not known. No layer pulls more than the first, so what that cannot pull is over.
    """
    winch, used, stand = setting.request.pull.winch, setting.drum, setting.request.pull.winch_on
    load = ItemLoad(effort.likely, effort.high, setting.stall_N)
    if used is None and effort.high <= winch.line_pull:
        note = "its drum or rope is not described: the layer, and so the line pull on it, is not known"
        return ItemCheck(
            winch.id, "winch", load, None, "unknown", None, "unknown", note, name=winch.label, at=stand
        )
    limit_N, last = used.highest.pull_N if used else winch.line_pull, _last_layer(setting)
    share = effort.high / limit_N
    note = f"share: effort at the high resistance ÷ line pull on layer {last}"
    if used:
        first = used.lowest.number
        note += f"; the pull is made on layer {first}" + (f" to {last}" if last != first else "")
    basis = f"rated line pull on layer {last}"
    verdict = rating.verdict(share)
    return ItemCheck(
        winch.id, "winch", load, limit_N, basis, share, verdict, note, name=winch.label, at=stand
    )


def _work(setting: Setting, effort_N: float) -> tuple[float | None, float | None]:
    """Return running time [s] and charge [Ah] over all set-ups; None without the maker's table."""
    motor = motor_of(setting.request.pull.winch)
    if motor is None or setting.drum is None:
        return None, None
    try:
        work = winch_work(motor.table, effort_N, setting.drum.spans)
    except PlanRefusal:
        return None, None
    return work.time_s, work.charge_Ah
