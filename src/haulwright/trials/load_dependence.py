"""How the friction of a device changes with its load, where the runs carry it.

ln(k - 1) = a - b ln(T/T0): b above 0 is a device that gets freer under load. It is fitted only where a device was
pulled at three loads or more over a factor of two in one and the same rig, and kept only where b is clear of 0.
Loads that differ because the rigs do would let a faulty run of one rig pass for a change with the load.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from haulwright.quantities.measured import Measured
from haulwright.trials.friction import RigModel
from haulwright.trials.result import DeviceFriction, TrialResult

START_K = 1.15  # where the fit starts, and where the tensions in a rig are taken for its loads
LEAST_LOADS = 3
LEAST_SPAN = 2.0
APART = 1.1  # loads closer than this are one load (house rule)
CLEAR = 2.0  # b is kept from this many standard errors (house rule)


def at_load(log_k: float, exponent: float, load_ratio: float) -> float:
    """Return ln k at another load than the one it is stated at.

    Parameters
    ----------
    log_k : float
        ln k at T0.
    exponent : float
        b.
    load_ratio : float
        T ÷ T0.

    Notes
    -----
    k = 1 + (k0 - 1) (T/T0)^-b, which is ln(k - 1) = a - b ln(T/T0) with a = ln(k0 - 1); k0 below 1, as scatter may
    give it, is carried through.

    Examples
    --------
    >>> math.exp(at_load(math.log(1.20), 0.5, 4.0))
    1.100
    """
    return math.log(max(1.0 + math.expm1(log_k) * load_ratio**-exponent, 1e-3))


def over_range(friction: DeviceFriction) -> Measured:
    """Return k with an interval that holds it over the whole range it was tested in, as a plan has to use it.

    Parameters
    ----------
    friction : DeviceFriction

    Notes
    -----
    Without a load exponent k is the same at every load and comes back as it is.
    """
    k, b = friction.k, friction.load_exponent
    if b is None or friction.at_N is None or friction.valid_N is None:
        return k
    ends = [load / friction.at_N for load in friction.valid_N]
    moved = [math.exp(at_load(math.log(value), b.value, ratio)) for ratio in ends for value in (k.lo, k.hi)]
    return Measured(k.value, k.u, min(k.lo, *moved), max(k.hi, *moved))


def haul_loads(
    runs: Sequence[tuple[TrialResult, RigModel]], devices: Sequence[str]
) -> dict[str, tuple[float | None, ...]]:
    """Return the mean haul-side tension of each device in each run [N]; None where it takes no part."""
    loads: dict[str, list[float | None]] = {name: [None] * len(runs) for name in devices}
    for i, (result, model) in enumerate(runs):
        if model.unknowns:
            for name, share in loads_at(model).items():
                loads[name][i] = share * result.mean_N["line"].value
    return {name: tuple(found) for name, found in loads.items()}


def loads_at(model: RigModel) -> dict[str, float]:
    """Return the mean haul-side tension of each device as a share of the line cell's force, as the fit takes it.

    A device that stands in a rig twice has two tensions; the middle of them counts.
    """
    shares = model.haul_shares(dict.fromkeys(model.unknowns, math.log(START_K)))
    return {name: 0.5 * (least + greatest) for name, (least, greatest) in shares.items()}


def carries_exponent(loads: Sequence[float | None]) -> bool:
    """Return whether runs at these loads can tell a load dependence.

    Examples
    --------
    >>> carries_exponent([5e3, 8e3, 11e3]), carries_exponent([5e3, 5.2e3, 11e3]), carries_exponent([8e3, 9e3, 11e3])
    (True, False, False)
    """
    known = sorted(load for load in loads if load)
    if not known or known[-1] < LEAST_SPAN * known[0]:
        return False
    groups, last = 1, known[0]
    for load in known:
        if load > APART * last:
            groups, last = groups + 1, load
    return groups >= LEAST_LOADS
