"""One rig walked along its travel, set-up by set-up: its shares of the resistance and its loads at every step.

Lines are weightless, so all tensions go with the load: every place is solved once for each friction and scaled. The
effort with friction as expected is found at every step. Where blocks find their place, the rig without friction and with
every ratio at its upper end is found at every fifth step and the ends, and its effort interpolated between them.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from haulwright.errors import RigRefusal
from haulwright.field.fleet import line_angle
from haulwright.mechanics import loads, tension
from haulwright.mechanics.advance import walk
from haulwright.mechanics.core import Core, solve_core
from haulwright.mechanics.rig import Rig
from haulwright.mechanics.solution import ContactSolution, RigSolution
from haulwright.planning.candidates import Setting
from haulwright.planning.ground import UNIT_N, bare
from haulwright.planning.layout import Start, placed_length

EVERY = 5


@dataclass(frozen=True)
class Look:
    """A place at which loads are looked at: without friction, and with every ratio at its upper end; at stall."""

    travel_m: float
    free: RigSolution
    upper: RigSolution
    heat_per_N: dict[
        str, tuple[float, float]
    ]  # block -> J per metre of travel and newton, expected and upper friction


@dataclass(frozen=True)
class Station:
    """One step: shares are of the resistance."""

    travel_m: float
    setup: int
    out_m: float
    share: float
    share_upper: float
    side_share: float
    side_stall_N: float
    ratio: float
    fairlead_rad: float
    core: Core


@dataclass(frozen=True)
class Walked:
    """All steps, the places looked at more closely, and why the rig works no further, if so."""

    stations: tuple[Station, ...]
    looks: tuple[Look, ...]
    refused: RigRefusal | None


def walk_pull(setting: Setting, steps: int) -> Walked:
    """Return a rig along its travel.

    Parameters
    ----------
    setting : Setting
    steps : int
        Of the whole travel.

    Raises
    ------
    RigRefusal
        Where it does not work at the start.
    """
    ahead = _ahead(setting)
    total = math.fsum(start.travel_m for start in setting.layout.starts)
    first = max(placed_length(start.rig) for start in setting.layout.starts)
    extension_m = first - setting.layout.path_m
    stations: list[Station] = []
    looks: list[Look] = []
    for number, start in enumerate(setting.layout.starts, 1):
        count = max(1, round(steps * start.travel_m / total))
        cores, travels, refused = _cores(setting, start, count)
        near = _looks(setting, cores, [start.done_m + x for x in travels])
        looks += [look for _, look in near]
        stations += _stations(number, start.done_m, travels, cores, near, ahead, extension_m)
        if refused is not None:
            return Walked(tuple(stations), tuple(looks), refused)
    return Walked(tuple(stations), tuple(looks), None)


def _cores(
    setting: Setting, start: Start, steps: int
) -> tuple[tuple[Core, ...], tuple[float, ...], RigRefusal | None]:
    expected = {block: k.value for block, k in setting.ratios.items()} or None

    def solve(at: Rig) -> Core:
        return solve_core(at, expected, UNIT_N, None, ())

    found = walk(solve(start.rig), start.rig, solve, start.travel_m, steps)
    return found.cores, found.travels_m, found.refused


def _looks(setting: Setting, cores: tuple[Core, ...], travels: list[float]) -> list[tuple[int, Look]]:
    every = EVERY if cores[0].moving.rig.finds_places else 1
    numbers = sorted({*range(0, len(cores), every), len(cores) - 1})
    most = {block: max(k.hi, 1.0) for block, k in setting.ratios.items()} or None
    found = []
    for n in numbers:
        rig = cores[n].moving.rig
        free = solve_core(rig, 1.0, None, setting.stall_N, ())
        upper = solve_core(rig, most, None, setting.stall_N, (), free)
        high = bare(upper)
        warm = _heat(high.contacts, high.resistance_N)
        expected = _heat(
            loads.contacts(cores[n].moving, cores[n].ratios, cores[n].found), cores[n].resistance_N
        )
        heat = {block: (per_N, warm[block]) for block, per_N in expected.items()}
        found.append((n, Look(travels[n], bare(free), high, heat)))
    return found


def _heat(contacts: Sequence[ContactSolution], resistance_N: float) -> dict[str, float]:
    found: dict[str, float] = {}
    for contact in contacts:
        found[contact.at] = found.get(contact.at, 0.0) + contact.heat_J_per_m / resistance_N
    return found


def _stations(
    setup: int,
    done_m: float,
    travels: tuple[float, ...],
    cores: tuple[Core, ...],
    near: list[tuple[int, Look]],
    ahead: tuple[float, float],
    extension_m: float,
) -> list[Station]:
    found = []
    upper = [(n, _share_of(look.upper) / _share(cores[n])) for n, look in near]
    side = [
        (n, max(one.side_pull_N / one.resistance_N for one in (look.free, look.upper))) for n, look in near
    ]
    stall = [(n, max(one.side_pull_N for one in (look.free, look.upper))) for n, look in near]
    for n, (x, core) in enumerate(zip(travels, cores, strict=True)):
        rig = core.moving.rig
        share = _share(core)
        found.append(
            Station(
                travel_m=done_m + x,
                setup=setup,
                out_m=placed_length(rig) - extension_m,
                share=share,
                share_upper=share * _between(upper, n),
                side_share=_between(side, n),
                side_stall_N=_between(stall, n),
                ratio=1.0 / core.moving.motion.load_speed,
                fairlead_rad=line_angle(leaves(rig), ahead),
                core=core,
            )
        )
    return found


def _between(known: list[tuple[int, float]], n: int) -> float:
    for (a, left), (b, right) in zip(known, known[1:] or known, strict=False):
        if a <= n <= b:
            return left if a == b else left + (right - left) * (n - a) / (b - a)
    return known[-1][1]


def leaves(rig: Rig) -> tuple[float, float]:
    """Return the direction in which the winch line leaves the drum, on the ground."""
    line = rig.hauling_line
    drum, to = rig.place(line.points[-1]), rig.place(line.points[-2])
    return to[0] - drum[0], to[1] - drum[1]


def _ahead(setting: Setting) -> tuple[float, float]:
    """Return straight ahead of the winch: on the stuck vehicle the way it goes, else the way its line leaves at first."""
    request = setting.request
    if request.pull.own_winch:
        return request.direction[0], request.direction[1]
    return leaves(setting.layout.starts[0].rig)


def _share(core: Core) -> float:
    return tension.effort_of(core.moving.rig, core.found) / core.resistance_N


def _share_of(solution: RigSolution) -> float:
    (effort,) = solution.effort_N.values()
    return effort / solution.resistance_N
