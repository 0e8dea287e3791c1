"""Make a plan: resistance, every rig that can be built here, every piece's margin, the order, the zone, the words."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import asdict
from pathlib import Path
from typing import Any

from haulwright.errors import PlanRefusal
from haulwright.field.zone import stand_clear
from haulwright.files.kit import ELASTIC, Kit
from haulwright.files.pull import Pull, read_pull
from haulwright.notices import Code, Notice
from haulwright.planning import checklist as words
from haulwright.planning.assess import assess
from haulwright.planning.candidates import Setting, settings
from haulwright.planning.layout import Lacking, Place
from haulwright.planning.rank import merged, rank
from haulwright.planning.request import Request, build_request
from haulwright.planning.resistance import advice, summary
from haulwright.planning.result import Candidate, Plan, Rejected, ResistanceSummary, Zone
from haulwright.planning.solved import Solved
from haulwright.quantities.measured import Z95, Measured
from haulwright.quantities.units import show
from haulwright.records import Made


def make_plan(
    pull: str | Path | Mapping[str, Any] | Pull,
    *,
    kit: str | Path | Mapping[str, Any] | Kit | None = None,
    friction: str | Path | Mapping[str, Any] | None = None,
    rig: str | None = None,
) -> Plan:
    """Return ranked rigs for a pull, with every piece's margin at the expected load and at winch stall.

    Parameters
    ----------
    pull : path, mapping or Pull
        The pull file, the same as a mapping, or a pull that was read before.
    kit, friction, rig : optional
        Used in place of what the pull names: a kit, a devices file, the one rig to check.

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
    asked = read_pull(pull, kit=kit, friction=friction, rig=rig)
    request = build_request(asked)
    resistance = summary(request.resistance)
    found, rejected = _candidates(request, resistance)
    ranked = rank([candidate for candidate, _, _ in found])
    best = ranked[0] if ranked else None
    setting, solved = _of(best, found)
    zone = _zone(request, setting)
    stops = _stops(request, resistance)
    return Plan(
        pull=asked.name,
        resistance_N=resistance,
        candidates=ranked,
        rejected=merged(rejected),
        chosen=best.rig if best else None,
        zone=zone,
        checklist=words.checklist(setting),
        brief=words.brief(setting, best, asked, zone, tuple(stop.message for stop in stops)),
        friction_source={item: friction.source for item, friction in request.friction.items()},
        uncertainty=_uncertainty(ranked, found),
        notices=_notices(request, best, stops),
        made=_made(request, solved),
    )


Found = tuple[Candidate, Setting, Solved]


def _candidates(request: Request, resistance: ResistanceSummary) -> tuple[list[Found], list[Rejected]]:
    buildable, rejected = settings(request)
    found: list[Found] = []
    for setting in buildable:
        try:
            candidate, solved = assess(setting, resistance, keep_weak=request.pull.rig is not None)
            found.append((candidate, setting, solved))
        except Lacking as lack:
            rejected.append(Rejected(setting.name, str(lack), setting.named))
    if request.pull.rig is not None and not found:
        lacked = "; ".join(dict.fromkeys(one.lacked for one in rejected))
        raise PlanRefusal(
            "CANNOT_BUILD",
            f"rig: {request.pull.rig} cannot be built here. It lacks {lacked}.",
            ("rig", request.pull.rig),
        )
    return found, rejected


def _of(best: Candidate | None, found: Sequence[Found]) -> tuple[Setting | None, Solved | None]:
    for candidate, setting, solved in found:
        if best is not None and candidate.rig == best.rig:
            return setting, solved
    return None, None


def _zone(request: Request, setting: Setting | None) -> Zone:
    spots = [Place(0.0), *request.places.values()]
    spread = max(a.to(b) for a in spots for b in spots)
    ropes = [item for item in (request.line, setting.request.second_rope if setting else None) if item]
    lengths = [item.length for item in ropes]
    line_m = None if not lengths or None in lengths else sum(length for length in lengths if length)
    second = setting.request.second_rope if setting else None
    paid_out = setting.layout.path_m + (second.length or 0.0 if second else 0.0) if setting else None
    clear = stand_clear(line_m=line_m, paid_out_m=paid_out, spread_m=spread)
    return Zone(clear.radius_m, clear.rule, tuple(asdict(rule) for rule in clear.rules), clear.never)


def _uncertainty(ranked: Sequence[Candidate], found: Sequence[Found]) -> dict[str, Measured]:
    """Return the intervals by the paths of the record: friction, and the scatter from set-up to set-up."""
    spread: dict[str, Measured] = {}
    solved_of = {candidate.rig: (setting, solved) for candidate, setting, solved in found}
    for n, candidate in enumerate(ranked):
        setting, solved = solved_of[candidate.rig]
        friction = setting.request.friction
        for block, item in setting.geared.devices.items():
            spread[f"candidates.{n}.ratios.{block}"] = friction[item.id].k
        known = solved.expected.uncertainty
        scatter = max((friction[item.id].scatter for item in setting.geared.devices.values()), default=0.0)
        for key, exact in (("advantage", candidate.advantage), ("winch_share", candidate.winch_share)):
            spread[f"candidates.{n}.{key}"] = widened(known.get(key, Measured.exact(exact)), scatter)
        (drum,) = solved.expected.effort_N
        effort = known.get(f"effort_N.{drum}", Measured.exact(candidate.effort_N.likely))
        spread[f"candidates.{n}.effort_N.likely"] = widened(effort, scatter)
    return spread


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


def _notices(request: Request, best: Candidate | None, stops: tuple[Notice, ...]) -> tuple[Notice, ...]:
    pull = request.pull
    notices = [*stops, *request.resistance.notices]
    notices += [Code.FRICTION_NO_EXCUSE.notice(), Code.NO_STANDING.notice(), Code.DEFER.notice()]
    stall_N = best.stall_N if best else pull.winch.line_pull * pull.winch.stall_factor
    notices.append(Code.STALL.notice((pull.winch.id,), stall=show(stall_N, "kN")))
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


def _made(request: Request, solved: Solved | None) -> Made:
    pull = request.pull
    inputs = {
        "vehicle": pull.vehicle.model_dump(),
        "ground": pull.ground.model_dump(),
        "site": pull.site.model_dump(),
        "winch": pull.winch.model_dump(),
        "winch_on": pull.winch_on,
        "want": pull.want.model_dump(),
        "kit": pull.kit.kit,
        "rig": pull.rig,
        "law": solved.expected.law if solved else None,
    }
    sources = [rule.source for rule in request.resistance.rules] + [
        f.source for f in request.friction.values()
    ]
    return Made(
        "named rigs that fit the site and kit, solved with and without friction",
        inputs,
        tuple(dict.fromkeys(sources)),
    )
