"""One rig solved for the plan's cases, with and without friction."""

from __future__ import annotations

from dataclasses import dataclass

from haulwright.errors import RigRefusal
from haulwright.mechanics.solution import RigSolution
from haulwright.mechanics.stall import with_and_without_friction
from haulwright.mechanics.statics import solve_rig
from haulwright.planning.candidates import Setting
from haulwright.planning.layout import Lacking
from haulwright.planning.result import ItemLoad, ResistanceSummary
from haulwright.planning.shelf import Use
from haulwright.quantities.measured import Measured


@dataclass(frozen=True)
class Solved:
    """One rig solved for the plan's cases: without friction, and with every ratio at its upper end."""

    likely: tuple[RigSolution, RigSolution]
    high: tuple[RigSolution, RigSolution]
    stall: tuple[RigSolution, RigSolution]
    expected: RigSolution

    def load(self, use: Use) -> ItemLoad:
        """Return the greatest load of a piece in each case [N]."""
        return ItemLoad(*(max(use.load(s) for s in case) for case in (self.likely, self.high, self.stall)))


def solve(setting: Setting, resistance: ResistanceSummary) -> Solved:
    """Return the rig solved for likely and high resistance and for stall.

    Raises
    ------
    Lacking
        The rig jams with the friction of this gear.
    """
    friction = setting.request.friction
    ratios: dict[str, Measured] = {b: friction[item.id].k for b, item in setting.geared.devices.items()}
    devices = {b: friction[item.id].device for b, item in setting.geared.devices.items()}
    try:
        return Solved(
            likely=with_and_without_friction(setting.rig, ratios, load_N=resistance.likely),
            high=with_and_without_friction(setting.rig, ratios, load_N=resistance.high),
            stall=with_and_without_friction(setting.rig, ratios, effort_N=setting.stall_N),
            expected=solve_rig(setting.rig, ratios or None, load_N=resistance.likely, devices=devices),
        )
    except RigRefusal as refused:
        raise Lacking(f"gear it does not jam with: {refused.message}") from None
