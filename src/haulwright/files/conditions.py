"""What a run sheet says of a run beside its forces: temperatures, rope, layer, travel; read as data, never applied."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field

from haulwright.errors import QuantityRefusal
from haulwright.files.faults import refusal
from haulwright.quantities.units import parse_force, parse_length, parse_speed

COLUMNS = (
    "temperature_before_C",
    "temperature_after_C",
    "air_C",
    "rope_state",
    "rope_age",
    "layer",
    "weather",
    "travel",
    "line_speed",
)
_NUMBER = re.compile(r"[-+]?\d+(?:[.,]\d+)?")
_COLDEST_C, _HOTTEST_C = -60.0, 400.0
_READING = re.compile(r"\s*([-+]?[\d.,]+)\s*(?:±\s*([\d.,]+))?\s*([^\d±]+)")


@dataclass(frozen=True)
class Conditions:
    """What was noted of a run.

    Attributes
    ----------
    temperature_before_C, temperature_after_C : tuple of float
        Surface temperature of each block, from the drum, before and after the pull [°C]; empty if not told.
    air_C : float or None
        Air [°C].
    rope_state, rope_age, weather : str
        In the words of the sheet: ``dry``, ``wet``; ``12 pulls``.
    layer : int or None
        Layer on the drum, 1 the lowest.
    travel_m : float or None
        Travel of the load over the pull [m].
    line_speed_m_s : float or None
        Speed of the line at the drum [m/s].
    notes : mapping of str to str
        Further columns as they stand.
    """

    temperature_before_C: tuple[float, ...] = ()
    temperature_after_C: tuple[float, ...] = ()
    air_C: float | None = None
    rope_state: str = ""
    rope_age: str = ""
    layer: int | None = None
    weather: str = ""
    travel_m: float | None = None
    line_speed_m_s: float | None = None
    notes: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Reading:
    """A force typed from a display [N], its own scatter [N] or None, and the step of its last digit [N]."""

    force_N: float
    scatter_N: float | None
    step_N: float
    unit: str


def read_conditions(
    name: str, line: int, row: Mapping[str, str], devices: int, unread: tuple[str, ...]
) -> Conditions:
    """Return what a row says of the conditions of its run.

    Parameters
    ----------
    name, line : str, int
        File and line, for refusals.
    row : mapping column -> text
    devices : int
        Blocks named in the row; temperatures are one for all, or one for each.
    unread : tuple of str
        Columns that nothing reads.

    Raises
    ------
    FileRefusal
        VALUE: a text that is not what its column holds.
    """
    layer = row.get("layer", "")
    if layer and not (layer.isascii() and layer.isdigit() and 0 < int(layer) < 100):
        raise _wrong(name, line, "layer", layer, "a whole number, 1 for the layer on the bare drum")
    air = _temperatures(name, line, row, "air_C", 1)
    return Conditions(
        temperature_before_C=_temperatures(name, line, row, "temperature_before_C", devices),
        temperature_after_C=_temperatures(name, line, row, "temperature_after_C", devices),
        air_C=air[0] if air else None,
        rope_state=row.get("rope_state", "").lower(),
        rope_age=row.get("rope_age", ""),
        layer=int(layer) if layer else None,
        weather=row.get("weather", ""),
        travel_m=_positive(name, line, row, "travel"),
        line_speed_m_s=_positive(name, line, row, "line_speed"),
        notes={column: row[column] for column in unread if row.get(column)},
    )


def read_reading(name: str, line: int, column: str, text: str) -> Reading:
    """Return a force typed from a display, such as ``612 kgf`` or ``612 ± 8 kgf``.

    Raises
    ------
    FileRefusal
        VALUE: no number with a unit of force, or not above 0.

    Examples
    --------
    >>> read_reading("runs.csv", 2, "line_reading", "6.1 ± 0.1 kN")
    Reading(force_N=6100.0, scatter_N=100.0, step_N=100.0, unit='kN')
    """
    expected = "a force with its unit, as 612 kgf, or with the half-width it swung by, as 612 ± 8 kgf"
    match = _READING.fullmatch(text)
    if match is None:
        raise _wrong(name, line, column, text, expected)
    number, half, unit = match[1], match[2], match[3].strip()
    try:
        one = parse_force(f"1 {unit}", what=column)
        force = parse_force(f"{number} {unit}", what=column)
        scatter = parse_force(f"{half} {unit}", what=column) if half else None
    except QuantityRefusal as refused:
        raise _wrong(name, line, column, text, f"{expected} ({refused.message})") from None
    if force <= 0.0:
        raise _wrong(name, line, column, text, "a force above 0")
    _, point, decimals = number.replace(",", ".").partition(".")
    return Reading(force, scatter, one * 10.0 ** (-len(decimals) if point else 0), unit)


def leading_number(text: str) -> float | None:
    """Return the number a note starts with; None if it starts with none.

    Examples
    --------
    >>> leading_number("12 pulls"), leading_number("new")
    (12.0, None)
    """
    match = _NUMBER.match(text.strip())
    return float(match[0].replace(",", ".")) if match else None


def _temperatures(name: str, line: int, row: Mapping[str, str], column: str, count: int) -> tuple[float, ...]:
    """Return one temperature for all blocks, or one for each."""
    text = row.get(column, "")
    if not text:
        return ()
    parts = [part.strip() for part in text.split(";")]
    numbers = [float(part.replace(",", ".")) for part in parts if _NUMBER.fullmatch(part)]
    if len(numbers) < len(parts) or not all(_COLDEST_C <= one <= _HOTTEST_C for one in numbers):
        raise _wrong(name, line, column, text, "degrees Celsius as plain numbers, separated by semicolons")
    if len(numbers) not in (1, count):
        raise _wrong(
            name, line, column, text, f"one number, or one for each of the {count} blocks from the drum"
        )
    return tuple(numbers)


def _positive(name: str, line: int, row: Mapping[str, str], column: str) -> float | None:
    text = row.get(column, "")
    if not text:
        return None
    read, example = (parse_length, "12 m") if column == "travel" else (parse_speed, "3 m/min")
    try:
        value = read(text, what=column)
    except QuantityRefusal as refused:
        raise _wrong(name, line, column, text, f"{example} ({refused.message})") from None
    if value <= 0.0:
        raise _wrong(name, line, column, text, f"more than 0, as {example}")
    return value


def _wrong(name: str, line: int, column: str, text: str, expected: str) -> Exception:
    return refusal("VALUE", name, line, f"{column} = {text!r}: expected {expected}.", (column,))
