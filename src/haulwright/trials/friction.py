"""Friction of the devices in one run: the rig solver inverted, with no formula per rig.

A :class:`RigModel` asks the solver for the advantage at given tension ratios. One unknown device: the ratio
k that gives the measured advantage, by root finding, and so for both ends of the interval. Two unknown
devices in one run cannot be told apart and get no number.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy.optimize import brentq

from haulwright.errors import TrialRefusal
from haulwright.mechanics.place import force_at
from haulwright.mechanics.rig import Rig
from haulwright.mechanics.sheave import ByWrap
from haulwright.mechanics.solution import RigSolution
from haulwright.mechanics.statics import solve_rig
from haulwright.mechanics.stepped import refuse_stepped
from haulwright.notices import Code, Notice
from haulwright.quantities.measured import Measured
from haulwright.trials.result import DeviceFriction, TrialResult

GREATEST_K = 10.0  # search limit: a line dragged over a device this hard is not a device under test
LOWEST_AT_K = 3.0  # house limit for "impossibly low"


@dataclass(frozen=True)
class RigModel:
    """A rig with a device on each of its blocks.

    Attributes
    ----------
    rig : Rig
    devices : tuple of str
        One for each block, in the order the lines meet the blocks from the drum.
    device_of : mapping block -> device
    by_wrap : frozenset of str
        Devices that a line slides over: the k of another wrap than 180° is k^(wrap / 180°). The k of the others is
        that of any contact.
    place, line_place : str or None
        Where the two cells sit, as :func:`haulwright.mechanics.place.force_at` names it; None: the whole load, and the
        fall.
    """

    rig: Rig
    devices: tuple[str, ...]
    device_of: Mapping[str, str]
    by_wrap: frozenset[str] = frozenset()
    place: str | None = None
    line_place: str | None = None

    @property
    def unknowns(self) -> tuple[str, ...]:
        """The different devices, each once."""
        return tuple(dict.fromkeys(self.devices))

    @property
    def frictionless(self) -> float:
        """Advantage without friction."""
        return self.solution({}).one_winch.ideal_advantage

    @property
    def lowest(self) -> float:
        """Advantage with every device at k = 3."""
        return self.solution(dict.fromkeys(self.devices, math.log(LOWEST_AT_K))).one_winch.advantage

    def log_advantage(self, log_k: Mapping[str, float]) -> float:
        """Return the logarithm of what the cells tell, the advantage if they sit at the fall and read the whole load.

        A device that is not named has k = 1.

        Notes
        -----
        The solver knows k >= 1 only. Measured values may scatter below, and an interval that is cut at 1
        would lie; so the function is continued point-symmetrically about k = 1: with x = ln k split into
        its positive part p and negative part n, ln A(x) = 2 ln A(p) - ln A(p + n). Value and slope are
        continuous.
        """
        above = {name: max(x, 0.0) for name, x in log_k.items()}
        value = self._solved(above)
        if all(x >= 0.0 for x in log_k.values()):
            return value
        return 2.0 * value - self._solved({name: abs(x) for name, x in log_k.items()})

    def _solved(self, log_k: Mapping[str, float]) -> float:
        return math.log(self.ratio_of(self.solution(log_k)))

    def ratio_of(self, solution: RigSolution) -> float:
        """Return the ratio of the two cells' forces in a solved rig."""
        if self.place is None and self.line_place is None:
            return solution.one_winch.advantage
        load = solution.resistance_N if self.place is None else force_at(solution, self.place)
        return load / self.line_of(solution)

    def line_of(self, solution: RigSolution) -> float:
        """Return the force of the line cell in a solved rig [N]."""
        if self.line_place is None:
            return math.fsum(solution.effort_N.values())
        return force_at(solution, self.line_place)

    def solution(self, log_k: Mapping[str, float]) -> RigSolution:
        """Return the solved rig at these ratios (k >= 1)."""
        k = {block: math.exp(log_k.get(name, 0.0)) for block, name in self.device_of.items()}
        sliding = {block for block, name in self.device_of.items() if name in self.by_wrap}
        rig = self.rig
        if sliding:
            blocks = {
                name: replace(block, law=ByWrap(k[name])) if name in sliding else block
                for name, block in rig.blocks.items()
            }
            rig = replace(rig, blocks=blocks)
        return solve_rig(rig, ratio={block: value for block, value in k.items() if block not in sliding})

    def haul_shares(self, log_k: Mapping[str, float]) -> dict[str, tuple[float, float]]:
        """Return, for each device, least and greatest haul-side tension as a share of the line cell's force."""
        solution = self.solution({name: max(x, 0.0) for name, x in log_k.items()})
        effort = self.line_of(solution)
        shares: dict[str, list[float]] = {name: [] for name in self.unknowns}
        for contact in solution.contacts:
            parts = solution.lines[contact.line].parts[contact.index - 1 : contact.index + 1]
            shares[self.device_of[contact.at]].append(max(part.tension_N for part in parts) / effort)
        return {name: (min(found), max(found)) for name, found in shares.items()}


