"""The gear chosen anew where friction or the travel pulls a shackle farther from its axis than it was chosen for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from haulwright.mechanics.solution import RigSolution
from haulwright.planning.along import greatest
from haulwright.planning.candidates import Setting
from haulwright.planning.gear import gear_up
from haulwright.planning.judged import limit_at


def geared_for(setting: Setting, solutions: Sequence[RigSolution]) -> Setting:
    """Return a setting whose shackles are chosen for the farthest they are pulled from their axis.

    Parameters
    ----------
    setting : Setting
    solutions : sequence of RigSolution
        At every place of the travel, without friction and with the most of it.

    Notes
    -----
    Blocks and rings are chosen before anything that joins them, so that the solutions stay those of the rig.
    """
    at_stall = greatest([place.free for place in setting.along])
    most = 0.0
    changed = False
    for use in setting.geared.uses:
        if use.side is not None:
            there = max(use.side(solution) for solution in solutions)
            most = max(most, there)
            changed |= limit_at(use, there).limit_N != limit_at(use, use.side(at_stall)).limit_N
    if not changed:
        return setting
    old, rig = setting.geared, setting.along[0].rig
    again = gear_up(rig, setting.request, at_stall, most, old.devices, old.bridles)
    return replace(setting, geared=again)
