"""The greatest load of every piece along a pull and where it occurs, how warm its blocks get, how the line runs in."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from haulwright.field import drum
from haulwright.field.fleet import fairlead_load, fleet_limits
from haulwright.mechanics.heat import HEAT_CAPACITY_J_per_kgK
from haulwright.planning.candidates import Setting
from haulwright.planning.pull_result import BlockWarmth, Both, Fleet, Peak, PullStep
from haulwright.planning.pull_walk import Look, Station
from haulwright.planning.result import Candidate, ItemLoad, Range
from haulwright.planning.shelf import Use

_MORE = 1.0 + 1e-9


def peaks_of(
    setting: Setting, candidate: Candidate, looks: Sequence[Look], steps: Sequence[PullStep], force: Range
) -> tuple[Peak, ...]:
    """Return the greatest load of every piece, the winch first, then as the rig's pieces are listed."""
    limits = {(one.item, one.role): one.limit_N for one in candidate.items}
    return (_winch_peak(setting, steps), *(_peak(use, looks, force, limits) for use in setting.geared.uses))


def _peak(use: Use, looks: Sequence[Look], force: Range, limits: dict[tuple[str, str], float | None]) -> Peak:
    share = share_at = stall = stall_at = 0.0
    for look in looks:
        for solution in (look.free, look.upper):
            load_N = use.load(solution)
            if load_N > stall * _MORE:
                stall, stall_at = load_N, look.travel_m
            if load_N / solution.resistance_N > share * _MORE:
                share, share_at = load_N / solution.resistance_N, look.travel_m
    limit_N = limits.get((use.item, use.role), use.limit.limit_N)
    return Peak(
        item=use.item,
        role=use.role,
        load_N=ItemLoad(share * force.likely, share * force.high, stall),
        at_m=ItemLoad(share_at, share_at, stall_at),
        limit_N=limit_N,
        utilisation=None if limit_N is None else stall / limit_N if limit_N > 0.0 else math.inf,
    )


def _winch_peak(setting: Setting, steps: Sequence[PullStep]) -> Peak:
    """Return the winch: effort, and its line pull on the last layer met as its limit."""
    likely, high = (
        max(steps, key=lambda step: (getattr(step.effort_N, case), -step.travel_m))
        for case in ("likely", "high")
    )
    stall = max(steps, key=lambda step: (step.stall_N or 0.0, -step.travel_m))
    pulls = [(step.effort_N.high / step.line_pull_N) for step in steps if step.line_pull_N]
    there = [step.line_pull_N for step in steps if step.line_pull_N]
    return Peak(
        item=setting.request.pull.winch.id,
        role="winch",
        load_N=ItemLoad(likely.effort_N.likely, high.effort_N.high, setting.stall_N),
        at_m=ItemLoad(likely.travel_m, high.travel_m, stall.travel_m),
        limit_N=min(there) if there else None,
        utilisation=max(pulls) if pulls else None,
    )


def warmth_of(setting: Setting, looks: Sequence[Look], force: Range) -> tuple[BlockWarmth, ...]:
    """Return the heat that goes into every block over the pull, and by how much it could warm it.

    Notes
    -----
    Heat per metre is integrated over the travel. ``rise = heat / (mass x specific heat)``: an upper bound, nothing is
    given off and nothing goes into the line.
    """
    found = []
    for block, item in setting.geared.devices.items():
        per_N = [0.0, 0.0]
        for left, right in pairwise(looks):
            way_m = max(right.travel_m - left.travel_m, 0.0)
            for n in (0, 1):
                a, b = (look.heat_per_N.get(block, (0.0, 0.0))[n] for look in (left, right))
                per_N[n] += way_m * (a + b) / 2.0
        heat = (force.likely * per_N[0], force.high * per_N[1])
        capacity = HEAT_CAPACITY_J_per_kgK.get(item.material.lower())
        known = item.mass is not None and capacity is not None
        rise = [joule / ((item.mass or 1.0) * (capacity or 1.0)) if known else None for joule in heat]
        found.append(BlockWarmth(block, item.id, Both(*heat), Both(*rise)))
    return tuple(found)


def fleet_of(setting: Setting, stations: Sequence[Station], force: Range) -> Fleet:
    """Return how the line runs onto the drum, where it does so most from the side."""
    pull = setting.request.pull
    most = max(stations, key=lambda one: (round(one.fairlead_rad, 9), -one.travel_m))
    size, limits = pull.winch.drum, fleet_limits()
    lead = None if size is None or size.lead is None else drum.fleet_angle(size.width / 2.0, size.lead)
    straight = (
        f"the way {pull.vehicle.name} is pulled"
        if pull.own_winch
        else f"the way the line leaves {pull.winch_on} at the start: its winch is turned to face it"
    )
    pulls = (force.likely * most.share, force.high * most.share_upper, setting.stall_N)
    return Fleet(
        greatest_rad=most.fairlead_rad,
        at_m=most.travel_m,
        fairlead_N=ItemLoad(*(fairlead_load(pull_N, most.fairlead_rad) for pull_N in pulls)),
        drum_rad=lead,
        good_rad=limits.good_rad,
        limit_rad=limits.greatest_rad,
        valid=limits.valid,
        source=limits.source,
        straight=straight,
    )
