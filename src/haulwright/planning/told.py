"""What a plan says of its chosen rig: resistance of its way, zone, checklist, brief, what the cells read, notices."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import TypedDict

from haulwright.errors import PlanRefusal
from haulwright.files.kit import ELASTIC
from haulwright.notices import Code, Notice
from haulwright.planning import checklist as words
from haulwright.planning.brief import CLOSING, briefs, marks
from haulwright.planning.candidates import Setting
from haulwright.planning.found import Planned
from haulwright.planning.request import Request
from haulwright.planning.resistance import advice, summary
from haulwright.planning.result import Candidate, Mark, ResistanceSummary, Zone
from haulwright.planning.siblings import siblings
from haulwright.planning.winch import overfull
from haulwright.planning.zone import zone_of
from haulwright.quantities.units import spoken


class Told(TypedDict):
    """The fields of a plan that hang on which rig is chosen."""

    chosen: str | None
    resistance_N: ResistanceSummary
    zone: Zone
    checklist: tuple[str, ...]
    brief: tuple[str, ...]
    briefs: Mapping[str, tuple[str, ...]]
    closing: tuple[str, ...]
    marks: tuple[Mark, ...]
    notices: tuple[Notice, ...]


def told_of(request: Request, setting: Setting | None, best: Candidate | None) -> Told:
    """Return what is said of one rig; of the pull alone where there is none.

    Parameters
    ----------
    request : Request
        Of the way and winch of the rig.
    setting, best : Setting, Candidate, or None
    """
    resistance = summary(request.resistance)
    zone = zone_of(request, setting)
    stops = _stops(request, resistance)
    first = tuple(notice.message for notice in (*stops, *_said_first(request)))
    told = briefs(setting, best, request.pull, zone, first)
    return Told(
        chosen=best.rig if best else None,
        resistance_N=resistance,
        zone=zone,
        checklist=words.checklist(setting),
        brief=list(told.values())[-1],
        briefs=told,
        closing=CLOSING if best else (),
        marks=marks(best),
        notices=_notices(request, best, stops),
    )


def choose(found: Planned, rig: str) -> Planned:
    """Return a plan with another of its rigs chosen: ranks stay, all that is said of the chosen rig is said of it.

    Parameters
    ----------
    found : Planned
    rig : str
        Its name in the plan.

    Raises
    ------
    PlanRefusal
        UNKNOWN_RIG where the plan has none of that name.
    """
    plan, setting = found.plan, found.settings.get(rig)
    row = next((n for n, one in enumerate(plan.candidates) if one.rig == rig), None)
    if setting is None or row is None:
        raise PlanRefusal("UNKNOWN_RIG", f"rig: this plan has no rig named {rig!r}.", ("rig", rig))
    candidates = [replace(one, siblings=None) for one in plan.candidates]
    candidates[row] = replace(candidates[row], siblings=siblings(candidates[row], found.solved[rig]))
    told = told_of(setting.request, setting, candidates[row])
    return replace(found, plan=replace(plan, candidates=tuple(candidates), **told))


def _stops(request: Request, resistance: ResistanceSummary) -> tuple[Notice, ...]:
    """Return every reason to stop and call a professional."""
    reasons = words.professional(request.pull, resistance, request.resistance.weight_N)
    found = [notice for notice in request.resistance.notices if notice.code == Code.STOP_PROFESSIONAL.name]
    return (*found, *(Code.STOP_PROFESSIONAL.notice(("pull",), text=reason) for reason in reasons))


def _said_first(request: Request) -> list[Notice]:
    """Return what is no reason to call a professional, but must be heard before any task: it may run away, the drum."""
    runs = [notice for notice in request.resistance.notices if notice.code == Code.RUNAWAY.name]
    return [*runs, *_of_drum(request)]


def _notices(request: Request, best: Candidate | None, stops: tuple[Notice, ...]) -> tuple[Notice, ...]:
    pull = request.pull
    notices = [*stops, *_of_drum(request), *request.resistance.notices]
    notices += [Code.FRICTION_NO_EXCUSE.notice(), Code.NO_STANDING.notice(), Code.DEFER.notice()]
    stall_N = best.stall_N if best else pull.winch.line_pull * pull.winch.stall_factor
    notices.append(Code.STALL.notice((pull.winch.id,), stall=spoken(stall_N)))
    if best is not None and best.verdict in ("over", "unknown"):
        text = f"{best.title} is {best.verdict}: not to be used as it stands. {best.why}"
        notices.append(Code.UNCHECKED.notice((best.rig,), text=text))
    if any(item.kind in ELASTIC for item in pull.kit.items):
        notices.append(Code.ELASTIC.notice(tuple(item.id for item in pull.kit.items if item.kind in ELASTIC)))
    if any(friction.measured for friction in request.friction.values()):
        notices.append(Code.TESTED_ONLY.notice())
    out = tuple(item.id for item in pull.kit.items if not item.usable)
    if out:
        notices.append(
            Code.UNCHECKED.notice(out, text=f"Out of this plan, in quarantine or damaged: {', '.join(out)}.")
        )
    if pull.want.leave_out:
        text = f"Left out of this plan by choice: {', '.join(pull.want.leave_out)}."
        notices.append(Code.ADVICE.notice(pull.want.leave_out, text=text))
    notices += advice(pull)
    if pull.invented:
        notices.append(Code.INVENTED.notice())
    return tuple(dict.fromkeys(notices))


def _of_drum(request: Request) -> tuple[Notice, ...]:
    """Return the warning of a rope that does not fit its drum."""
    winch = request.pull.winch
    full = overfull(winch, request.line)
    return (Code.DRUM_FULL.notice((winch.id,), text=full),) if full else ()
