"""Make a plan: resistance, every rig that can be built here, every piece's margin, the order, the zone, the words."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from haulwright.files.kit import ELASTIC, Kit
from haulwright.files.pull import Pull, read_pull
from haulwright.notices import Code, Notice
from haulwright.planning import checklist as words
from haulwright.planning.brief import CLOSING, briefs, marks
from haulwright.planning.found import Found, Planned, Survey, survey
from haulwright.planning.likely import DRAWS
from haulwright.planning.rank import rank
from haulwright.planning.rejections import merged
from haulwright.planning.request import Request, build_request
from haulwright.planning.resistance import advice, summary
from haulwright.planning.result import Candidate, Plan, ResistanceSummary
from haulwright.planning.second_look import with_second_looks
from haulwright.planning.solved import Solved
from haulwright.planning.tackles import Tackles
from haulwright.planning.winch import overfull
from haulwright.planning.zone import zone_of
from haulwright.quantities.measured import Z95, Measured
from haulwright.quantities.units import spoken
from haulwright.records import Made


def make_plan(
    pull: str | Path | Mapping[str, Any] | Pull,
    *,
    kit: str | Path | Mapping[str, Any] | Kit | None = None,
    friction: str | Path | Mapping[str, Any] | None = None,
    rig: str | None = None,
    tackles: Tackles | Sequence[str] = (),
) -> Plan:
    """Return ranked rigs for a pull, with every piece's margin at the expected load and at winch stall.

    Parameters
    ----------
    pull : path, mapping or Pull
        The pull file, the same as a mapping, or a pull that was read before.
    kit, friction, rig : optional
        Used in place of what the pull names: a kit, a devices file, the one rig to check.
    tackles : Tackles or sequence of str
        Tackles to look at beside the named rigs, in one-line notation: X (and beyond) for anchors, O for the load.

    Returns
    -------
    Plan
        ``chosen`` is the best rig (or the one asked for); its verdict may be ``over`` or ``unknown``.

    Raises
    ------
    FileRefusal
        A file or mapping that is wrong.
    PlanRefusal
        A pull that no rule covers, or a rig to check that cannot be built here.
    RigRefusal
        A rig to check that is not known or cannot work.

    Notes
    -----
    A piece's load is the greatest found with all ratios at 1 and with the ratios at the upper end of their interval;
    the effort keeps its friction-raised value. Stall is the rated pull on the lowest drum layer met × stall factor.

    References
    ----------
    Resistance rules, distances and factors: each with its source in the record.
    """
    return planned(pull, kit=kit, friction=friction, rig=rig, tackles=tackles).plan


def planned(
    pull: str | Path | Mapping[str, Any] | Pull,
    *,
    kit: str | Path | Mapping[str, Any] | Kit | None = None,
    friction: str | Path | Mapping[str, Any] | None = None,
    rig: str | None = None,
    tackles: Tackles | Sequence[str] = (),
    draws: int = DRAWS,
) -> Planned:
    """Return a plan with the setting and the solution behind every candidate; parameters as :func:`make_plan`.

    ``draws`` of likely conditions for each of the first rigs; 0 leaves them out.
    """
    asked = read_pull(pull, kit=kit, friction=friction, rig=rig)
    offered = tackles if isinstance(tackles, Tackles) else Tackles(tuple(tackles))
    every = survey(asked, offered.paths)
    by_name = {found.candidate.rig: found for found in every.found}
    ranked = with_second_looks(rank([found.candidate for found in every.found]), by_name, draws)
    best = ranked[0] if ranked else None
    chosen = by_name[best.rig] if best else None
    setting = chosen.setting if chosen else None
    request = setting.request if setting else every.requests[0] if every.requests else build_request(asked)
    resistance = summary(request.resistance)
    zone = zone_of(request, setting)
    stops = _stops(request, resistance)
    first = tuple(notice.message for notice in (*stops, *_said_first(request)))
    told = briefs(setting, best, request.pull, zone, first)
    plan = Plan(
        pull=asked.name,
        resistance_N=resistance,
        candidates=ranked,
        rejected=merged(every.rejected),
        chosen=best.rig if best else None,
        zone=zone,
        checklist=words.checklist(setting),
        brief=list(told.values())[-1],
        briefs=told,
        closing=CLOSING if best else (),
        marks=marks(best),
        friction_source={item: friction.source for item, friction in request.friction.items()},
        uncertainty=_uncertainty(ranked, by_name),
        ways=every.ways,
        notices=_notices(request, best, stops),
        made=_made(asked, request, chosen.solved if chosen else None, every, offered),
    )
    return Planned(
        plan,
        {name: found.setting for name, found in by_name.items()},
        {name: found.solved for name, found in by_name.items()},
    )


def _uncertainty(ranked: Sequence[Candidate], found: Mapping[str, Found]) -> dict[str, Measured]:
    """Return the intervals by the paths of the record: friction, and the scatter from set-up to set-up."""
    spread: dict[str, Measured] = {}
    for n, candidate in enumerate(ranked):
        setting, solved = found[candidate.rig].setting, found[candidate.rig].solved
        friction = setting.request.friction
        for block, k in setting.ratios.items():
            spread[f"candidates.{n}.ratios.{block}"] = k
        scatter = max((friction[item.id].scatter for item in setting.geared.devices.values()), default=0.0)
        advantage, share = (widened(known, scatter) for known in solved.shares)
        spread[f"candidates.{n}.advantage"] = advantage
        spread[f"candidates.{n}.winch_share"] = share
        spread[f"candidates.{n}.effort_N.likely"] = _times(share, solved.resistance.likely)
    return spread


def _times(value: Measured, by: float) -> Measured:
    return Measured(value.value * by, value.u * by, value.lo * by, value.hi * by)


def widened(value: Measured, scatter: float) -> Measured:
    """Return a value that also scatters from set-up to set-up.

    Parameters
    ----------
    value : Measured
    scatter : float
        Standard deviation of its logarithm.

    Notes
    -----
    u becomes sqrt(u² + (value × scatter)²); each side of the interval widens as its own root sum of squares.

    Examples
    --------
    >>> widened(Measured.normal(2.0, 0.006), 0.004).u
    0.010
    """
    if scatter <= 0.0:
        return value
    more = abs(value.value) * scatter
    below = math.hypot(value.value - value.lo, Z95 * more)
    above = math.hypot(value.hi - value.value, Z95 * more)
    return Measured(value.value, math.hypot(value.u, more), value.value - below, value.value + above)


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
        text = f"{best.rig} is {best.verdict}: not to be used as it stands. {best.why}"
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
    notices += advice(pull)
    if pull.invented:
        notices.append(Code.INVENTED.notice())
    return tuple(dict.fromkeys(notices))


def _of_drum(request: Request) -> tuple[Notice, ...]:
    """Return the warning of a rope that does not fit its drum."""
    winch = request.pull.winch
    full = overfull(winch, request.line)
    return (Code.DRUM_FULL.notice((winch.id,), text=full),) if full else ()


def _made(asked: Pull, request: Request, solved: Solved | None, every: Survey, offered: Tackles) -> Made:
    inputs = {
        "vehicle": asked.vehicle.model_dump(),
        "ground": asked.ground.model_dump(),
        "site": asked.site.model_dump(),
        "winch": request.pull.winch.model_dump(),
        "winch_on": request.pull.winch_on,
        "winches": [stand.model_dump() for stand in asked.stands],
        "want": asked.want.model_dump(),
        "kit": asked.kit.kit,
        "rig": asked.rig,
        "law": solved.law if solved else None,
        "rigs_looked_at": every.looked_at,
        "tackles": offered.told,
    }
    sources = [rule.source for rule in request.resistance.rules] + [
        f.source for f in request.friction.values()
    ]
    return Made(
        "every rig that fits the site and kit, solved on the ground along its travel, with and without friction",
        inputs,
        tuple(dict.fromkeys(sources)),
    )
