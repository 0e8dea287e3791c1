"""Carry the intervals of the ratios through the solver to advantage, efforts and loads."""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping
from functools import cache

from haulwright.mechanics import loads, tension
from haulwright.mechanics.core import solve_core
from haulwright.mechanics.rig import Rig
from haulwright.quantities.measured import Measured
from haulwright.quantities.propagate import propagate


def spread_of(
    rig: Rig,
    values: float | dict[str, float] | None,
    measured: dict[str, Measured],
    devices: Mapping[str, str],
    load_N: float | None,
    effort_N: float | None,
    seized: Collection[str],
) -> dict[str, Measured]:
    """Carry the intervals of the ratios to advantage, effort and loads (linear; same device, same error)."""
    group = {b: devices.get(b, "" if not isinstance(values, dict) else b) for b in measured}
    inputs = {group[b]: k for b, k in measured.items()}
    names = list(inputs)
    base = values if isinstance(values, dict) else dict.fromkeys(rig.blocks, values or 1.0)

    @cache
    def outputs(*ks: float) -> dict[str, float]:
        of = dict(zip(names, ks, strict=True))
        core = solve_core(
            rig, {**base, **{b: max(of[group[b]], 1.0) for b in measured}}, load_N, effort_N, seized
        )
        effort = tension.effort_of(rig, core.found)
        sums = loads.body_solutions(rig, loads.body_forces(rig, core.moving.course_of, core.found))
        pins = loads.block_solutions(core.moving, core.found)
        return {
            "advantage": core.resistance_N / effort,
            "rig_efficiency": core.resistance_N / effort / core.ideal_advantage,
            "winch_share": effort / core.resistance_N,
            f"effort_N.{rig.hauling_line.drum}": effort,
            "resistance_N": core.resistance_N,
            **{f"bodies.{n}.load_N": body.load_N for n, body in sums.items()},
            **{f"blocks.{n}.pin_N": block.pin_N for n, block in pins.items()},
            **{f"blocks.{n}.with_becket_N": block.with_becket_N for n, block in pins.items()},
            **{
                f"lines.{n}.parts.{i}.tension_N": t
                for n, parts in core.found.items()
                for i, t in enumerate(parts)
            },
            **{
                f"contacts.{i}.{key}": value
                for i, contact in enumerate(loads.contacts(core.moving, core.ratios, core.found))
                for key, value in (
                    ("ratio", contact.ratio),
                    ("load_N", contact.load_N),
                    ("heat_J_per_m", contact.heat_J_per_m),
                )
            },
        }

    def spread(path: str) -> Measured:
        return propagate(lambda *ks: outputs(*ks)[path], list(inputs.values()))

    centre = outputs(*(k.value for k in inputs.values()))
    ideal = centre["advantage"] / centre["rig_efficiency"]
    limits = {"advantage": (0.0, ideal), "rig_efficiency": (0.0, 1.0), "winch_share": (1.0 / ideal, math.inf)}
    return {path: _within(spread(path), *limits.get(path, (0.0, math.inf))) for path in centre}


def _within(m: Measured, least: float, most: float) -> Measured:
    """Cut an interval at what no friction could exceed."""
    return Measured(m.value, m.u, min(max(m.lo, least), m.value), max(min(m.hi, most), m.value))