def rig_model(rig: Rig, devices: Sequence[str] = (), by_wrap: Collection[str] = ()) -> RigModel:
    """Put the devices on the blocks of a rig.

    Parameters
    ----------
    rig : Rig
    devices : sequence of str
        One for each block, in the order the lines meet them from the drum; the same name twice is the same
        kind of device twice. None given: each block is a device of its own, by the block's name.
    by_wrap : collection of str
        Devices a line slides over (rings): their k follows the wrap.

    Returns
    -------
    RigModel

    Raises
    ------
    TrialRefusal
        ``DEVICES``: the count does not fit the rig; ``UNSUPPORTED``: several winches, or a free load.

    Examples
    --------
    >>> from haulwright.mechanics.tackles import named_rig
    >>> rig_model(named_rig("three-part/on-load"), ["puck", "hoop"]).frictionless
    3.0000
    """
    if rig.several or rig.free_load:
        raise TrialRefusal(
            "UNSUPPORTED",
            f"{rig.name} has several winches or a free load: a trial compares the line of one winch with a guided load. "
            "Test the device with one winch.",
            (rig.name, *rig.drums),
        )
    refuse_stepped(rig, "in a trial")
    blocks = tuple(dict.fromkeys(rig.contacts_from_drum))
    names = tuple(devices) or blocks
    if not all(name.strip() for name in names):
        raise TrialRefusal(
            "DEVICES", "A device is given without a name. Name each, from the drum.", (rig.name,)
        )
    if len(names) != len(blocks):
        given = ", ".join(names)
        raise TrialRefusal(
            "DEVICES",
            f"{rig.name} has {len(blocks)} block{'s' * (len(blocks) != 1)}, but {len(names)} "
            f"device{'s' * (len(names) != 1)} given ({given}). Name one for each block, from the drum.",
            (rig.name, *names),
        )
    return RigModel(rig, names, dict(zip(blocks, names, strict=True)), frozenset(by_wrap) & set(names))


def friction_of_run(result: TrialResult, model: RigModel) -> TrialResult:
    """Return the run with the friction of its device, where one run can tell it.

    Parameters
    ----------
    result : TrialResult
        With the advantage measured.
    model : RigModel
        The rig of the run.

    Returns
    -------
    TrialResult
        ``friction`` filled for one unknown device; a notice where nothing can be told.
    """
    unknowns = model.unknowns
    if not unknowns:
        return result
    if len(unknowns) > 1:
        notice = Code.NOT_IDENTIFIED.notice(unknowns, what=" and ".join(unknowns))
        return replace(result, notices=(*result.notices, notice))
    found = invert(result.advantage, model)
    if found is None:
        text = (
            f"Advantage {result.advantage.value:.3f}: {unknowns[0]} would need k above {GREATEST_K:g}, so no "
            "friction is given. Check rig, cells and zero."
        )
        return replace(result, notices=(*result.notices, Code.OUT_OF_RANGE.notice(unknowns, text=text)))
    friction = device_friction(
        found, valid_range([(result, model)], {unknowns[0]: math.log(found.value)})[unknowns[0]]
    )
    return replace(
        result,
        friction={unknowns[0]: friction},
        notices=(*result.notices, *below_one(unknowns[0], found)),
    )


