"""How much the forces of a rig on the ground depend on the length of a strap or fixed line."""

from __future__ import annotations

from collections.abc import Mapping

from haulwright.mechanics.core import Core
from haulwright.mechanics.shares import LONGER_M

PerLength = Mapping[str, Mapping[str, float]]


def per_10_mm(core: Core) -> PerLength | None:
    """Return what each strap and fixed line changes if it is 10 mm longer or shorter, to first order.

    Parameters
    ----------
    core : Core

    Returns
    -------
    mapping line -> {effort_N, greatest_N, moves_m}, or None
        Change of the effort (with several winches the greatest of them) [N], greatest change of any part's tension [N],
        greatest way a block moves [m]; all without sign. None in line, without a load, at winch stall of several
        winches, and where lines share by their stretch, whose own sensitivity is in ``shares``.

    Examples
    --------
    A strap along the pull carries what it carried, whatever its length; the block moves by what it is longer.

    >>> from haulwright.files.rig import read_rig
    >>> from haulwright.mechanics.core import solve_core
    >>> rig = read_rig({"mode": "ground", "units": {"force": "kN", "length": "m"},
    ...     "anchors": {"oak": {"at": [0, 0]}}, "winch": {"on": "truck"}, "lines": {"line": {"standing": "truck.left",
    ...     "through": ["B"], "fall": "winch"}}, "blocks": {"B": {"strap": {"to": "oak", "length": 2}}},
    ...     "load": {"name": "truck", "at": [20, 0], "resistance": 30, "eyes": {"left": [0, 0.001]}}})
    >>> found = per_10_mm(solve_core(rig, None, None, None, ()))["strap B–oak"]
    >>> round(found["moves_m"], 4), round(found["effort_N"], 3)
    (0.01, 0.0)
    """
    if core.ground is None or core.sharing_lines or core.moving.held or not core.load_given:
        return None
    drums, found = core.moving.rig.drums.values(), {}
    for name, one in core.ground.lengthened().items():
        forces = {line: max(abs(t) for t in parts) for line, parts in one.tensions.items()}
        efforts = [abs(one.tensions[line.name][-1]) for line in drums]
        scale = LONGER_M * core.unit_N
        found[name] = {
            "effort_N": scale * max(efforts),
            "greatest_N": scale * max(forces.values()),
            "moves_m": LONGER_M * max(one.moves.values()),
        }
    return found or None
