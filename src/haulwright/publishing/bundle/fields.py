"""A table of the open data: its fields as the standard asks (Table Schema, version 1), its rows as text."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from haulwright.data_package import resource_name
from haulwright.quantities.measured import Measured

Value = str | float | int | bool | None
FOLDER = "results"


@dataclass(frozen=True)
class Field:
    """A column: name, type of the standard, unit (``1`` is a plain number; empty for words), what it is."""

    name: str
    type: str
    unit: str
    description: str


@dataclass(frozen=True)
class Table:
    """A table: fields, rows, the fields that tell one row from another, and those that name a run."""

    name: str
    title: str
    fields: tuple[Field, ...]
    rows: tuple[tuple[Value, ...], ...]
    key: tuple[str, ...] = ()
    of_runs: bool = False

    @property
    def path(self) -> str:
        """Path of its file within the open data."""
        return f"{FOLDER}/{self.name}.csv"

    def schema(self) -> Mapping[str, Any]:
        """Return its schema; a unit stands beside each field, which the standard leaves room for."""
        told: dict[str, Any] = {
            "fields": [
                {"name": one.name, "type": one.type, "description": one.description}
                | ({"unit": one.unit} if one.unit else {})
                for one in self.fields
            ],
            "missingValues": [""],
        }
        if self.key:
            told["primaryKey"] = list(self.key)
        if self.of_runs:
            runs = {"resource": resource_name(f"{FOLDER}/runs.csv"), "fields": "run"}
            told["foreignKeys"] = [{"fields": "run", "reference": runs}]
        return told

    def text(self) -> str:
        """Return it as CSV: commas, a point, every figure a number has; what is not known is empty."""
        out = io.StringIO()
        writer = csv.writer(out, lineterminator="\n")
        writer.writerow(one.name for one in self.fields)
        writer.writerows([_text(value) for value in row] for row in self.rows)
        return out.getvalue()


def _text(value: Value) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    return value if isinstance(value, str) else repr(value)


def words(name: str, description: str) -> Field:
    """Return a field of words."""
    return Field(name, "string", "", description)


def number(name: str, unit: str, description: str) -> Field:
    """Return a field of numbers."""
    return Field(name, "number", unit, description)


def whole(name: str, unit: str, description: str) -> Field:
    """Return a field of whole numbers."""
    return Field(name, "integer", unit, description)


def measured(name: str, unit: str, what: str) -> tuple[Field, ...]:
    """Return the four fields of a value with its uncertainty."""
    stem = name.removesuffix(f"_{unit}")
    tail = name.removeprefix(stem)
    return (
        number(name, unit, f"{what}; best estimate"),
        number(f"{stem}_u{tail}", unit, f"{what}: standard uncertainty"),
        number(f"{stem}_low95{tail}", unit, f"{what}: lower end of the 95 % interval"),
        number(f"{stem}_high95{tail}", unit, f"{what}: upper end of the 95 % interval"),
    )


def of(value: Measured | None) -> tuple[Value, ...]:
    """Return the four cells of a value with its uncertainty; empty ones where it is not known."""
    return (None,) * 4 if value is None else (value.value, value.u, value.lo, value.hi)


def listed(names: Sequence[str]) -> str:
    """Return names in one cell, parted by semicolons as in the run sheet."""
    return ";".join(names)
