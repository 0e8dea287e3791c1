"""Models of a winch motor that fill the gaps of a maker's table: permanent magnet and series wound.

A model is fitted to the maker's rows and only ever used between the first and the last of them. The maker's own figures
are kept as they stand: what the model misses at a row is carried over to the filled places beside it.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from haulwright.errors import QuantityRefusal
from haulwright.field.inputs import not_negative, one_of, positive
from haulwright.field.motor import MotorRow, MotorTable
from haulwright.field.published import house
from haulwright.quantities.units import spoken

PERMANENT, SERIES = "permanent magnet", "series wound"
MOTORS = (PERMANENT, SERIES)
PLACES = 12  # in which a gap between two rows is filled
_SHIFTS = (0.0, *(0.01 * 1.1**n for n in range(70)))  # I_r tried, in greatest currents: to 7 times
Curve = Callable[[float], float]


@dataclass(frozen=True)
class SparseRow:
    """One row as the maker gives it, first layer: line pull [N]; line speed [m/s] and current [A], or None."""

    pull_N: float
    speed_m_s: float | None = None
    current_A: float | None = None


@dataclass(frozen=True)
class MotorFit:
    """A motor model fitted to a maker's rows.

    Attributes
    ----------
    motor : str
        ``permanent magnet`` or ``series wound``.
    low_N, high_N : float
        Line pulls of the first and last row, between which it holds [N].
    speed_rows, current_rows : int
        Rows it was fitted to.
    speed_residual, current_residual : float or None
        Greatest difference from a row, as a share of the greatest speed or current; None where two rows are all there
        is, so that nothing is left to check the fit with.
    shift_A : float or None
        I_r of the series model's flux [A]; None for a permanent magnet.
    resistance_ohm : float or None
        Of motor, cables and battery together, as the fit has it; None without a voltage.
    """

    motor: str
    low_N: float
    high_N: float
    speed_rows: int
    current_rows: int
    speed_residual: float | None
    current_residual: float | None
    shift_A: float | None
    resistance_ohm: float | None


@dataclass(frozen=True)
class MotorCurve:
    """A table ready for use, the model that filled it (None: the maker's rows alone), and which pulls it filled [N]."""

    table: MotorTable
    fit: MotorFit | None = None
    filled_N: tuple[float, ...] = ()


def motor_curve(
    rows: Sequence[SparseRow], motor: str | None = None, voltage_V: float | None = None
) -> MotorCurve:
    """Return the table of a winch, its gaps filled by a motor model where one is wanted or needed.

    Parameters
    ----------
    rows : sequence of SparseRow
        The maker's, by rising pull; the first and the last with speed and current.
    motor : {"permanent magnet", "series wound"}, optional
        Kind of motor. Given, the gaps between rows follow its model; not given, gaps are linear, and figures that are
        missing within a row follow the model that fits the rows better.
    voltage_V : float, optional
        Of the table [V]. With it no row may give out more power than it takes in.

    Returns
    -------
    MotorCurve

    Raises
    ------
    QuantityRefusal
        ``MOTOR_TABLE`` for rows that are out of order, are not those of a winch, or do not let the model be fitted.

    Notes
    -----
    With F the line pull on layer 1, a gear without losses of its own but a constant drag:

    - permanent magnet, ``T = k I``, ``omega = (V - I R) / k``: ``I = a + b F``, ``v = p - q I``;
    - series wound, ``T = c (I + I_r) I``, ``omega = (V - I R) / (c (I + I_r))``: ``I (I + I_r) = a + b F``,
      ``v = (p - q I) / (I + I_r)``. I_r = 0 is the unsaturated motor; with three rows or more I_r is fitted too and
      stands for iron that saturates.

    Fitted by least squares, current first, each row of the series motor weighted so that the current's error counts.
    R is V q / p; it holds motor, cables and battery.

    References
    ----------
    Textbook relations of direct-current motors: series, unsaturated flux in proportion to the current, torque to its
    square, speed to the counter-voltage over the current; permanent magnet, torque in proportion to the current.

    Examples
    --------
    >>> curve = motor_curve([SparseRow(0.0, 0.15, 60.0), SparseRow(40e3, 0.02, 400.0)], "series wound", 12.0)
    >>> from haulwright.field.motor import working_point
    >>> point = working_point(curve.table, 20e3)
    >>> round(point.current_A), round(point.speed_m_s, 3)
    (286, 0.029)
    """
    _check_rows(rows)
    if motor is not None:
        one_of(motor, MOTORS, "kind of motor")
    missing = [row for row in rows if row.speed_m_s is None or row.current_A is None]
    if motor is None and not missing:
        curve = MotorCurve(MotorTable(tuple(_whole(row) for row in rows)))
    else:
        curve = _filled(rows, motor, voltage_V)
    if voltage_V is not None:
        check_power(curve.table, voltage_V)
    return curve


def check_power(table: MotorTable, voltage_V: float) -> None:
    """Refuse a table that gives out more power than it takes in.

    Parameters
    ----------
    table : MotorTable
    voltage_V : float
        Voltage of the table [V].

    Returns
    -------
    None
        Where no row gives out more than it takes in.

    Raises
    ------
    QuantityRefusal
        ``MOTOR_TABLE``, with the row; ``NOT_POSITIVE`` for the voltage.

    References
    ----------
    Conservation of energy: pull × speed is at most voltage × current.

    Examples
    --------
    >>> check_power(MotorTable((MotorRow(0.0, 0.15, 60.0), MotorRow(40e3, 0.03, 400.0))), 12.0)
    """
    positive(voltage_V, "voltage [V]")
    for number, row in enumerate(table.rows, 1):
        out_W, in_W = row.pull_N * row.speed_m_s, row.current_A * voltage_V
        if out_W > in_W:
            raise QuantityRefusal(
                "MOTOR_TABLE",
                f"Winch table at {spoken(row.pull_N)}: pull × speed is {out_W:.0f} W, but {row.current_A:.0f} A at "
                f"{voltage_V:g} V are only {in_W:.0f} W. No winch does that: check pull, speed, current and voltage.",
                (f"row {number}",),
            )


def _check_rows(rows: Sequence[SparseRow]) -> None:
    if len(rows) < 2:
        raise QuantityRefusal("MOTOR_TABLE", "The winch table needs at least two rows: copy the maker's.")
    for number, row in enumerate(rows, 1):
        for value, what in ((row.pull_N, "pull"), (row.speed_m_s, "speed"), (row.current_A, "current")):
            if value is not None:
                not_negative(value, f"winch table row {number}, {what}")
    for number, (upper, lower) in enumerate(pairwise(rows), 2):
        if lower.pull_N <= upper.pull_N:
            raise _nonsense(
                f"Winch table row {number}: pull must rise from row to row; check the row.", number
            )
    for number in (1, len(rows)):
        if rows[number - 1].speed_m_s is None or rows[number - 1].current_A is None:
            raise _nonsense(
                f"Winch table row {number}: the first and the last row need both speed and current, since no model is "
                "used beyond them. Copy the maker's figures, or leave the row out.",
                number,
            )


def _nonsense(text: str, number: int) -> QuantityRefusal:
    return QuantityRefusal("MOTOR_TABLE", text, (f"row {number}",))


def _whole(row: SparseRow) -> MotorRow:
    return MotorRow(row.pull_N, row.speed_m_s or 0.0, row.current_A or 0.0)


@dataclass(frozen=True)
class _Model:
    fit: MotorFit
    speed: Curve
    current: Curve

    @property
    def worst(self) -> float:
        return max(self.fit.speed_residual or 0.0, self.fit.current_residual or 0.0)


def _filled(rows: Sequence[SparseRow], motor: str | None, voltage_V: float | None) -> MotorCurve:
    models = [_fit(rows, kind, voltage_V) for kind in (MOTORS if motor is None else (motor,))]
    good = [model for model in models if isinstance(model, _Model)]
    if not good:
        raise QuantityRefusal("MOTOR_TABLE", " ".join(str(why) for why in models), ("table",))
    model = min(good, key=lambda one: one.worst)
    pulls = {row.pull_N for row in rows}
    if motor is not None:
        for upper, lower in pairwise(rows):
            step_N = (lower.pull_N - upper.pull_N) / PLACES
            pulls |= {upper.pull_N + step_N * n for n in range(1, PLACES)}
    speed = _through([(row.pull_N, row.speed_m_s) for row in rows], model.speed)
    current = _through([(row.pull_N, row.current_A) for row in rows], model.current)
    whole = {row.pull_N for row in rows if row.speed_m_s is not None and row.current_A is not None}
    table = MotorTable(tuple(MotorRow(x, max(speed(x), 0.0), max(current(x), 0.0)) for x in sorted(pulls)))
    return MotorCurve(table, model.fit, tuple(sorted(pulls - whole)))


def _through(known: Sequence[tuple[float, float | None]], model: Curve) -> Curve:
    """Return the model led through every known figure: what it misses there is spread linearly between them."""
    missed = [(x, y - model(x)) for x, y in known if y is not None]

    def curve(x: float) -> float:
        low, high = next((a, b) for a, b in pairwise(missed) if x <= b[0])
        share = (x - low[0]) / (high[0] - low[0])
        return model(x) + low[1] + share * (high[1] - low[1])

    return curve


def _fit(rows: Sequence[SparseRow], motor: str, voltage_V: float | None) -> _Model | QuantityRefusal:
    """Return a model fitted to the rows, or why they are not those of such a motor."""
    currents = [(row.pull_N, row.current_A) for row in rows if row.current_A is not None]
    speeds = [(row.pull_N, row.speed_m_s) for row in rows if row.speed_m_s is not None]
    if any(amps <= 0.0 for _, amps in currents):
        return _unfit(motor, "a current of 0 A")
    most_A = max(amps for _, amps in currents)
    shifts: tuple[float | None, ...] = (None,)
    if motor == SERIES:
        enough = min(len(currents), len(speeds)) > 2
        shifts = tuple(most_A * share for share in (_SHIFTS if enough else (0.0,)))
    found = [curves for shift in shifts if (curves := _at(speeds, currents, shift)) is not None]
    if not found:
        return _unfit(
            motor, "current must rise with the pull and speed fall with the current as its model has it"
        )
    best = min(found, key=lambda one: _miss(speeds, one.speed) ** 2 + _miss(currents, one.current) ** 2)
    off_speed = None if len(speeds) <= 2 else _miss(speeds, best.speed)
    off_current = None if len(currents) <= 2 else _miss(currents, best.current)
    limit = house("motor-fit-residual").value
    if max(off_speed or 0.0, off_current or 0.0) > limit:
        return _unfit(motor, f"a figure is more than {100 * limit:.0f} % of the greatest off its model")
    ohm = None if voltage_V is None else voltage_V * best.drop_per_A
    ends = rows[0].pull_N, rows[-1].pull_N
    fit = MotorFit(motor, *ends, len(speeds), len(currents), off_speed, off_current, best.shift_A, ohm)
    return _Model(fit, best.speed, best.current)


@dataclass(frozen=True)
class _Curves:
    speed: Curve
    current: Curve
    shift_A: float | None
    drop_per_A: float  # R / V


def _at(
    speeds: Sequence[tuple[float, float]], currents: Sequence[tuple[float, float]], shift_A: float | None
) -> _Curves | None:
    """Return speed and current by least squares for one shift of the flux (None: constant flux), if they can be a motor's."""

    def flux(amps: float) -> float:
        return 1.0 if shift_A is None else amps + shift_A

    def weight(amps: float) -> float:
        return 1.0 if shift_A is None else 1.0 / (2.0 * amps + shift_A)

    a, b = _line([(x, i * flux(i), weight(i)) for x, i in currents])
    if b <= 0.0 or a + b * min(speeds[0][0], currents[0][0]) <= 0.0:
        return None

    def current(x: float) -> float:
        torque = a + b * x
        return torque if shift_A is None else (math.sqrt(shift_A**2 + 4.0 * torque) - shift_A) / 2.0

    q, p = _plane([(current(x), flux(current(x)), v) for x, v in speeds])
    if p <= 0.0 or q <= 0.0:
        return None
    return _Curves(lambda x: (p - q * current(x)) / flux(current(x)), current, shift_A, q / p)


def _unfit(motor: str, what: str) -> QuantityRefusal:
    text = f"The winch table is not that of a {motor} motor: {what}. Check the rows, or leave motor: out."
    return QuantityRefusal("MOTOR_TABLE", text, ("table", "motor"))


def _plane(points: Sequence[tuple[float, float, float]]) -> tuple[float, float]:
    """Return q and p of ``v = (p - q i) / f`` by least squares, through (i, f, v)."""
    pp = math.fsum(1.0 / (f * f) for _, f, _ in points)
    qq = math.fsum((i / f) ** 2 for i, f, _ in points)
    pq = math.fsum(-i / (f * f) for i, f, _ in points)
    vp = math.fsum(v / f for _, f, v in points)
    vq = math.fsum(-v * i / f for i, f, v in points)
    det = pp * qq - pq * pq
    if det <= 0.0:
        return 0.0, 0.0
    return (pp * vq - pq * vp) / det, (qq * vp - pq * vq) / det


def _miss(known: Sequence[tuple[float, float]], model: Curve) -> float:
    """Return the greatest difference from a known figure, as a share of the greatest of them."""
    return max(abs(model(x) - y) for x, y in known) / max(y for _, y in known)


def _line(points: Sequence[tuple[float, float, float]]) -> tuple[float, float]:
    """Return intercept and slope of the weighted least-squares line through (x, y, weight of the residual)."""
    w = [weight * weight for _, _, weight in points]
    total = math.fsum(w)
    mean_x = math.fsum(c * x for c, (x, _, _) in zip(w, points, strict=True)) / total
    mean_y = math.fsum(c * y for c, (_, y, _) in zip(w, points, strict=True)) / total
    xx = math.fsum(c * (x - mean_x) ** 2 for c, (x, _, _) in zip(w, points, strict=True))
    xy = math.fsum(c * (x - mean_x) * (y - mean_y) for c, (x, y, _) in zip(w, points, strict=True))
    slope = xy / xx if xx > 0.0 else 0.0
    return mean_y - slope * mean_x, slope
