"""Logs with one row per instant and one column per cell."""

from __future__ import annotations

import re

import numpy as np

from haulwright.errors import TrialRefusal
from haulwright.files.log_words import newtons_per
from haulwright.trials.readers._clock import Clock
from haulwright.trials.readers._number import to_number
from haulwright.trials.readers._raw import RawChannel
from haulwright.trials.readers._roles import role_of
from haulwright.trials.readers._table import Table
from haulwright.trials.readers._times import TimeColumns, named_column
from haulwright.trials.readers._units import bare_label, other_unit, unit_in_label, unit_name
from haulwright.trials.readers._words import COUNTER_WORD, FORCE_WORD, is_blank
from haulwright.trials.readers.choices import Choices

_SAMPLE = 400


def read_wide(
    table: Table, times: list[TimeColumns], timed: tuple[int, ...], choices: Choices
) -> list[RawChannel]:
    """Return the force columns of a file.

    Raises
    ------
    TrialRefusal
        NO_FORCE if there is none.
    """
    forces = _forces(table, timed, choices)
    if not forces:
        line = int(table.lines[0])
        message = (
            f"{table.name}, line {line}: no column of force: expected numbers beside the time, "
            f"found {', '.join(table.row(0))!r}."
        )
        raise TrialRefusal("NO_FORCE", message, (table.name,), line)
    fallback = preamble_unit(table)
    found = []
    for column in forces:
        label = table.header[column]
        units = _unit_column(table, column)
        names = None if units is None else table.names(units, 12)
        factors, first = row_factors(table, units, names) if units is not None and names else (None, None)
        found.append(
            RawChannel(
                label=bare_label(label) or f"column {column + 1}",
                table=table,
                column=column,
                unit=unit_name(unit_in_label(label) or fallback or "") or None,
                clock=_clock_of(column, times, forces),
                factors=factors,
                row_unit=first,
                joint=len(forces) > 1,
            )
        )
    return found


def _forces(table: Table, timed: tuple[int, ...], choices: Choices) -> list[int]:
    possible = [i for i in range(table.layout.width) if i not in timed and _is_force(table, i)]
    named = [i for i in possible if unit_in_label(table.header[i]) or _unit_column(table, i) is not None]
    if len(named) == 1:
        # a cell whose header states no unit is not overlooked: it is asked about
        named = [i for i in possible if i in named or role_of(table.header[i])]
    forces = named or [i for i in possible if FORCE_WORD.search(table.header[i])] or possible
    for wanted in (choices.line_column, choices.anchor_column):
        column = _wanted(table, wanted)
        if column is not None and column not in forces:
            forces.append(column)
    return sorted(forces)


def _wanted(table: Table, wanted: str | None) -> int | None:
    """Return a column asked for by name or number, None if this file has none such."""
    if wanted is None:
        return None
    try:
        column = named_column(table, wanted)
    except TrialRefusal:
        return None
    exact = wanted.strip().lower() in (table.header[column].lower(), bare_label(table.header[column]).lower())
    return column if exact or wanted.strip().isdecimal() else None


def _unit_column(table: Table, column: int) -> int | None:
    """Return the column behind a force that states its unit row by row, None if none does."""
    after = column + 1
    if after >= table.layout.width:
        return None
    texts = [t for t in table.texts(after, table.sample(_SAMPLE)) if t]
    units = sum(newtons_per(t) is not None for t in texts)
    return after if texts and units > 0.8 * len(texts) else None


def row_factors(table: Table, column: int, names: list[str]) -> tuple[np.ndarray, str | None]:
    """Return the newtons per unit of each row, and the first unit.

    Raises
    ------
    TrialRefusal
        UNIT for a unit that is none of force.
    """
    codes = table.codes(column, names)
    factors = np.full(len(names) + 1, np.nan)
    for code, name in enumerate(names):
        factor = newtons_per(name)
        if factor is None and name:
            line = int(table.lines[int(np.argmax(codes == code))])
            message = (
                f"{table.name}, line {line}: {name!r} is no unit of force: expected kgf, t, kN, N or lbf."
            )
            raise TrialRefusal("UNIT", message, (table.name, table.header[column]), line)
        factors[code] = np.nan if factor is None else factor
    return factors[codes], next((name for name in names if name), None)


def _clock_of(column: int, times: list[TimeColumns], forces: list[int]) -> Clock:
    """Return the clock of a column: its own one before it where each cell has one, else the file's."""
    starts = [max(one.columns) for one in times]
    ends = [*starts[1:], 1 << 30]
    each_has_one = all(any(a < force < b for force in forces) for a, b in zip(starts, ends, strict=True))
    if len(times) > 1 and each_has_one and min(starts) < min(forces):
        return [one for one in times if max(one.columns) < column][-1].clock
    return times[0].clock


def preamble_unit(table: Table) -> str | None:
    """Return the unit of force a line before the header states (``Unit: kgf``), None if none."""
    for line in table.layout.preamble:
        match = re.search(r"\b(?:units?|einheit|unité)\b\W*(\w+)", line, re.I)
        if match and (unit := unit_in_label(f"x [{match[1]}]")):
            return unit
    return None


def _is_force(table: Table, column: int) -> bool:
    label = table.header[column]
    if COUNTER_WORD.match(label) or (other_unit(label) and not unit_in_label(label)):
        return False
    rows = table.sample(1500)
    texts = [text for text in table.texts(column, rows) if not is_blank(text)][:_SAMPLE]
    numeric = sum(to_number(re.sub(r"\s*[A-Za-z]+$", "", t), table.layout.decimal) is not None for t in texts)
    stated = (
        bool(texts) and unit_in_label(label) is not None
    )  # unreadable numbers of a force are told, not passed over
    return stated or (numeric > 0.5 * len(texts) and not _is_counter(table, column))


def _is_counter(table: Table, column: int) -> bool:
    values = table.some_numbers(column, np.arange(min(table.size, _SAMPLE)))
    return values.size > 5 and bool(np.all(np.diff(values) == 1.0))
