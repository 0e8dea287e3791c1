"""One winch and one load with one, two and three parts of line: what more parts cost and what they save.

Two parts neither halve the current nor double the time: the motor draws current without any load, friction takes its
share, a lighter loaded motor runs faster, and more line out means a lower layer.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from haulwright.errors import PlanRefusal
from haulwright.field.drum import DrumLayer, spans, usable_line
from haulwright.field.inputs import between, positive
from haulwright.field.motor import MotorTable, WinchWork, winch_work

_PARTS = {1: "single line", 2: "two parts", 3: "three parts", 4: "four parts"}


@dataclass(frozen=True)
class PartsRow:
    """One winch and one load with a number of parts; None where it does not pull, and ``lacks`` says why.

    Attributes
    ----------
    parts : int
    effort_N : float
        Line pull it needs [N].
    layer : int or None
        The outermost layer met; None where the drum is not described.
    load_speed_m_s : float or None
        Mean speed of the load [m/s].
    current_A : float or None
        The greatest on the way [A].
    time_s, charge_Ah : float or None
        Running time [s], and charge drawn by the motor [A h].
    battery_J, load_J : float or None
        Energy from the battery, None without a voltage, and work done on the load [J].
    lacks : str
        Why it does not pull.
    """

    parts: int
    effort_N: float
    layer: int | None = None
    load_speed_m_s: float | None = None
    current_A: float | None = None
    time_s: float | None = None
    charge_Ah: float | None = None
    battery_J: float | None = None
    load_J: float | None = None
    lacks: str = ""


def by_parts(
    load_N: float,
    travel_m: float,
    away_m: float,
    k: float,
    table: MotorTable,
    wound: Sequence[DrumLayer] = (),
    wraps: float = 0.0,
    voltage_V: float | None = None,
    most: int = 3,
) -> tuple[PartsRow, ...]:
    """Return one winch and one load with one part of line, two, and so on.

    Parameters
    ----------
    load_N : float
        Resistance of the load [N].
    travel_m, away_m : float
        Travel of the load, and distance from it to what it is pulled towards, at the start [m].
    k : float
        Tension ratio of every block, 1 or more.
    table : MotorTable
        First layer.
    wound : sequence of DrumLayer
        The full drum; empty takes all of it on the first layer.
    wraps : float
        That stay on the drum.
    voltage_V : float, optional
        Of the table [V].
    most : int
        Greatest number of parts, up to 4.

    Returns
    -------
    tuple of PartsRow

    Raises
    ------
    QuantityRefusal
        ``NOT_POSITIVE`` for a force or length, ``RANGE`` for the ratio, the number of parts or a travel beyond the way.

    Notes
    -----
    Winch on the load, blocks alternating, parts parallel: ``effort = load / (1 + 1/k + ... + 1/k^(n-1))``, n parts of
    ``away`` each, ``n x travel`` of line taken in, layer by layer.

    References
    ----------
    Fast-line relation of API RP 9B; drum and motor as :func:`haulwright.field.motor.winch_work`.

    Examples
    --------
    >>> from haulwright.field.motor import MotorRow
    >>> table = MotorTable((MotorRow(0.0, 0.16, 60.0), MotorRow(20e3, 0.06, 230.0), MotorRow(40e3, 0.03, 390.0)))
    >>> [(row.parts, round(row.current_A), round(row.time_s)) for row in by_parts(30e3, 5.0, 10.0, 1.1, table)]
    [(1, 310, 111), (2, 194, 123), (3, 153, 143)]
    """
    positive(load_N, "load [N]")
    positive(travel_m, "travel [m]")
    between(travel_m, 0.0, away_m, "travel [m] within the distance")
    between(k, 1.0, 10.0, "tension ratio of a block")
    between(most, 1, max(_PARTS), "number of parts")
    return tuple(
        _row(load_N, travel_m, away_m, k, table, wound, wraps, voltage_V, parts)
        for parts in range(1, most + 1)
    )


def _row(
    load_N: float,
    travel_m: float,
    away_m: float,
    k: float,
    table: MotorTable,
    wound: Sequence[DrumLayer],
    wraps: float,
    voltage_V: float | None,
    parts: int,
) -> PartsRow:
    effort_N = load_N / math.fsum(k**-n for n in range(parts))
    layer = None
    try:
        if wound:
            have_m = usable_line(wound, wraps)
            if parts * away_m > have_m:
                lacks = f"needs {parts * away_m:.1f} m of line, {have_m:.1f} m can leave the drum"
                return PartsRow(parts, effort_N, lacks=lacks)
            met = spans(wound, wound[-1].cumulative_m - parts * away_m, parts * travel_m)
            layer = met[-1][0].number
            work = winch_work(table, effort_N, met, voltage_V)
        else:
            work = winch_work(table, effort_N, parts * travel_m, voltage_V)
    except PlanRefusal as refused:
        lacks = "the winch stalls" if refused.code == "STALL" else refused.message
        return PartsRow(parts, effort_N, layer, lacks=lacks)
    return _told(parts, effort_N, layer, work, load_N * travel_m, travel_m)


def _told(
    parts: int, effort_N: float, layer: int | None, work: WinchWork, load_J: float, travel_m: float
) -> PartsRow:
    speed = travel_m / work.time_s
    return PartsRow(
        parts,
        effort_N,
        layer,
        speed,
        work.greatest_current_A,
        work.time_s,
        work.charge_Ah,
        work.energy_J,
        load_J,
    )


def in_words(rows: Sequence[PartsRow]) -> str:
    """Return in one sentence how the second row compares with the first that pulls; empty with fewer than two.

    Parameters
    ----------
    rows : sequence of PartsRow
        From :func:`by_parts`.

    Returns
    -------
    str

    Raises
    ------
    HaulwrightError
        Never; rows that do not pull are left out.

    References
    ----------
    Arithmetic on the rows.

    Examples
    --------
    >>> a = PartsRow(1, 30e3, 1, 0.05, 300.0, 100.0, 8.0, None, None)
    >>> print(in_words([a, PartsRow(2, 16e3, 1, 0.045, 180.0, 110.0, 5.5, None, None)]))
    Against single line, two parts draw 0.60 of the current (not half) for 1.10 times as long (not 2), 0.69 of the charge.
    """
    pulling = [row for row in rows if row.time_s]
    if len(pulling) < 2:
        return ""
    one, two = pulling[:2]
    times = two.parts / one.parts
    part = "half" if times == 2.0 else f"{1.0 / times:.2f}"
    return (
        f"Against {_PARTS[one.parts]}, {_PARTS[two.parts]} draw {_over(two.current_A, one.current_A):.2f} of the "
        f"current (not {part}) for {_over(two.time_s, one.time_s):.2f} times as long (not {times:g}), "
        f"{_over(two.charge_Ah, one.charge_Ah):.2f} of the charge."
    )


def _over(a: float | None, b: float | None) -> float:
    return (a or 0.0) / b if b else math.nan
