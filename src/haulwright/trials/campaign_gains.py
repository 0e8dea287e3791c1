"""What the checks of the cells say goes into each run of a campaign; further cells go into the fit."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import asdict, replace
from typing import Any

from haulwright.files.campaign import CampaignFolder
from haulwright.notices import Notice
from haulwright.quantities.measured import Measured
from haulwright.trials.campaign_pool import Runs
from haulwright.trials.campaign_runs import (
    ANCHOR,
    LINE,
    MeasuredRun,
    cells_of,
    relation_of,
    specs_of,
    with_friction,
)
from haulwright.trials.cell_gains import (
    CellGains,
    CheckedRun,
    check_cells,
    check_notices,
    solve_gains,
    take_off_gain,
)
from haulwright.trials.combine import Pooled
from haulwright.trials.fit import FitRun
from haulwright.trials.heat import heat_notices, predicted_heat
from haulwright.trials.place import placed
from haulwright.trials.remarks import sanity
from haulwright.trials.result import CellCheck, DeviceFriction, TrialResult


def checks_of(folder: CampaignFolder, runs: Runs) -> tuple[tuple[CellCheck, ...], CellGains, list[Notice]]:
    """Return the checks of a campaign's cells, the gains they tell, and what is to be said of them."""
    checked = [
        CheckedRun(
            one.result,
            " ".join(one.rig_key),
            one.session,
            *cells_of(one.entry),
            one.cells,
            one.steps,
            one.entry.run,
        )
        for one in runs.measured
    ]
    for entry in folder.runs:
        if entry.run in runs.steps:
            session = entry.date.isoformat() if entry.date else ""
            steps = runs.steps[entry.run]
            checked.append(
                CheckedRun(None, "", session, *cells_of(entry), specs_of(folder, entry), steps, entry.run)
            )
    checks = check_cells(checked)
    return checks, solve_gains(checks, checked), check_notices(checks, checked)


def corrected(one: MeasuredRun, gains: CellGains) -> MeasuredRun:
    """Return a run with the gain of its cells taken off where the checks tell it, and the friction of its device.

    A series check stays as read.
    """
    gain = None if one.steps else gains.ratio(one.session, *cells_of(one.entry))
    if gain is None:
        result = with_friction(one.result, one.entry, one.model)
        return replace(one, result=replace(result, _others=one.others))
    result = take_off_gain(one.result, gain, relation_of(one.entry, one.model), gains.checks)
    kept = tuple(n for n in result.notices if n.code not in ("IMPOSSIBLE_HIGH", "IMPOSSIBLE_LOW"))
    limits = sanity(result.advantage, one.model.frictionless, one.model.lowest, 1.0)
    result = with_friction(replace(result, notices=(*kept, *limits)), one.entry, one.model)
    return replace(one, result=replace(result, _before=one.result, _others=one.others))


def as_measured(one: MeasuredRun) -> MeasuredRun:
    """Return a run as it was before a gain was taken off."""
    return replace(one, result=one.result._before or one.result, others=one.result._others or one.others)


def fit_runs(one: MeasuredRun, pooled: Pooled) -> list[FitRun]:
    """Return the rows a run gives to the fit: one for its anchor cell, one for each further cell.

    Notes
    -----
    The readings of one run share its line cell and its set-up. So each of m counts for 1/m of a run: its variance,
    scatter between set-ups included, is taken m times.
    """
    line_cell, anchor_cell = cells_of(one.entry)
    at = one.entry.at
    if at:
        first = (_as_ratio(one.result), placed(one.model, at.get(ANCHOR), at.get(LINE)), anchor_cell)
    else:
        first = (one.result, one.model, anchor_cell)
    rows = [first]
    for place, other in one.others.items():
        cell = one.entry.channels[place].cell or f"{place} cell"
        rows.append((_as_ratio(other), placed(one.model, place, at.get(LINE)), cell))
    return [
        FitRun(_shared(result, len(rows), pooled.expected_tau2), model, line_cell, cell, one.session)
        for result, model, cell in rows
    ]


def _as_ratio(result: TrialResult) -> TrialResult:
    """Return a run whose advantage is the ratio of its cells, for a rig whose cells sit at these places."""
    slope = result.advantage.u / result.ratio.u if result.ratio.u else 1.0
    return replace(result, advantage=result.ratio, u_repeatability=result.u_repeatability / slope)


def _shared(result: TrialResult, m: int, tau2: float) -> TrialResult:
    """Return a run whose repeatability makes m of it worth one."""
    if m == 1:
        return result
    value = result.advantage.value
    repeat2, total2 = (u * u / value**2 for u in (result.u_repeatability, result.advantage.u))
    wider2 = m * repeat2 + (m - 1) * tau2
    u = value * math.sqrt(total2 - repeat2 + wider2)
    return replace(result, advantage=Measured.normal(value, u), u_repeatability=value * math.sqrt(wider2))


def described(
    folder: CampaignFolder, measured: Sequence[MeasuredRun], devices: Mapping[str, DeviceFriction]
) -> list[MeasuredRun]:
    """Return the runs with what was noted of them, and the heat their forces make."""
    found = []
    for one in measured:
        known = {**one.result.friction, **devices}
        log_k = {name: math.log(friction.k.value) for name, friction in known.items()}
        u_log_k = {name: friction.k.u / friction.k.value for name, friction in known.items()}
        noted = one.entry.conditions
        told = bool(noted.travel_m or noted.line_speed_m_s or noted.temperature_after_C)
        heat = {}
        if told:
            heat = predicted_heat(one.result, one.model, log_k, noted, folder.spec.devices, u_log_k)
        result = replace(
            one.result,
            conditions=_told(noted),
            heat=heat,
            notices=(*one.result.notices, *heat_notices(one.entry.run, heat)),
        )
        found.append(replace(one, result=result))
    return found


def _told(noted: Any) -> dict[str, Any]:
    return {key: value for key, value in asdict(noted).items() if value not in (None, "", (), {})}
