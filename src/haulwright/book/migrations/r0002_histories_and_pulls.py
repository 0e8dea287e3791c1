"""The second schema: inspections, quarantine and calibrations over the years; sites and pulls.

The histories are filled from the versions that are there, oldest first, so that none begins with the migration.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"


def _text(*names: str) -> list[sa.Column[Any]]:
    return [sa.Column(name, sa.Text, nullable=False) for name in names]


def _float(*names: str) -> list[sa.Column[Any]]:
    return [sa.Column(name, sa.Double) for name in names]


def _date(*names: str) -> list[sa.Column[Any]]:
    return [sa.Column(name, sa.Date) for name in names]


def _flag(name: str) -> sa.Column[Any]:
    return sa.Column(name, sa.Boolean, nullable=False)


def upgrade() -> None:
    """Make the tables and fill those whose facts are in the book already."""
    _history("inspections", *_text("item", "condition"), *_date("inspected", "due"))
    _history("quarantines", *_text("item", "condition", "note"), _flag("quarantined"))
    _history(
        "calibrations",
        *_text("cell", "certificate"),
        *_date("calibrated", "due"),
        *_float("factor", "expanded"),
    )
    _sites_and_pulls()
    tables = sa.MetaData()
    connection = op.get_bind()
    tables.reflect(bind=connection)
    _fill_histories(connection, tables.tables)
    _fill_sites(connection, tables.tables)


def _history(name: str, *columns: sa.Column[Any]) -> None:
    op.create_table(
        name,
        sa.Column("id", sa.Integer, autoincrement=True, nullable=False),
        sa.Column("document_id", sa.Integer, nullable=False),
        sa.Column("import_id", sa.Integer, nullable=False),
        *columns,
        sa.PrimaryKeyConstraint("id", name=f"pk_{name}"),
        sa.ForeignKeyConstraint(["document_id"], ["documents.id"], name=f"fk_{name}_document_id"),
        sa.ForeignKeyConstraint(["import_id"], ["imports.id"], name=f"fk_{name}_import_id"),
    )
    op.create_index(f"ix_{name}_document_id", name, ["document_id"])
    op.create_index(f"ix_{name}_import_id", name, ["import_id"])


def _keyed(name: str, *columns: sa.Column[Any], key: tuple[str, ...] = ()) -> None:
    op.create_table(
        name,
        sa.Column("version_id", sa.Integer, nullable=False),
        *columns,
        sa.PrimaryKeyConstraint("version_id", *key, name=f"pk_{name}"),
        sa.ForeignKeyConstraint(["version_id"], ["versions.id"], name=f"fk_{name}_version_id"),
    )


def _sites_and_pulls() -> None:
    number = ("number", sa.Integer)
    _keyed("sites", *_text("name"), sa.Column("words", sa.JSON, nullable=False))
    _keyed(
        "pulls",
        _flag("invented"),
        *_date("date"),
        *_text("vehicle", "sunk", "surface", "direction", "kit", "friction", "rig", "rule"),
        *_float("mass_kg", "load_kg", "slope_rad", "travel_m"),
    )
    _keyed(
        "anchors",
        *_text("anchor", "kind", "source"),
        *_float("along_m", "aside_m", "limit_N"),
        key=("anchor",),
    )
    _keyed(
        "seen",
        sa.Column(*number, autoincrement=False, nullable=False),
        *_text("at", "who", "note", "rig", "surface", "sunk"),
        *_float("line_N", "anchor_N", "advantage", "advantage_low", "advantage_high"),
        *_float("resistance_N", "resistance_low_N", "resistance_high_N", "breakout_N"),
        _flag("moved"),
        key=("number",),
    )
    _keyed(
        "predicted",
        sa.Column(*number, autoincrement=False, nullable=False),
        *_text("rule"),
        *_float("low_N", "likely_N", "high_N", "breakout_N"),
        key=("number", "rule"),
    )


def _rows(connection: sa.Connection, facts: sa.Table, versions: sa.Table) -> Iterable[sa.RowMapping]:
    """Return the rows of a table with their document and import, in the order they came in."""
    order = (versions.c.id, *facts.primary_key.columns)
    chosen = sa.select(facts, versions.c.document_id, versions.c.import_id)
    return connection.execute(chosen.join_from(facts, versions).order_by(*order)).mappings()


def _fill_histories(connection: sa.Connection, tables: Any) -> None:
    """Write one row for each change of a fact, as an import does now."""
    kept = (
        ("inspections", "items", "item", ("inspected", "due", "condition")),
        ("quarantines", "items", "item", ("quarantined",)),
        ("calibrations", "cells", "cell", ("certificate", "calibrated", "due", "factor", "expanded")),
    )
    for history, facts, key, watched in kept:
        last: dict[tuple[int, str], tuple[object, ...]] = {}
        for row in _rows(connection, tables[facts], tables["versions"]):
            named, state = (row["document_id"], row[key]), tuple(row[name] for name in watched)
            if last.get(named) == state or (
                named not in last and state in ((False,), (None, None, state[-1]))
            ):
                continue
            last[named] = state
            columns = [column.name for column in tables[history].columns if column.name != "id"]
            connection.execute(tables[history].insert(), [{name: row[name] for name in columns}])


def _fill_sites(connection: sa.Connection, tables: Any) -> None:
    for row in _rows(connection, tables["campaigns"], tables["versions"]):
        if row["site"]:
            words = {
                "version_id": row["version_id"],
                "name": row["site"].get("place", ""),
                "words": row["site"],
            }
            connection.execute(tables["sites"].insert(), [words])
