"""Winches and a free load, as a rig file describes them."""

from __future__ import annotations

import math
from collections.abc import Mapping

from haulwright.errors import RigRefusal
from haulwright.files import rig_steps
from haulwright.files.rig_model import LoadModel, RigModel, WinchModel
from haulwright.mechanics.geometry import times, unit
from haulwright.mechanics.names import nearest
from haulwright.mechanics.rig import Vec


def winches_of(model: RigModel) -> Mapping[str, WinchModel]:
    """Return the winches of a rig file by name: one under ``winch:`` is called winch.

    Raises
    ------
    RigRefusal
        INPUT where both ways are used.
    """
    if model.winch is not None and model.winches is not None:
        raise RigRefusal(
            "INPUT",
            "Both winch: and winches: are given. Put every winch under winches: by name.",
            ("winches",),
        )
    return {"winch": model.winch} if model.winch is not None else dict(model.winches or {})


def check_falls(model: RigModel) -> None:
    """Refuse a winch of several that no line falls to.

    Raises
    ------
    RigRefusal
        LOOSE.
    """
    falls = [rig_steps.fall_of(line) for line in model.lines.values()]
    for name in model.winches or {}:
        if name not in falls:
            raise RigRefusal(
                "LOOSE", f"No line falls to {name}. Give one line fall: {name}, or leave it out.", (name,)
            )


def winch_of(fall: str, line: str, named: Mapping[str, WinchModel]) -> WinchModel:
    """Return the winch a line falls to.

    Raises
    ------
    RigRefusal
        NO_WINCH where there is none, UNKNOWN for a name that is not there.
    """
    if not named:
        raise RigRefusal(
            "NO_WINCH", f"Line {line} falls to the winch, but there is no winch: {{on: …}}.", (line,)
        )
    if fall not in named:
        raise RigRefusal(
            "UNKNOWN",
            f"Line {line} falls to {fall!r}, which is no winch.{nearest(fall, list(named))}",
            (fall,),
        )
    return named[fall]


def check_load(load: LoadModel) -> None:
    """Refuse a force on a load that is guided, and one beside a resistance.

    Raises
    ------
    RigRefusal
        INPUT.
    """
    if load.force is None:
        return
    if not load.free:
        raise RigRefusal(
            "INPUT",
            f"{load.name}: force: is for a free load (free: true). A guided load has its resistance.",
            (load.name,),
        )
    if load.resistance is not None:
        raise RigRefusal(
            "INPUT", f"{load.name}: force and resistance say the same thing twice. Keep one.", (load.name,)
        )
    if not any(load.force):
        raise RigRefusal("INPUT", f"{load.name}: a force of zero. Give e.g. [20 kN, -3 kN].", (load.name,))


def force_on(load: LoadModel) -> tuple[float | None, Vec | None]:
    """Return the resistance of a load [N], and the unit vector against the force on it where one is given."""
    if load.force is None:
        return load.resistance, None
    x = (*load.force, 0.0)[:3]
    against = times((x[0], x[1], x[2]), -1.0)
    return math.sqrt(sum(a * a for a in against)), unit(against)
