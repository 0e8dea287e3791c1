"""What changes over the years: a row for each change of an inspection, a quarantine or a calibration."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import sqlalchemy as sa

from haulwright.book.deposit import Facts
from haulwright.book.schema import calibrations, inspections, quarantines

Row = Mapping[str, Any] | sa.RowMapping


@dataclass(frozen=True)
class _History:
    """Which facts are watched: of each ``key`` in the table ``facts``, the columns ``watched``; ``blank`` is no news."""

    table: sa.Table
    facts: str
    key: str
    watched: tuple[str, ...]
    blank: tuple[tuple[str, Any], ...] = ()


HISTORIES = (
    _History(
        inspections,
        "items",
        "item",
        ("inspected", "due", "condition"),
        (("inspected", None), ("due", None)),
    ),
    _History(quarantines, "items", "item", ("quarantined",), (("quarantined", False),)),
    _History(calibrations, "cells", "cell", ("certificate", "calibrated", "due", "factor", "expanded")),
)


def write_histories(connection: sa.Connection, document_id: int, import_id: int, facts: Facts) -> None:
    """Add a row for each watched fact that is not what the book had last of it."""
    for one in HISTORIES:
        rows = facts.get(one.facts, ())
        last = _last(connection, one, document_id) if rows else {}
        new = [_row(one, row, document_id, import_id) for row in rows if _is_news(one, row, last)]
        if new:
            connection.execute(one.table.insert(), new)


def _last(connection: sa.Connection, one: _History, document_id: int) -> dict[str, tuple[Any, ...]]:
    """Return the watched facts as they stand, by the name of the piece."""
    of_this = sa.select(one.table).where(one.table.c.document_id == document_id).order_by(one.table.c.id)
    return {row[one.key]: _state(one, row) for row in connection.execute(of_this).mappings()}


def _state(one: _History, row: Row) -> tuple[Any, ...]:
    return tuple(row.get(name) for name in one.watched)


def _is_news(one: _History, row: Row, last: Mapping[str, Sequence[Any]]) -> bool:
    if row[one.key] in last:
        return last[row[one.key]] != _state(one, row)
    return not one.blank or any(row.get(name) != value for name, value in one.blank)


def _row(one: _History, row: Row, document_id: int, import_id: int) -> dict[str, Any]:
    own = {column.name: row.get(column.name) for column in one.table.columns if column.name in row}
    return {**own, "document_id": document_id, "import_id": import_id}
