"""The winch motor: speed, current, time and charge of a pull, from the maker's table.

The table is line pull against line speed and motor current on the first layer. Between its rows everything is
taken as linear; beyond the last row the winch stalls and no number is given.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

from haulwright.errors import PlanRefusal, QuantityRefusal
from haulwright.field.drum import DrumLayer
from haulwright.field.inputs import not_negative, positive
from haulwright.quantities.units import spoken

SECONDS_PER_HOUR = 3600.0


@dataclass(frozen=True)
class MotorRow:
    """One row of the maker's table, first layer: line pull [N], line speed [m/s], motor current [A]."""

    pull_N: float
    speed_m_s: float
    current_A: float


@dataclass(frozen=True)
class WorkingPoint:
    """The winch at one line pull on one layer.

    Attributes
    ----------
    pull_N : float
        Line pull on this layer [N].
    table_pull_N : float
        The same torque as a pull on layer 1, where the table is entered [N].
    speed_m_s : float
        Line speed on this layer [m/s].
    current_A : float
        Motor current [A].
    """

    pull_N: float
    table_pull_N: float
    speed_m_s: float
    current_A: float


@dataclass(frozen=True)
class WinchWork:
    """What a pull at constant line pull asks of winch and battery.

    Attributes
    ----------
    time_s : float
        Running time, without rests and re-rigging [s].
    charge_Ah : float
        Charge drawn by the motor [A h].
    energy_J : float or None
        Charge × voltage [J]; None without a voltage.
    line_work_J : float
        Work on the line, pull × line taken in [J].
    greatest_current_A : float
        On the outermost layer met [A].
    points : tuple of (WorkingPoint, float)
        Working point and line wound [m], layer by layer.
    """

    time_s: float
    charge_Ah: float
    energy_J: float | None
    line_work_J: float
    greatest_current_A: float
    points: tuple[tuple[WorkingPoint, float], ...]


@dataclass(frozen=True)
class MotorTable:
    """A maker's table, checked on entry.

    Parameters
    ----------
    rows : tuple of MotorRow
        At least two, by rising pull; speed must fall and current rise from row to row.

    Raises
    ------
    QuantityRefusal
        ``MOTOR_TABLE`` if the rows are too few, out of order or not those of a winch.

    Examples
    --------
    >>> table = MotorTable((MotorRow(0.0, 0.16, 60.0), MotorRow(9e3, 0.08, 150.0)))
    >>> table.stall_N
    9000.0
    """

    rows: tuple[MotorRow, ...]

    def __post_init__(self) -> None:
        if len(self.rows) < 2:
            raise QuantityRefusal("MOTOR_TABLE", "The winch table needs at least two rows: copy the maker's.")
        for number, row in enumerate(self.rows, 1):
            for value, what in ((row.pull_N, "pull"), (row.speed_m_s, "speed"), (row.current_A, "current")):
                not_negative(value, f"winch table row {number}, {what}")
        for number, (upper, lower) in enumerate(pairwise(self.rows), 2):
            if not (lower.pull_N > upper.pull_N and lower.speed_m_s < upper.speed_m_s):
                raise _disorder(number, "pull must rise and speed fall from row to row")
            if lower.current_A < upper.current_A:
                raise _disorder(number, "current must not fall as the pull rises")

    @property
    def stall_N(self) -> float:  # noqa: N802
        """The last row's line pull on layer 1 [N]: the greatest the table vouches for."""
        return self.rows[-1].pull_N


def _disorder(number: int, expected: str) -> QuantityRefusal:
    return QuantityRefusal(
        "MOTOR_TABLE", f"Winch table row {number}: {expected}; check the row.", (f"row {number}",)
    )


