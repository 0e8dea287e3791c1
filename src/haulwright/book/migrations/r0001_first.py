"""The first schema: files by hash, documents and versions, campaigns, kits, devices."""

from __future__ import annotations

from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None


def _version() -> sa.Column[Any]:
    return sa.Column("version_id", sa.Integer, nullable=False)


def _keyed(name: str, *columns: sa.Column[Any], key: tuple[str, ...] = ()) -> None:
    """Make a table of facts that belong to one version."""
    op.create_table(
        name,
        _version(),
        *columns,
        sa.PrimaryKeyConstraint("version_id", *key, name=f"pk_{name}"),
        sa.ForeignKeyConstraint(["version_id"], ["versions.id"], name=f"fk_{name}_version_id"),
    )


def _text(*names: str) -> list[sa.Column[Any]]:
    return [sa.Column(name, sa.Text, nullable=False) for name in names]


def _float(*names: str) -> list[sa.Column[Any]]:
    return [sa.Column(name, sa.Double) for name in names]


def _date(*names: str) -> list[sa.Column[Any]]:
    return [sa.Column(name, sa.Date) for name in names]


def _json(*names: str) -> list[sa.Column[Any]]:
    return [sa.Column(name, sa.JSON, nullable=False) for name in names]


def upgrade() -> None:
    """Make the tables."""
    _what_came_in()
    _versions()
    _campaigns()
    _gear()


def _listed(name: str, *rest: sa.schema.SchemaItem) -> None:
    op.create_table(
        name,
        sa.Column("id", sa.Integer, autoincrement=True, nullable=False),
        *rest,
        sa.PrimaryKeyConstraint("id", name=f"pk_{name}"),
    )


def _what_came_in() -> None:
    _listed("schema_steps", *_text("revision", "at", "software"))
    _listed("imports", *_text("at", "what", "who", "software"))
    op.create_table(
        "files",
        sa.Column("sha256", sa.String(64), nullable=False),
        sa.Column("size", sa.BigInteger, nullable=False),
        sa.Column("content", sa.LargeBinary, nullable=False),
        sa.PrimaryKeyConstraint("sha256", name="pk_files"),
    )
    unique = sa.UniqueConstraint("kind", "name", name="uq_documents_kind")
    _listed("documents", *_text("kind", "name", "stored_as"), unique)


def _versions() -> None:
    _listed(
        "versions",
        sa.Column("document_id", sa.Integer, nullable=False),
        sa.Column("number", sa.Integer, nullable=False),
        sa.Column("import_id", sa.Integer, nullable=False),
        sa.Column("tree_sha256", sa.String(64), nullable=False),
        *_json("marks"),
        sa.ForeignKeyConstraint(["document_id"], ["documents.id"], name="fk_versions_document_id"),
        sa.ForeignKeyConstraint(["import_id"], ["imports.id"], name="fk_versions_import_id"),
        sa.UniqueConstraint("document_id", "number", name="uq_versions_document_id"),
    )
    op.create_index("ix_versions_document_id", "versions", ["document_id"])
    op.create_index("ix_versions_import_id", "versions", ["import_id"])
    op.create_table(
        "version_files",
        _version(),
        *_text("path"),
        sa.Column("sha256", sa.String(64)),
        sa.PrimaryKeyConstraint("version_id", "path", name="pk_version_files"),
        sa.ForeignKeyConstraint(["version_id"], ["versions.id"], name="fk_version_files_version_id"),
        sa.ForeignKeyConstraint(["sha256"], ["files.sha256"], name="fk_version_files_sha256"),
    )
    op.create_index("ix_version_files_sha256", "version_files", ["sha256"])


def _campaigns() -> None:
    _keyed(
        "campaigns",
        sa.Column("invented", sa.Boolean, nullable=False),
        *_float("margin"),
        *_json("site", "ropes", "report"),
    )
    _keyed(
        "cells",
        *_text("cell"),
        *_float("capacity_N", "class_", "resolution_N", "factor", "expanded"),
        *_text("class_of", "certificate"),
        *_date("calibrated", "due"),
        key=("cell",),
    )
    _keyed(
        "devices",
        *_text("device", "kind", "description", "material", "condition", "supplied_by", "rope"),
        *_float("diameter_m", "mass_kg", "wll_N"),
        key=("device",),
    )
    _keyed(
        "runs",
        *_text("run"),
        sa.Column("line", sa.Integer, nullable=False),
        *_text("rig", "notes"),
        *_date("date"),
        sa.Column("repeat", sa.BigInteger, nullable=False),
        sa.Column("typed", sa.Boolean, nullable=False),
        *_json("devices", "conditions"),
        key=("run",),
    )
    _keyed(
        "channels",
        *_text("run", "place"),
        sa.Column("path", sa.Text),
        *_text("column", "cell"),
        *_float("reading_N"),
        key=("run", "place"),
    )
    _keyed(
        "decisions",
        sa.Column("number", sa.Integer, autoincrement=False, nullable=False),
        *_text("kind", "run", "who", "why", "channel"),
        sa.Column("day", sa.Date, nullable=False),
        *_float("start_s", "end_s", "offset_s", "zero_N"),
        key=("number",),
    )


def _gear() -> None:
    _keyed(
        "friction",
        *_text("path", "device", "name", "valid", "source_title", "source_place", "source_flag"),
        sa.Column("source_year", sa.Integer),
        *_float("k", "u", "low", "high", "valid_low_N", "valid_high_N", "scatter"),
        key=("path", "device"),
    )
    _keyed(
        "items",
        *_text("item", "kind", "name", "basis", "source", "condition", "note"),
        *_float("rating_N", "factor", "limit_N"),
        *_date("bought", "inspected", "due"),
        sa.Column("quarantined", sa.Boolean, nullable=False),
        *_json("more"),
        key=("item",),
    )
    _keyed(
        "winches",
        *_text("winch", "name", "rope"),
        *_float("line_pull_N", "stall_factor"),
        *_json("more"),
        key=("winch",),
    )