def invert(advantage: Measured, model: RigModel) -> Measured | None:
    """Return the tension ratio k that gives an advantage, if all contacts are the same device.

    Parameters
    ----------
    advantage : Measured
        Load ÷ effort.
    model : RigModel
        With one unknown device.

    Returns
    -------
    Measured or None
        k with its (asymmetric) interval, each end inverted by itself; it may reach below 1. None if no k up
        to 10 gives this advantage.

    Examples
    --------
    >>> from haulwright.mechanics.tackles import named_rig
    >>> k = invert(Measured.normal(1.80, 0.01), rig_model(named_rig("two-part"), ["hoop"]))
    >>> round(k.value, 4), round(k.lo, 4), round(k.hi, 4)  # 1 / 0.80, 1 / 0.8196, 1 / 0.7804
    (1.25, 1.2201, 1.2814)
    """
    (name,) = model.unknowns
    end = math.log(GREATEST_K)
    known: dict[float, float] = {}  # the solver is asked once for each k

    def log_a(x: float) -> float:
        if x not in known:
            known[x] = model.log_advantage({name: x})
        return known[x]

    def solve(target: float, near: float = 0.0, width: float = end) -> float | None:
        low, high = max(near - width, -end), min(near + width, end)
        if target <= 0.0:
            return None
        goal = math.log(target)
        if (log_a(low) - goal) * (log_a(high) - goal) > 0.0:
            return solve(target) if width < end else None
        return float(brentq(lambda x: log_a(x) - goal, low, high, xtol=1e-10))

    x = solve(advantage.value)
    if x is None or advantage.lo <= 0.0:
        return None
    slope = (log_a(x + 1e-4) - log_a(x - 1e-4)) / 2e-4
    about = 2.0 * math.log(advantage.hi / advantage.lo) / abs(slope)
    lo, hi = solve(advantage.hi, x, about), solve(advantage.lo, x, about)
    if lo is None or hi is None:
        return None
    u_log = advantage.u / advantage.value / abs(slope)
    return Measured(math.exp(x), math.exp(x) * u_log, math.exp(lo), math.exp(hi))


def device_friction(k: Measured, valid_N: tuple[float, float] | None) -> DeviceFriction:
    """Return k with its efficiency e = 1/k, the interval turned round."""
    efficiency = Measured(1.0 / k.value, k.u / k.value**2, 1.0 / k.hi, 1.0 / k.lo)
    return DeviceFriction(k, efficiency, valid_N)


def below_one(name: str, k: Measured) -> tuple[Notice, ...]:
    """Return a notice if k, or the lower end of its interval, is below 1."""
    if k.value < 1.0:
        text = (
            f"{name}: k = {k.value:.3f} is below 1, which no device can do: kept as measured, not "
            "written for plans. Check zero, cells and their gain."
        )
        return (Code.OUT_OF_RANGE.notice((name,), text=text),)
    if k.lo < 1.0:
        return (
            Code.ADVICE.notice((name,), text=f"{name}: no friction at all lies within the interval of k."),
        )
    return ()


def valid_range(
    runs: Sequence[tuple[TrialResult, RigModel]], log_k: Mapping[str, float]
) -> dict[str, tuple[float, float]]:
    """Return the range of haul-side tension [N] each device was tested in, over all runs.

    The line force of a run ranges from the 5th to the 95th percentile of its steady stretches, or is its
    mean if the run brings no traces.
    """
    ranges: dict[str, tuple[float, float]] = {}
    for result, model in runs:
        low, high = _line_range(result)
        for name, (least, greatest) in model.haul_shares(log_k).items():
            old = ranges.get(name, (math.inf, 0.0))
            ranges[name] = (min(old[0], least * low), max(old[1], greatest * high))
    return ranges


def _line_range(result: TrialResult) -> tuple[float, float]:
    """Return the range of line force in the steady stretches [N]."""
    mean = result.mean_N["line"].value
    if result._traces is None or "line" not in result._traces.time_s:
        return mean, mean
    time = np.asarray(result._traces.time_s["line"])
    force = np.asarray(result._traces.force_N["line"])
    steady = np.zeros(time.shape, dtype=bool)
    for stretch in result.steady:
        steady |= (time >= stretch.start_s) & (time <= stretch.end_s)
    inside = force[steady & np.isfinite(force)]
    if inside.size < 5:
        return mean, mean
    low, high = np.percentile(inside, [5.0, 95.0])
    return float(low), float(high)
