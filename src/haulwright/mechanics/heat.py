"""Heat of every block: per metre of load travel, over a pull, at a speed, and how warm it could make the block."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

from haulwright.mechanics.rig import Rig, Winch
from haulwright.mechanics.solution import BlockSolution, ContactSolution

HEAT_CAPACITY_J_per_kgK = {"steel": 480.0, "aluminium": 900.0}
"""Specific heat near room temperature; handbook values of engineering materials, from memory."""


def warmed(
    rig: Rig,
    blocks: Mapping[str, BlockSolution],
    contacts: Sequence[ContactSolution],
    load_speed: float,
    forces_given: bool,
) -> dict[str, BlockSolution]:
    """Return the blocks with their share of the heat.

    Parameters
    ----------
    rig : Rig
        With the travel wanted, the speed of its winch, and mass and material of its blocks, where they are known.
    blocks : mapping of BlockSolution
    contacts : sequence of ContactSolution
    load_speed : float
        Load speed ÷ speed of the drum.
    forces_given : bool
        False for the 1 kN of a rig without a resistance: then no heat over a pull is given.

    Returns
    -------
    dict of BlockSolution

    Notes
    -----
    Heat of a contact per metre of load travel is the tension it loses times the line that runs over it. Over a pull it
    is that times the travel, as if all of the pull were like its start. ``rise = heat ÷ (mass × specific heat)`` is an
    upper bound: nothing is given off, and nothing goes into the line.

    References
    ----------
    Conservation of energy; any physics text.

    Examples
    --------
    >>> from haulwright.files.rig import read_rig
    >>> from haulwright.mechanics.statics import solve_rig
    >>> solved = solve_rig(read_rig("three-part/on-load"), 1.07, load_N=26000.0)
    >>> {name: round(block.heat_J_per_m) for name, block in solved.blocks.items()}
    {'X': 1211, 'O': 566}
    """
    travel_m = rig.wanted.travel_m if forces_given else None
    speed = None
    if forces_given and len(rig.drums) == 1:
        drum = next(iter(rig.drums))
        speed = rig.winches.get(drum, Winch()).speed_m_s
    found = {}
    for name, solved in blocks.items():
        own = [contact for contact in contacts if contact.at == name]
        per_m = math.fsum(contact.heat_J_per_m for contact in own)
        heat_J = None if travel_m is None else per_m * travel_m
        block = rig.blocks[name]
        capacity = block.heat_capacity_J_per_kgK
        known = heat_J is not None and block.mass_kg and capacity
        found[name] = replace(
            solved,
            rim_speed_ratio=math.fsum(contact.rim_speed_ratio for contact in own),
            heat_J_per_m=per_m,
            heat_J=heat_J,
            heat_W=None if speed is None else per_m * speed * load_speed,
            rise_K=(heat_J or 0.0) / ((block.mass_kg or 1.0) * (capacity or 1.0)) if known else None,
        )
    return found
