"""Heat of the blocks of a run, from the measured forces and the rig, beside the temperatures that were noted."""

from __future__ import annotations

import math
from collections.abc import Mapping

from haulwright.files.campaign import DeviceSpec
from haulwright.files.conditions import Conditions
from haulwright.mechanics.heat import HEAT_CAPACITY_J_per_kgK
from haulwright.notices import Code, Notice
from haulwright.trials.friction import RigModel
from haulwright.trials.result import BlockHeat, TrialResult

_STEP = 1e-6  # in ln k
_ROUNDED_K = 2.0  # two surface readings differ by this much by themselves (house value)


def predicted_heat(
    result: TrialResult,
    model: RigModel,
    log_k: Mapping[str, float],
    noted: Conditions,
    devices: Mapping[str, DeviceSpec],
    u_log_k: Mapping[str, float] | None = None,
) -> dict[str, BlockHeat]:
    """Return the heat of each block.

    Parameters
    ----------
    result : TrialResult
        Its mean line force counts.
    model : RigModel
    log_k : mapping device -> ln k
        Friction of its devices; nothing is returned if one is missing.
    noted : Conditions
        Travel of the load, line speed, temperatures.
    devices : mapping name -> DeviceSpec
        Mass and material, for the bound of the warming.
    u_log_k : mapping device -> float, or None
        Standard uncertainty of ln k; devices are taken as independent.

    Notes
    -----
    The solver gives the heat of each contact per metre of load travel at its own effort; it grows with the effort. Over
    a pull it is that times the travel, as if all of it were pulled like the steady stretch. Rise <= heat ÷ (mass ×
    specific heat): nothing given off, nothing into the rope.

    References
    ----------
    Conservation of energy: the sum over all blocks is effort × its travel less load × its travel.
    """
    if not model.unknowns or any(name not in log_k for name in model.unknowns):
        return {}
    per_metre, line_travel = _per_metre(result, model, log_k)
    shares = _u_shares(result, model, log_k, u_log_k or {})
    speed = None if noted.line_speed_m_s is None else noted.line_speed_m_s / line_travel
    before, after = (
        _per_block(readings, len(model.devices))
        for readings in (noted.temperature_before_C, noted.temperature_after_C)
    )
    found = {}
    for i, (block, name) in enumerate(model.device_of.items()):
        per_m = per_metre[block]
        heat = None if noted.travel_m is None else per_m * noted.travel_m
        spec = devices.get(name)
        known = heat is not None and spec is not None and spec.mass and spec.material
        found[block] = BlockHeat(
            name,
            per_m,
            heat,
            None if speed is None else per_m * speed,
            heat / (spec.mass * HEAT_CAPACITY_J_per_kgK[spec.material]) if known else None,  # type: ignore[operator,union-attr,index]
            before[i] if before else None,
            after[i] if after else None,
            shares.get(block),
        )
    return found


def _per_metre(
    result: TrialResult, model: RigModel, log_k: Mapping[str, float]
) -> tuple[dict[str, float], float]:
    """Return the heat of each block per metre of load travel [J/m], and the line's travel per metre of it."""
    solved = model.solution({name: max(log_k[name], 0.0) for name in model.unknowns})
    scale = result.mean_N["line"].value / model.line_of(solved)
    (line_travel,) = solved.travel_ratio.values()
    heats = {
        block: scale * math.fsum(one.heat_J_per_m for one in solved.contacts if one.at == block)
        for block in model.device_of
    }
    return heats, line_travel


def _u_shares(
    result: TrialResult, model: RigModel, log_k: Mapping[str, float], u_log_k: Mapping[str, float]
) -> dict[str, float]:
    """Return the relative standard uncertainty of each block's heat; nothing where that of a ratio is not known."""
    if any(name not in u_log_k for name in model.unknowns):
        return {}
    base, _ = _per_metre(result, model, log_k)
    squares = dict.fromkeys(base, 0.0)
    for name in model.unknowns:
        moved, _ = _per_metre(result, model, {**log_k, name: max(log_k[name], 0.0) + _STEP})
        for block, heat in base.items():
            squares[block] += ((moved[block] - heat) / _STEP * u_log_k[name]) ** 2
    return {block: math.sqrt(squares[block]) / heat for block, heat in base.items() if heat > 0.0}


def _per_block(readings: tuple[float, ...], blocks: int) -> tuple[float, ...]:
    return readings * blocks if len(readings) == 1 else readings


def heat_notices(run: str, heat: Mapping[str, BlockHeat]) -> list[Notice]:
    """Tell of a surface that warmed by more than all the heat of its friction could."""
    told = []
    for block, one in heat.items():
        if one.rise_bound_K is None or one.before_C is None or one.after_C is None:
            continue
        rise = one.after_C - one.before_C
        if rise > one.rise_bound_K + _ROUNDED_K:
            text = (
                f"Run {run}: {one.device} at {block} warmed by {rise:.0f} K, but all the heat of its friction could warm it "
                f"by {one.rise_bound_K:.0f} K at most if it warmed through: the surface runs ahead of the core, or travel, "
                "mass or thermometer is wrong."
            )
            told.append(Code.ADVICE.notice((run, block), text=text))
    return told
