"""Friction, decisions by hand, and pulls with what was foretold, as the book has them."""

from __future__ import annotations

from collections import defaultdict

import sqlalchemy as sa

from haulwright.book import schema as t
from haulwright.book.result import KeptDecision, KeptFriction, KeptSeen
from haulwright.quantities.measured import Measured


def _rows(connection: sa.Connection, table: sa.Table, *, newest: bool) -> list[sa.RowMapping]:
    """Return facts with the document and version they are of; of current versions only, or of all."""
    last = sa.select(sa.func.max(t.versions.c.id)).group_by(t.versions.c.document_id)
    chosen = (
        sa.select(
            table,
            t.documents.c.name.label("document"),
            t.versions.c.number.label("version"),
            t.versions.c.id.in_(last).label("current"),
        )
        .join_from(table, t.versions, t.versions.c.id == table.c.version_id)
        .join(t.documents)
        .order_by(t.versions.c.id, *table.primary_key.columns)
    )
    if newest:
        chosen = chosen.where(t.versions.c.id.in_(last))
    return [*connection.execute(chosen).mappings()]


def friction(connection: sa.Connection) -> tuple[KeptFriction, ...]:
    """Return every estimate there ever was, each once; of those repeated the newest version is told."""
    found: dict[tuple[object, ...], KeptFriction] = {}
    for row in _rows(connection, t.friction, newest=False):
        cited = ", ".join(
            str(row[f"source_{part}"]) for part in ("title", "place", "year") if row[f"source_{part}"]
        )
        one = KeptFriction(
            device=row["device"],
            k=Measured(row["k"], row["u"], row["low"], row["high"]),
            valid_N=(row["valid_low_N"], row["valid_high_N"]),
            source=cited,
            from_=row["document"],
            version=row["version"],
            current=bool(row["current"]),
        )
        found[one.device, one.k, one.valid_N, one.source, one.from_] = one
    return tuple(sorted(found.values(), key=lambda one: (one.device, one.from_, one.version)))


def decisions(connection: sa.Connection) -> tuple[KeptDecision, ...]:
    """Return what is decided by hand in the current version of each campaign."""
    numbers = ("start_s", "end_s", "offset_s", "zero_N")
    return tuple(
        KeptDecision(
            campaign=row["document"],
            run=row["run"],
            what=row["kind"],
            who=row["who"],
            day=row["day"],
            why=row["why"],
            values={name: row[name] for name in numbers if row[name] is not None},
        )
        for row in _rows(connection, t.decisions, newest=True)
    )


def pulls_seen(connection: sa.Connection) -> tuple[KeptSeen, ...]:
    """Return every pull as it went, against what each rule had said."""
    said: dict[tuple[int, int], dict[str, tuple[float, float, float]]] = defaultdict(dict)
    for row in _rows(connection, t.predicted, newest=True):
        said[row["version_id"], row["number"]][row["rule"]] = (row["low_N"], row["likely_N"], row["high_N"])
    return tuple(
        KeptSeen(
            pull=row["document"],
            at=row["at"],
            who=row["who"],
            rig=row["rig"],
            seen_N=(row["resistance_low_N"], row["resistance_N"], row["resistance_high_N"]),
            breakout_N=row["breakout_N"],
            moved=bool(row["moved"]),
            predicted_N=said.get((row["version_id"], row["number"]), {}),
        )
        for row in _rows(connection, t.seen, newest=True)
    )
