"""The winch of a pull as the field's formulas read it: table, battery, duty, and whether its rope fits its drum."""

from __future__ import annotations

from functools import lru_cache

from haulwright.field import drum
from haulwright.field.battery import Battery
from haulwright.field.drum import DrumLayer
from haulwright.field.motor_model import MotorCurve, SparseRow, motor_curve
from haulwright.files.kit import Item, Kit, Winch


@lru_cache(maxsize=64)
def _curve(rows: tuple[SparseRow, ...], motor: str | None, voltage_V: float | None) -> MotorCurve:
    return motor_curve(rows, motor, voltage_V)


def motor_of(winch: Winch) -> MotorCurve | None:
    """Return speed and current of a winch against line pull; None without a maker's table of two rows.

    Raises
    ------
    QuantityRefusal
        MOTOR_TABLE for a table that is none of a winch.
    """
    if len(winch.table) < 2:
        return None
    rows = tuple(SparseRow(row.line_pull, row.speed, row.current_A) for row in winch.table)
    return _curve(rows, winch.motor, winch.battery.voltage_V if winch.battery else None)


def battery_of(winch: Winch) -> Battery | None:
    """Return the battery of a winch with its alternator; None where none is told."""
    told = winch.battery
    if told is None:
        return None
    return Battery(
        told.voltage_V,
        told.capacity_Ah,
        told.state_of_charge,
        told.least_charge,
        told.alternator_A,
        told.internal_resistance_ohm,
    )


_ROUNDING_m = 1e-6  # lengths of layers are added up


def windings(winch: Winch, line: Item | None) -> tuple[tuple[DrumLayer, ...], ...]:
    """Return the layers of the full drum, once for each way the rope may lie; empty where a size is not told."""
    size = winch.drum
    if size is None or line is None or line.diameter is None or line.length is None:
        return ()
    lays = tuple(drum.LAYS) if winch.lay is None else (winch.lay,)
    rope = (line.diameter, line.length, winch.line_pull)
    return tuple(drum.layers(size.barrel, size.width, *rope, lay, size.flange, strict=False) for lay in lays)


def overfull(winch: Winch, line: Item | None) -> str:
    """Return in words that the rope does not fit under the flange of the drum; empty where it does or is not known.

    Where the lay is not told, that of them which asks for more room counts.
    """
    size, wound = winch.drum, windings(winch, line)
    if size is None or size.flange is None or line is None or line.length is None or not wound:
        return ""
    fit_m = min(drum.room(one) for one in wound)
    if fit_m >= line.length - _ROUNDING_m:
        return ""
    unsure = " if its layers lie above each other" if winch.lay is None else ""
    return (
        f"The drum of {winch.label} is overfull: of {line.length:.1f} m of {line.label}, {fit_m:.1f} m fit under its "
        f"flange ({size.flange * 1e3:.0f} mm){unsure}. The rest would climb over the flange and cut itself: take "
        "a shorter or thinner line, or check the drum's measures."
    )


def overfull_of(kit: Kit) -> tuple[str, ...]:
    """Return the same for every winch of a kit whose rope does not fit."""
    words = (overfull(winch, kit.rope_of(winch)) for winch in kit.winches)
    return tuple(text for text in words if text)
