"""The tables of the book, as the newest schema has them.

A *document* is what the user keeps under one name: a campaign folder, a kit, a pull, a rig, a devices file. Each time
it is kept changed, it gets a new *version*; earlier ones stay. A version is a list of paths with the hash of each file;
the bytes stand once, by hash. Beside them stand the facts read from them, so that they can be asked for: those are made
from the files and never the other way round. Rows are added, never changed or deleted.

A unit is the ending of the column's name; angles and shares as in the records.
"""

from __future__ import annotations

from typing import Any

import sqlalchemy as sa

SCHEMAS = ("0001", "0002", "0003")
"""Every schema there has been, oldest first."""
VERSION_TABLE = "haulwright_schema"
APPLICATION_ID = 0x48574278
"""Mark in the head of an SQLite file that says it is a book."""

metadata = sa.MetaData(
    naming_convention={
        "pk": "pk_%(table_name)s",
        "fk": "fk_%(table_name)s_%(column_0_name)s",
        "uq": "uq_%(table_name)s_%(column_0_name)s",
        "ix": "ix_%(table_name)s_%(column_0_name)s",
    }
)


def _id() -> sa.Column[Any]:
    return sa.Column("id", sa.Integer, primary_key=True, autoincrement=True)


def _of_version() -> sa.Column[Any]:
    return sa.Column("version_id", sa.Integer, sa.ForeignKey("versions.id"), primary_key=True)


def _key(name: str) -> sa.Column[Any]:
    return sa.Column(name, sa.Text, primary_key=True)


def _number() -> sa.Column[Any]:
    return sa.Column("number", sa.Integer, primary_key=True, autoincrement=False)


def _texts(*names: str) -> list[sa.Column[Any]]:
    return [sa.Column(name, sa.Text, nullable=False) for name in names]


def _floats(*names: str) -> list[sa.Column[Any]]:
    return [sa.Column(name, sa.Double) for name in names]


def _dates(*names: str) -> list[sa.Column[Any]]:
    return [sa.Column(name, sa.Date) for name in names]


def _flags(*names: str) -> list[sa.Column[Any]]:
    return [sa.Column(name, sa.Boolean, nullable=False) for name in names]


def _lists(*names: str) -> list[sa.Column[Any]]:
    return [sa.Column(name, sa.JSON, nullable=False) for name in names]


def _of(name: str, table: str) -> sa.Column[Any]:
    return sa.Column(name, sa.Integer, sa.ForeignKey(f"{table}.id"), nullable=False, index=True)


# what came in, and its bytes
schema_steps = sa.Table("schema_steps", metadata, _id(), *_texts("revision", "at", "software"))
imports = sa.Table("imports", metadata, _id(), *_texts("at", "what", "who", "software"))
files = sa.Table(
    "files",
    metadata,
    sa.Column("sha256", sa.String(64), primary_key=True),
    sa.Column("size", sa.BigInteger, nullable=False),
    sa.Column("content", sa.LargeBinary, nullable=False),
)
documents = sa.Table(
    "documents",
    metadata,
    _id(),
    *_texts("kind", "name", "stored_as"),
    sa.UniqueConstraint("kind", "name"),
)
versions = sa.Table(
    "versions",
    metadata,
    _id(),
    _of("document_id", "documents"),
    sa.Column("number", sa.Integer, nullable=False),
    _of("import_id", "imports"),
    sa.Column("tree_sha256", sa.String(64), nullable=False),
    *_lists("marks"),
    sa.UniqueConstraint("document_id", "number"),
)
version_files = sa.Table(
    "version_files",
    metadata,
    _of_version(),
    _key("path"),
    sa.Column("sha256", sa.String(64), sa.ForeignKey("files.sha256"), index=True),  # null: an empty folder
)

# facts of a campaign
campaigns = sa.Table(
    "campaigns",
    metadata,
    _of_version(),
    *_flags("invented"),
    *_floats("margin"),
    *_lists("site", "ropes", "report"),
)
cells = sa.Table(
    "cells",
    metadata,
    _of_version(),
    _key("cell"),
    *_floats("capacity_N", "class_", "resolution_N", "factor", "expanded"),
    *_texts("class_of", "certificate"),
    *_dates("calibrated", "due"),
)
devices = sa.Table(
    "devices",
    metadata,
    _of_version(),
    _key("device"),
    *_texts("kind", "description", "material", "condition", "supplied_by", "rope"),
    *_floats("diameter_m", "mass_kg", "wll_N"),
)
runs = sa.Table(
    "runs",
    metadata,
    _of_version(),
    _key("run"),
    sa.Column("line", sa.Integer, nullable=False),
    *_texts("rig", "notes"),
    *_dates("date"),
    sa.Column("repeat", sa.BigInteger, nullable=False),
    *_flags("typed"),
    *_lists("devices", "conditions"),
)
channels = sa.Table(
    "channels",
    metadata,
    _of_version(),
    _key("run"),
    _key("place"),
    sa.Column("path", sa.Text),  # within the campaign folder; null: typed from the display
    *_texts("column", "cell"),
    *_floats("reading_N"),
)
decisions = sa.Table(
    "decisions",
    metadata,
    _of_version(),
    _number(),
    *_texts("kind", "run", "who", "why", "channel"),
    sa.Column("day", sa.Date, nullable=False),
    *_floats("start_s", "end_s", "offset_s", "zero_N"),
)

