"""Make a plan: resistance, every rig that can be built here, every piece's margin, the order, the zone, the words."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from haulwright.files.kit import Kit
from haulwright.files.pull import Pull, read_pull
from haulwright.planning.found import Found, Planned, Survey, survey
from haulwright.planning.likely import DRAWS
from haulwright.planning.rank import rank
from haulwright.planning.rejections import merged
from haulwright.planning.request import Request, build_request
from haulwright.planning.result import Candidate, Plan
from haulwright.planning.second_look import with_second_looks
from haulwright.planning.solved import Solved
from haulwright.planning.tackles import Tackles
from haulwright.planning.told import told_of
from haulwright.progress import Progress, Step, silent, within
from haulwright.quantities.measured import Z95, Measured
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
    progress: Progress | None = None,
) -> Planned:
    """Return a plan with the setting and the solution behind every candidate; parameters as :func:`make_plan`.

    ``draws`` of likely conditions for each of the first rigs; 0 leaves them out. ``progress`` is told each step.
    """
    asked = read_pull(pull, kit=kit, friction=friction, rig=rig)
    offered = tackles if isinstance(tackles, Tackles) else Tackles(tuple(tackles))
    tell = progress or silent
    every = survey(asked, offered.paths, within(tell, 0.1, 0.7))
    tell(Step("the first rigs under likely conditions", 0.7))
    by_name = {found.candidate.rig: found for found in every.found}
    ranked = with_second_looks(rank([found.candidate for found in every.found]), by_name, draws)
    tell(Step("no-standing zone, checklist and brief", 0.9))
    best = ranked[0] if ranked else None
    chosen = by_name[best.rig] if best else None
    setting = chosen.setting if chosen else None
    request = setting.request if setting else every.requests[0] if every.requests else build_request(asked)
    plan = Plan(
        pull=asked.name,
        candidates=ranked,
        rejected=merged(every.rejected),
        friction_source={item: friction.source for item, friction in request.friction.items()},
        uncertainty=_uncertainty(ranked, by_name),
        ways=every.ways,
        vehicle=asked.vehicle.name,
        surface=asked.ground.surface,
        **told_of(request, setting, best),
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
