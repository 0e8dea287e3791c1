"""One rig solved along its travel with and without friction: efforts, loads at each resistance and at stall.

Friction never excuses smaller gear: a load is the greatest found with every ratio at 1 and with every ratio at the
upper end of its interval, over the places of the travel that are looked at. Each place is solved once and scaled.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache, cached_property

from haulwright.errors import RigRefusal
from haulwright.mechanics.core import Core, solve_core
from haulwright.mechanics.intervals import within
from haulwright.mechanics.sentence import sentence
from haulwright.mechanics.solution import RigSolution
from haulwright.mechanics.statics import solve_rig
from haulwright.planning.along import Along, check_legs
from haulwright.planning.candidates import Setting
from haulwright.planning.ground import bare
from haulwright.planning.lacking import Lacking
from haulwright.planning.result import ItemLoad, ResistanceSummary
from haulwright.planning.turned import geared_for
from haulwright.quantities.measured import Measured
from haulwright.quantities.propagate import propagate


@dataclass(frozen=True)
class Peak:
    """Loads of one piece [N], and how far the vehicle has come where its load at stall is greatest [m]."""

    load_N: ItemLoad
    at_m: float


@dataclass(frozen=True)
class Solved:
    """One rig along its travel; every solution at winch stall.

    Attributes
    ----------
    setting : Setting
    resistance : ResistanceSummary
    free, upper : tuple of RigSolution
        At the places of ``setting.along``: without friction, and with every ratio at its upper end.
    worst : int
        The place at which the effort is greatest, with the ratios as they are expected.
    core : Core
        That place with those ratios.
    start : Core
        The first place with those ratios.
    """

    setting: Setting
    resistance: ResistanceSummary
    free: tuple[RigSolution, ...]
    upper: tuple[RigSolution, ...]
    worst: int
    core: Core
    start: Core

    def peak(self, load: Callable[[RigSolution], float]) -> Peak:
        """Return the greatest load of a piece in each case [N], and where."""
        likely = high = stall = at_m = 0.0
        for place, *both in zip(self.setting.along, self.free, self.upper, strict=True):
            for solution in both:
                now = load(solution)
                share = now / solution.resistance_N
                likely = max(likely, share * self.resistance.likely)
                high = max(high, share * self.resistance.high)
                if now > stall * (1.0 + 1e-9):
                    stall, at_m = now, place.travel_m
        return Peak(ItemLoad(likely, high, stall), at_m)

    @property
    def worst_at_m(self) -> float:
        """Return how far the vehicle has come where the effort is greatest [m]."""
        return self.setting.along[self.worst].travel_m

    @property
    def share(self) -> float:
        """Return effort ÷ resistance at the worst place, ratios as expected."""
        return _share(self.core)

    @property
    def start_share(self) -> float:
        """Return effort ÷ resistance where the pull begins, ratios as expected."""
        return _share(self.start)

    @property
    def share_upper(self) -> float:
        """Return the greatest effort ÷ resistance with every ratio at its upper end."""
        return max(solution.one_winch.winch_share for solution in self.upper)

    @property
    def side_share(self) -> float:
        """Return the greatest pull across the way ÷ resistance."""
        return max(one.side_pull_N / one.resistance_N for one in (*self.free, *self.upper))

    @property
    def ideal_advantage(self) -> float:
        """Return resistance ÷ effort without friction at the worst place."""
        return 1.0 / self.free[self.worst].one_winch.winch_share

    @property
    def sentence(self) -> str:
        """Return the rig as understood."""
        return sentence(self.setting.rig)

    @property
    def law(self) -> str:
        """Return the friction law in words."""
        return self.core.law

    @cached_property
    def shares(self) -> tuple[Measured, Measured]:
        """Return advantage and winch share at the worst place with their intervals; same device, same error."""
        ratios, devices = self.setting.ratios, self.setting.devices
        groups = {devices[block]: k for block, k in ratios.items()}
        rig = self.setting.along[self.worst].rig

        @cache
        def share(*ks: float) -> float:
            of = dict(zip(groups, ks, strict=True))
            tried = {block: max(of[devices[block]], 1.0) for block in ratios}
            return _share(solve_core(rig, tried or None, None, self.setting.stall_N, (), self.core))

        inputs = list(groups.values())
        ideal = self.ideal_advantage
        if not inputs:
            return Measured.exact(1.0 / self.share), Measured.exact(self.share)
        advantage = propagate(lambda *ks: 1.0 / share(*ks), inputs)
        return within(advantage, 0.0, ideal), within(propagate(share, inputs), 1.0 / ideal, float("inf"))

    @cached_property
    def expected(self) -> RigSolution:
        """Return the full record of the worst place at the likely resistance, with its intervals."""
        return solve_rig(
            self.setting.along[self.worst].rig,
            self.setting.ratios or None,
            load_N=self.resistance.likely,
            devices=self.setting.devices,
        )


def solve(setting: Setting, resistance: ResistanceSummary) -> Solved:
    """Return the rig solved along its travel, with friction and without.

    Parameters
    ----------
    setting : Setting
    resistance : ResistanceSummary
        Of its way.

    Raises
    ------
    Lacking
        The rig jams with the friction of this gear, or a leg of its bridle hangs slack.
    """
    most = {block: max(k.hi, 1.0) for block, k in setting.ratios.items()}
    expected = {block: k.value for block, k in setting.ratios.items()}
    upper = tuple(bare(_core(place, most, setting.stall_N)) for place in setting.along)
    for solution in upper:
        check_legs(solution, setting.request.shared)
    cores = [_core(place, expected, setting.stall_N) for place in setting.along]
    worst = max(range(len(cores)), key=lambda n: round(_share(cores[n]), 9))
    free = tuple(place.free for place in setting.along)
    setting = geared_for(setting, (*free, *upper))
    return Solved(setting, resistance, free, upper, worst, cores[worst], cores[0])


def _core(place: Along, ratios: dict[str, float], stall_N: float) -> Core:
    try:
        return solve_core(place.rig, ratios or None, None, stall_N, (), place.core)
    except RigRefusal as refused:
        raise Lacking(f"gear it does not jam with: {refused.message}", "jams") from None


def _share(core: Core) -> float:
    line = core.moving.rig.hauling_line.name
    return core.found[line][-1] / core.resistance_N