# friction of a devices file, or of the one a campaign's results hold
friction = sa.Table(
    "friction",
    metadata,
    _of_version(),
    _key("path"),
    _key("device"),
    *_texts("name", "valid", "source_title", "source_place", "source_flag"),
    sa.Column("source_year", sa.Integer),
    *_floats("k", "u", "low", "high", "valid_low_N", "valid_high_N", "scatter"),
)

# facts of a kit
items = sa.Table(
    "items",
    metadata,
    _of_version(),
    _key("item"),
    *_texts("kind", "name", "basis", "source", "condition", "note"),
    *_floats("rating_N", "factor", "limit_N"),
    *_dates("bought", "inspected", "due"),
    *_flags("quarantined"),
    *_lists("more"),
)
winches = sa.Table(
    "winches",
    metadata,
    _of_version(),
    _key("winch"),
    *_texts("name", "rope"),
    *_floats("line_pull_N", "stall_factor"),
    *_lists("more"),
)

# what changes over the years, one row for each change (since 0002)
inspections = sa.Table(
    "inspections",
    metadata,
    _id(),
    _of("document_id", "documents"),
    _of("import_id", "imports"),
    *_texts("item", "condition"),
    *_dates("inspected", "due"),
)
quarantines = sa.Table(
    "quarantines",
    metadata,
    _id(),
    _of("document_id", "documents"),
    _of("import_id", "imports"),
    *_texts("item", "condition", "note"),
    *_flags("quarantined"),
)
calibrations = sa.Table(
    "calibrations",
    metadata,
    _id(),
    _of("document_id", "documents"),
    _of("import_id", "imports"),
    *_texts("cell", "certificate"),
    *_dates("calibrated", "due"),
    *_floats("factor", "expanded"),
)

# sites and pulls (since 0002)
sites = sa.Table("sites", metadata, _of_version(), *_texts("name"), *_lists("words"))
pulls = sa.Table(
    "pulls",
    metadata,
    _of_version(),
    *_flags("invented"),
    *_dates("date"),
    *_texts("vehicle", "sunk", "surface", "direction", "kit", "friction", "rig", "rule"),
    *_floats("mass_kg", "load_kg", "slope_rad", "travel_m"),
)
anchors = sa.Table(
    "anchors",
    metadata,
    _of_version(),
    _key("anchor"),
    *_texts("kind", "source"),
    *_floats("along_m", "aside_m", "limit_N"),
)
seen = sa.Table(
    "seen",
    metadata,
    _of_version(),
    _number(),
    *_texts("at", "who", "note", "rig", "surface", "sunk"),
    *_floats("line_N", "anchor_N", "advantage", "advantage_low", "advantage_high"),
    *_floats("resistance_N", "resistance_low_N", "resistance_high_N", "breakout_N"),
    *_flags("moved"),
)
predicted = sa.Table(
    "predicted",
    metadata,
    _of_version(),
    _number(),
    _key("rule"),
    *_floats("low_N", "likely_N", "high_N", "breakout_N"),
)

# why a version was made; rigs; photographs of the marking (since 0003)
reasons = sa.Table(
    "reasons",
    metadata,
    sa.Column("import_id", sa.Integer, sa.ForeignKey("imports.id"), primary_key=True),
    *_texts("why"),
)
rigs = sa.Table(
    "rigs",
    metadata,
    _of_version(),
    *_texts("mode", "load"),
    *_lists("anchors", "blocks", "lines"),
)
photos = sa.Table(
    "photos",
    metadata,
    _of_version(),
    _key("item"),
    _number(),
    *_texts("path", "media"),
)

FACTS = (
    *(campaigns, cells, devices, runs, channels, decisions, friction, items, winches),
    *(sites, pulls, anchors, seen, predicted, rigs, photos),
)
"""The tables of facts that belong to one version."""
