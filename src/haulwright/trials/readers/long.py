"""Logs with one row per reading: time, sensor, force and perhaps unit."""

from __future__ import annotations

import re

import numpy as np

from haulwright.files.log_words import newtons_per
from haulwright.trials.readers._number import to_number
from haulwright.trials.readers._raw import RawChannel
from haulwright.trials.readers._table import Table
from haulwright.trials.readers._times import TimeColumns
from haulwright.trials.readers._units import unit_in_label, unit_name
from haulwright.trials.readers._words import is_blank
from haulwright.trials.readers.wide import preamble_unit, row_factors

_SENSOR_WORD = re.compile(r"sensor|channel|cell|device|kanal|messstelle|name|place|id|capteur", re.I)
_VALUE_WORD = re.compile(r"force|value|reading|load|kraft|wert|last", re.I)
_MOST_SENSORS = 12
_LEAST_READINGS = 5


def sensor_column(table: Table) -> tuple[int, list[str]] | None:
    """Return the column that names the sensor of each row and the names, None if the log is not of this kind."""
    for column, label in enumerate(table.header):
        sample = [t for t in table.texts(column, table.sample()) if not is_blank(t)]
        if not 2 <= len(set(sample)) <= _MOST_SENSORS or len(sample) < 0.8 * table.sample().size:
            continue
        names = [n for n in table.names(column, _MOST_SENSORS + 4) or [] if not is_blank(n)]
        if not 2 <= len(names) <= _MOST_SENSORS:
            continue
        codes = table.codes(column, names)
        counts = np.bincount(codes[codes >= 0], minlength=len(names))
        if counts.min() < _LEAST_READINGS or counts.sum() < 0.8 * table.size:
            continue
        words = all(to_number(n, table.layout.decimal) is None and newtons_per(n) is None for n in names)
        if (words and not any(":" in n for n in names)) or (_SENSOR_WORD.search(label) and len(names) <= 4):
            return column, names
    return None


def read_long(
    table: Table, sensor: int, names: list[str], times: list[TimeColumns], timed: tuple[int, ...]
) -> list[RawChannel]:
    """Return the sensors of a file, in the order they first appear."""
    others = [i for i in range(table.layout.width) if i not in timed and i != sensor]
    units = next((i for i in others if _is_units(table, i)), None)
    values = [i for i in others if i != units and _is_numeric(table, i)]
    value = next((i for i in values if _VALUE_WORD.search(table.header[i])), values[0] if values else None)
    if value is None:
        return []
    stated = unit_in_label(table.header[value]) or preamble_unit(table)
    unit_names = None if units is None else table.names(units, 12)
    factors = first = None
    if units is not None and unit_names:
        factors, first = row_factors(table, units, unit_names)
    codes = table.codes(sensor, names)
    return [
        RawChannel(
            label=name,
            table=table,
            column=value,
            unit=unit_name(stated or unit_in_label(name) or "") or None,
            clock=times[0].clock,
            rows=np.flatnonzero(codes == code),
            factors=factors,
            row_unit=first
            if factors is None
            else _first_unit(factors, codes == code, first, unit_names or []),
            layout="long",
        )
        for code, name in enumerate(names)
    ]


def _first_unit(factors: np.ndarray, mine: np.ndarray, first: str | None, names: list[str]) -> str | None:
    """Return the first unit this sensor states."""
    own = factors[mine]
    own = own[np.isfinite(own)]
    return next((n for n in names if own.size and newtons_per(n) == own[0]), first)


def _is_units(table: Table, column: int) -> bool:
    texts = [t for t in table.texts(column, table.sample(400)) if t]
    return bool(texts) and sum(newtons_per(t) is not None for t in texts) > 0.8 * len(texts)


def _is_numeric(table: Table, column: int) -> bool:
    texts = [t for t in table.texts(column, table.sample(400)) if not is_blank(t)]
    decimal = table.layout.decimal
    plain = sum(to_number(re.sub(r"\s*[A-Za-z]+$", "", t), decimal) is not None for t in texts)
    return bool(texts) and plain > 0.5 * len(texts)
