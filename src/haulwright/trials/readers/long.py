"""Logs with one row per reading: time, sensor, force and perhaps unit."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np

from haulwright.trials.readers._number import to_number
from haulwright.trials.readers._raw import BLANK, RawChannel
from haulwright.trials.readers._text import Sheet
from haulwright.trials.readers._units import newtons_per, unit_in_label, unit_name
from haulwright.trials.readers.wide import preamble_unit, time_column

_SENSOR_WORD = re.compile(r"sensor|channel|cell|device|kanal|messstelle|name|place|id|capteur", re.I)
_VALUE_WORD = re.compile(r"force|value|reading|load|kraft|wert|last", re.I)
_MOST_SENSORS = 12


def sensor_column(sheet: Sheet) -> int | None:
    """Return the column that names the sensor of each row, None if the log is not of this kind."""
    for index, label in enumerate(sheet.header):
        if len(set(sheet.column(index)[:2000])) > _MOST_SENSORS + len(BLANK):
            continue
        texts = [t for t in sheet.column(index) if t.lower() not in BLANK]
        names = set(texts)
        if not 2 <= len(names) <= _MOST_SENSORS or len(texts) < 0.8 * len(sheet.rows):
            continue
        if min(texts.count(name) for name in names) < 5:
            continue
        words = all(to_number(n, sheet.decimal) is None and newtons_per(n) is None for n in names)
        if (words and not any(":" in n for n in names)) or (_SENSOR_WORD.search(label) and len(names) <= 4):
            return index
    return None


def read_long(sheet: Sheet, sensor: int, *, date_order: str | None = None) -> list[RawChannel]:
    """Return the sensors of a sheet, in the order they first appear."""
    stamps, clock = time_column(sheet, date_order)
    others = [i for i in range(len(sheet.header)) if i not in stamps and i != sensor]
    unit_column = next((i for i in others if _is_units(sheet, i)), None)
    values = [i for i in others if i != unit_column and _is_numeric(sheet, i)]
    value = next((i for i in values if _VALUE_WORD.search(sheet.header[i])), values[0] if values else None)
    if value is None:
        return []
    stated = unit_in_label(sheet.header[value]) or preamble_unit(sheet)
    names = list(dict.fromkeys(t for t in sheet.column(sensor) if t))
    found = []
    for name in names:
        rows = [i for i, row in enumerate(sheet.rows) if row[sensor] == name]
        own = unit_in_label(name)
        found.append(
            RawChannel(
                label=name,
                file=sheet.path,
                unit=unit_name(stated or own or "") or None,
                clock=replace(clock, time_s=clock.time_s[np.array(rows)]),
                texts=[sheet.rows[i][value] for i in rows],
                units=[sheet.rows[i][unit_column] for i in rows] if unit_column is not None else None,
                numbers=[sheet.numbers[i] for i in rows],
                decimal=sheet.decimal,
                layout="long",
            )
        )
    return found


def _is_units(sheet: Sheet, index: int) -> bool:
    texts = [t for t in sheet.column(index) if t]
    return bool(texts) and sum(newtons_per(t) is not None for t in texts) > 0.8 * len(texts)


def _is_numeric(sheet: Sheet, index: int) -> bool:
    texts = [t for t in sheet.column(index) if t.lower() not in BLANK]
    return bool(texts) and sum(to_number(t, sheet.decimal) is not None for t in texts) > 0.5 * len(texts)