def working_point(table: MotorTable, pull_N: float, radius_ratio: float = 1.0) -> WorkingPoint:
    """Return speed and current at one line pull on one layer.

    Parameters
    ----------
    table : MotorTable
        Maker's table, first layer.
    pull_N : float
        Line pull [N].
    radius_ratio : float
        Pitch radius of the working layer ÷ that of layer 1 (:attr:`DrumLayer.speed_ratio`), 1 or more.

    Returns
    -------
    WorkingPoint

    Raises
    ------
    PlanRefusal
        ``STALL`` if the pull on this layer is beyond the last row; ``MOTOR_TABLE`` if it is below the first.
    QuantityRefusal
        ``NEGATIVE`` for the pull, ``RANGE`` for a radius ratio below 1.

    Notes
    -----
    Enter the table with ``pull × r_n / r_1`` (same torque), multiply the speed by ``r_n / r_1``. Linear between rows.

    References
    ----------
    Constant torque, as :func:`haulwright.field.drum.layers`. Linear between rows: common practice, no source.

    Examples
    --------
    >>> table = MotorTable((MotorRow(27e3, 2.9 / 60, 290.0), MotorRow(36e3, 2.2 / 60, 360.0)))
    >>> point = working_point(table, 34e3)
    >>> round(point.speed_m_s * 60, 2), round(point.current_A)
    (2.36, 344)
    """
    not_negative(pull_N, "line pull [N]")
    if not math.isfinite(radius_ratio) or radius_ratio < 1.0:
        raise QuantityRefusal("RANGE", f"radius ratio is {radius_ratio:g}: layer 1 has 1, all others more.")
    entry_N = pull_N * radius_ratio
    if entry_N > table.stall_N * (1.0 + 1e-12):
        raise PlanRefusal(
            "STALL",
            f"{spoken(pull_N)} on a layer {radius_ratio:.2f} times the first is {spoken(entry_N)} in the "
            f"winch table, which ends at {spoken(table.stall_N)}: the winch stalls. Add a part, or start with "
            "less line on the drum.",
            ("winch",),
        )
    if entry_N < table.rows[0].pull_N:
        raise PlanRefusal(
            "MOTOR_TABLE",
            f"{spoken(entry_N)} is below the first row of the winch table ({spoken(table.rows[0].pull_N)}): "
            "add the maker's no-load row.",
            ("winch",),
        )
    low, high = next((a, b) for a, b in pairwise(table.rows) if entry_N <= b.pull_N * (1.0 + 1e-12))
    share = (entry_N - low.pull_N) / (high.pull_N - low.pull_N)
    speed_m_s = low.speed_m_s + share * (high.speed_m_s - low.speed_m_s)
    current_A = low.current_A + share * (high.current_A - low.current_A)
    return WorkingPoint(pull_N, entry_N, speed_m_s * radius_ratio, current_A)


def winch_work(
    table: MotorTable,
    pull_N: float,
    wound: Iterable[tuple[DrumLayer, float]] | float,
    voltage_V: float | None = None,
) -> WinchWork:
    """Return time, charge and energy of a pull at constant line pull.

    Parameters
    ----------
    table : MotorTable
        Maker's table, first layer.
    pull_N : float
        Line pull [N].
    wound : iterable of (DrumLayer, float), or float
        Line wound layer by layer, from :func:`haulwright.field.drum.spans`; or one length [m], all on layer 1.
    voltage_V : float, optional
        Voltage at the motor [V], for the energy.

    Returns
    -------
    WinchWork

    Raises
    ------
    PlanRefusal
        As :func:`working_point`; ``STALL`` also if the winch stands still in the last row.
    QuantityRefusal
        As :func:`working_point`; ``NOT_POSITIVE`` for a voltage or a single length.

    Notes
    -----
    ``t = sum(l / v)``, ``Q = sum(I t)``, ``E = U Q``. Running time only: the motor's duty cycle (minutes at rated
    pull) usually decides how long the job takes; take it from the maker's plate.

    References
    ----------
    Definitions of speed, electric charge and energy; the working points as :func:`working_point`.

    Examples
    --------
    >>> table = MotorTable((MotorRow(0.0, 10.0 / 60, 60.0), MotorRow(9e3, 5.2 / 60, 150.0)))
    >>> work = winch_work(table, 9e3, 28.0, voltage_V=12.0)
    >>> round(work.time_s), round(work.charge_Ah, 1), round(work.energy_J / 1e3)
    (323, 13.5, 582)
    """
    if voltage_V is not None:
        positive(voltage_V, "voltage [V]")
    if isinstance(wound, int | float):
        lengths = [(working_point(table, pull_N), positive(wound, "line taken in [m]"))]
    else:
        lengths = [(working_point(table, pull_N, layer.speed_ratio), length) for layer, length in wound]
    if any(point.speed_m_s <= 0.0 for point, _ in lengths):
        raise PlanRefusal("STALL", f"At {spoken(pull_N)} the winch stands still: add a part.", ("winch",))
    times = [length / point.speed_m_s for point, length in lengths]
    charge_C = sum(point.current_A * time for (point, _), time in zip(lengths, times, strict=True))
    return WinchWork(
        time_s=sum(times),
        charge_Ah=charge_C / SECONDS_PER_HOUR,
        energy_J=None if voltage_V is None else charge_C * voltage_V,
        line_work_J=pull_N * sum(length for _, length in lengths),
        greatest_current_A=max((point.current_A for point, _ in lengths), default=0.0),
        points=tuple(lengths),
    )
