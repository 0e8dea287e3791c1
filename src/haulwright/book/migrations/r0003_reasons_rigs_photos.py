"""The third schema: why a version was made, rigs, photographs of the marking.

Nothing is filled: no book of the second schema held any of these.
"""

from __future__ import annotations

from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"


def _text(*names: str) -> list[sa.Column[Any]]:
    return [sa.Column(name, sa.Text, nullable=False) for name in names]


def _list(*names: str) -> list[sa.Column[Any]]:
    return [sa.Column(name, sa.JSON, nullable=False) for name in names]


def upgrade() -> None:
    """Make the tables."""
    op.create_table(
        "reasons",
        sa.Column("import_id", sa.Integer, nullable=False),
        *_text("why"),
        sa.PrimaryKeyConstraint("import_id", name="pk_reasons"),
        sa.ForeignKeyConstraint(["import_id"], ["imports.id"], name="fk_reasons_import_id"),
    )
    _keyed("rigs", *_text("mode", "load"), *_list("anchors", "blocks", "lines"))
    _keyed(
        "photos",
        *_text("item"),
        sa.Column("number", sa.Integer, autoincrement=False, nullable=False),
        *_text("path", "media"),
        key=("item", "number"),
    )


def _keyed(name: str, *columns: sa.Column[Any], key: tuple[str, ...] = ()) -> None:
    op.create_table(
        name,
        sa.Column("version_id", sa.Integer, nullable=False),
        *columns,
        sa.PrimaryKeyConstraint("version_id", *key, name=f"pk_{name}"),
        sa.ForeignKeyConstraint(["version_id"], ["versions.id"], name=f"fk_{name}_version_id"),
    )
