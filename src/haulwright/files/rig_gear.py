"""Gear of a rig as its file describes it: pieces of the blocks, drums, gaps between blocks, what is wanted."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

from haulwright.errors import RigRefusal
from haulwright.field.drum import capacity_by_volume, layers, usable_line
from haulwright.files.rig_model import BlockModel, DrumModel, RigModel, WinchModel
from haulwright.mechanics.heat import HEAT_CAPACITY_J_per_kgK
from haulwright.mechanics.rig import Block, Gap, Line, Wanted, Winch

LONG_M = 1e4  # more line than any drum of a vehicle holds: to find how long the wraps at the barrel are


def geared(block: Block, model: BlockModel) -> Block:
    """Return a block with what the file says of the piece itself.

    Raises
    ------
    RigRefusal
        INPUT for a material without a mass or a mass without a material.
    """
    if (model.mass is None) != (model.material is None):
        raise RigRefusal(
            "INPUT",
            f"{block.name}: mass and material go together: mass: 2 kg, material: steel. Give both or none.",
            (block.name,),
        )
    mu = None if isinstance(model.seized, bool) else float(model.seized)
    return replace(
        block,
        seized=mu is not None or bool(model.seized),
        seized_mu=mu,
        device=model.device,
        sheave_m=model.sheave_diameter,
        mass_kg=model.mass,
        heat_capacity_J_per_kgK=HEAT_CAPACITY_J_per_kgK[model.material] if model.material else None,
    )


def winch(name: str, model: WinchModel, lines: Mapping[str, Line]) -> Winch:
    """Return a winch with what the file says of its drum.

    Raises
    ------
    RigRefusal
        INPUT where a measure is missing that another one needs.
    """
    drum = model.drum
    if drum is None:
        return Winch(model.line_pull, model.speed, stall_N=model.stall)
    ropes = [line.rope for line in lines.values() if line.drum == name]
    rope_m = ropes[0].diameter_m if ropes and ropes[0] is not None else None
    return Winch(
        model.line_pull,
        model.speed,
        capacity_m=_capacity(name, drum, rope_m),
        kept_m=_kept(name, drum, rope_m),
        on_drum_m=drum.on_drum,
        stall_N=model.stall,
    )


def _capacity(name: str, drum: DrumModel, rope_m: float | None) -> float | None:
    if drum.capacity is not None or drum.flange is None:
        return drum.capacity
    if drum.barrel is None or drum.width is None or rope_m is None:
        raise RigRefusal(
            "INPUT",
            f"{name}: flange: asks for barrel:, width: and the line's rope: {{diameter}}. Give them, or capacity:.",
            (name,),
        )
    if drum.flange <= drum.barrel:
        raise RigRefusal("INPUT", f"{name}: the flange is no wider than the barrel. Check both.", (name,))
    return capacity_by_volume(drum.barrel, drum.width, (drum.flange - drum.barrel) / 2.0, rope_m)


def _kept(name: str, drum: DrumModel, rope_m: float | None) -> float | None:
    """Return the line of the wraps that stay on, from the barrel outwards [m]."""
    if drum.least_wraps is None:
        return None
    if drum.barrel is None or rope_m is None:
        raise RigRefusal(
            "INPUT",
            f"{name}: least_wraps: asks for barrel: and the line's rope: {{diameter}}. Give them.",
            (name,),
        )
    width = drum.width if drum.width is not None else rope_m * max(math.ceil(drum.least_wraps), 1)
    wound = layers(drum.barrel, width, rope_m, LONG_M, 1.0)
    return LONG_M - usable_line(wound, drum.least_wraps)


def gaps(model: RigModel) -> tuple[Gap, ...]:
    """Return the gaps the file states."""
    return tuple(Gap(gap.from_, gap.to, gap.start, gap.least) for gap in model.gaps)


def wanted(model: RigModel) -> Wanted:
    """Return what the file wants of the pull."""
    return Wanted(model.want.travel, model.want.least_gap)
