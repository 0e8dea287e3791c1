"""The battery and the alternator behind the winch: charge drawn, what is left, how long until a stated depth, volts.

Figures that are not sure are ranges, and every answer is a range: the low end with the worst of them, the high end with
the best. What is not known is None, never a plausible number.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from haulwright.errors import QuantityRefusal
from haulwright.field.inputs import between, not_negative, positive
from haulwright.field.motor import SECONDS_PER_HOUR

Ends = tuple[float, float]


@dataclass(frozen=True)
class Battery:
    """A battery with its alternator, checked on entry.

    Parameters
    ----------
    voltage_V : float
        Nominal [V].
    capacity_Ah : float or None
        As marked [A h].
    charge : (float, float) or None
        State of charge at the start, low and high end, 0 to 1.
    least : float or None
        State of charge it is not to fall below.
    alternator_A : (float, float) or None
        Current of the alternator that is left for the winch, low and high end [A].
    resistance_ohm : float or None
        Internal resistance with the cables [ohm].

    Raises
    ------
    QuantityRefusal
        ``NOT_POSITIVE``, ``NEGATIVE`` or ``RANGE`` for a figure that cannot be, ends in the wrong order included.

    Examples
    --------
    >>> Battery(12.0, 95.0, (0.7, 0.9)).charge
    (0.7, 0.9)
    """

    voltage_V: float = 12.0
    capacity_Ah: float | None = None
    charge: Ends | None = None
    least: float | None = None
    alternator_A: Ends | None = None
    resistance_ohm: float | None = None

    def __post_init__(self) -> None:
        positive(self.voltage_V, "battery voltage [V]")
        for value, name in ((self.capacity_Ah, "capacity [A h]"), (self.resistance_ohm, "resistance [ohm]")):
            if value is not None:
                positive(value, f"battery {name}")
        for share in (*(self.charge or ()), *(() if self.least is None else (self.least,))):
            between(share, 0.0, 1.0, "state of charge")
        for current in self.alternator_A or ():
            not_negative(current, "alternator current [A]")
        for ends in (self.charge, self.alternator_A):
            if ends is not None and ends[1] < ends[0]:
                raise QuantityRefusal(
                    "RANGE", f"{ends[0]:g} to {ends[1]:g}: give the low end first.", ("battery",)
                )


@dataclass(frozen=True)
class BatteryBalance:
    """What a pull does to the battery; every pair is low and high end, None where it is not known.

    Attributes
    ----------
    drawn_Ah : float
        By the motor [A h].
    from_battery_Ah : (float, float) or None
        Drawn less what the alternator gives in the same time, with the rests; below 0 it is charged. None without an
        alternator's current.
    charge_end : (float, float) or None
        State of charge at the end.
    charge_least : (float, float) or None
        Least state of charge on the way.
    least_after_s : (float, float) or None
        Time until the state of charge stated as least is reached, rests included [s]; ``inf`` where it is not reached.
    voltage_V : (float, float) or None
        At the motor at its greatest current [V]; None without an internal resistance.
    """

    drawn_Ah: float
    from_battery_Ah: Ends | None
    charge_end: Ends | None
    charge_least: Ends | None
    least_after_s: Ends | None
    voltage_V: Ends | None


def balance(battery: Battery, current_s: Iterable[tuple[float, float]]) -> BatteryBalance:
    """Return what a winch's current does to its battery.

    Parameters
    ----------
    battery : Battery
    current_s : iterable of (float, float)
        Motor current [A] and how long it flows [s], in order; 0 A for a rest with the engine running.

    Returns
    -------
    BatteryBalance

    Raises
    ------
    QuantityRefusal
        ``NEGATIVE`` for a current or a time below zero.

    Notes
    -----
    ``charge(t) = charge(0) - integral of (I - I_alternator) dt / capacity``, never above 1. Without an alternator's
    current it is left at none at all for the low end, and the high end is not known. ``U = U_nominal - R (I - I_alt)``,
    at most nominal. At hundreds of amperes a battery gives less than its marked capacity, which is told for a drain
    of many hours: how much less is not counted, so what is left is an upper bound.

    References
    ----------
    Definition of electric charge; Ohm's law.

    Examples
    --------
    >>> found = balance(Battery(12.0, 90.0, (0.8, 0.8), 0.5, (50.0, 50.0), 0.01), [(250.0, 360.0)])
    >>> found.drawn_Ah, [round(x, 3) for x in found.charge_end], found.voltage_V
    (25.0, [0.578, 0.578], (10.0, 10.0))
    """
    flow = [(not_negative(i, "motor current [A]"), not_negative(t, "time [s]")) for i, t in current_s]
    drawn_Ah = math.fsum(i * t for i, t in flow) / SECONDS_PER_HOUR
    most_A = max((i for i, _ in flow), default=0.0)
    alternator = battery.alternator_A
    from_battery = None
    if alternator is not None:
        time_h = math.fsum(t for _, t in flow) / SECONDS_PER_HOUR
        from_battery = (drawn_Ah - alternator[1] * time_h, drawn_Ah - alternator[0] * time_h)
    volts = None
    if battery.resistance_ohm is not None:
        given = alternator or (0.0, 0.0)
        low, high = (battery.voltage_V - battery.resistance_ohm * max(most_A - a, 0.0) for a in given)
        volts = (low, high)
    end, least, after = _states(battery, flow)
    return BatteryBalance(drawn_Ah, from_battery, end, least, after, volts)


def _states(
    battery: Battery, flow: list[tuple[float, float]]
) -> tuple[Ends | None, Ends | None, Ends | None]:
    if battery.capacity_Ah is None or battery.charge is None:
        return None, None, None
    alternator = battery.alternator_A or (0.0, 0.0)
    low, high = (
        _run(charge, current, battery, flow)
        for charge, current in zip(battery.charge, alternator, strict=True)
    )
    after = None if battery.least is None else (low[2], high[2])
    return (low[0], high[0]), (low[1], high[1]), after


def _run(
    charge: float, alternator_A: float, battery: Battery, flow: list[tuple[float, float]]
) -> tuple[float, float, float]:
    """Return the state of charge at the end, the least on the way, and when it falls to what it may [s]."""
    capacity_C = (battery.capacity_Ah or 0.0) * SECONDS_PER_HOUR
    floor = -math.inf if battery.least is None else battery.least
    least, clock_s = charge, 0.0
    after_s = 0.0 if charge <= floor else math.inf
    for current_A, time_s in flow:
        rate = (current_A - alternator_A) / capacity_C
        if charge - rate * time_s <= floor < charge and math.isinf(after_s):
            after_s = clock_s + (charge - floor) / rate
        charge = min(charge - rate * time_s, max(charge, 1.0))
        clock_s += time_s
        least = min(least, charge)
    return charge, least, after_s


def time_until(battery: Battery, current_A: float) -> Ends | None:
    """Return how long a steady current may flow until the least state of charge that is stated [s].

    Parameters
    ----------
    battery : Battery
    current_A : float
        Of the motor [A].

    Returns
    -------
    (float, float) or None
        ``inf`` where the alternator gives as much; None where capacity, state of charge or the least is not told.

    Raises
    ------
    QuantityRefusal
        ``NEGATIVE`` for the current.

    References
    ----------
    As :func:`balance`.

    Examples
    --------
    >>> time_until(Battery(12.0, 90.0, (0.7, 0.9), 0.5, (50.0, 50.0)), 350.0)
    (216.0, 432.0)
    """
    not_negative(current_A, "motor current [A]")
    if battery.capacity_Ah is None or battery.charge is None or battery.least is None:
        return None
    alternator = battery.alternator_A or (0.0, 0.0)
    low, high = (
        _lasts(battery.capacity_Ah * max(charge - battery.least, 0.0), current_A - given)
        for charge, given in zip(battery.charge, alternator, strict=True)
    )
    return low, high


def _lasts(to_give_Ah: float, net_A: float) -> float:
    return math.inf if net_A <= 0.0 else round(to_give_Ah * SECONDS_PER_HOUR / net_A, 6)
