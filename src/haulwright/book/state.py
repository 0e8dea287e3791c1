"""What a book holds, as one record: counts, dates due, quarantine, friction, decisions, pulls."""

from __future__ import annotations

import datetime as dt
import hashlib
from collections.abc import Sequence
from pathlib import Path

import sqlalchemy as sa

from haulwright.book import schema as t
from haulwright.book.facts import decisions, friction, pulls_seen
from haulwright.book.gear import conflicts, due_dates, inspections, quarantine
from haulwright.book.migrating import schema_of
from haulwright.book.opening import Book
from haulwright.book.result import BookDocument, BookState, LastImport, Verified
from haulwright.notices import Code, Notice
from haulwright.records import Made


def state(book: Book, day: dt.date, *, verify: bool = False) -> BookState:
    """Return what a book holds.

    Parameters
    ----------
    book : Book
    day : date
        What the due dates are held against.
    verify : bool
        Read every file back and compare its hash.

    Returns
    -------
    BookState
    """
    with book.reading() as connection:
        first = connection.execute(sa.select(t.schema_steps).order_by(t.schema_steps.c.id)).mappings().first()
        held = _documents(connection)
        due = due_dates(connection, day)
        verified = _verify(connection) if verify else None
        return BookState(
            book=book.place.shown,
            engine=book.place.engine,
            schema=schema_of(connection) or "",
            made_at=first["at"] if first else "",
            made_by=first["software"] if first else "",
            day=day,
            counts=_counts(connection, held),
            bytes=int(connection.execute(sa.select(sa.func.sum(t.files.c.size))).scalar() or 0),
            documents=held,
            due=due,
            quarantine=quarantine(connection),
            inspections=inspections(connection),
            friction=friction(connection),
            decisions=decisions(connection),
            seen=pulls_seen(connection),
            last_import=_last_import(connection),
            verified=verified,
            migrated_copy=None if book.copied is None else str(book.copied),
            notices=_notices(connection, book.copied, verified),
            made=Made("read from the book", {"day": day}),
        )


def _documents(connection: sa.Connection) -> tuple[BookDocument, ...]:
    """Return every document in its current version."""
    one = sa.select(
        t.versions.c.document_id,
        sa.func.max(t.versions.c.id).label("version_id"),
        sa.func.min(t.versions.c.import_id).label("first"),
        sa.func.max(t.versions.c.import_id).label("last"),
        sa.func.max(t.versions.c.number).label("number"),
    )
    newest = one.group_by(t.versions.c.document_id).subquery()
    counted = (
        sa.select(
            t.version_files.c.version_id,
            sa.func.count(t.version_files.c.sha256).label("files"),
            sa.func.coalesce(sa.func.sum(t.files.c.size), 0).label("bytes"),
        )
        .join_from(t.version_files, t.files, isouter=True)
        .group_by(t.version_files.c.version_id)
        .subquery()
    )
    first, last = t.imports.alias(), t.imports.alias()
    chosen = (
        sa.select(
            t.documents,
            newest.c.number,
            counted.c.files,
            counted.c.bytes,
            first.c.at.label("first_at"),
            last.c.at.label("last_at"),
        )
        .join_from(t.documents, newest, newest.c.document_id == t.documents.c.id)
        .join(counted, counted.c.version_id == newest.c.version_id)
        .join(first, first.c.id == newest.c.first)
        .join(last, last.c.id == newest.c.last)
        .order_by(t.documents.c.id)
    )
    return tuple(
        BookDocument(
            kind=row["kind"],
            name=row["name"],
            stored_as=row["stored_as"],
            version=row["number"],
            files=int(row["files"]),
            bytes=int(row["bytes"]),
            first_at=row["first_at"],
            last_at=row["last_at"],
        )
        for row in connection.execute(chosen).mappings()
    )


def _counts(connection: sa.Connection, held: Sequence[BookDocument]) -> dict[str, int]:
    """Return how many there are of each thing: those of current versions, and files and versions of all."""
    kinds = {
        "campaigns": "campaign",
        "kits": "kit",
        "pulls": "pull",
        "rigs": "rig",
        "devices_files": "devices",
    }
    found = {name: sum(one.kind == kind for one in held) for name, kind in kinds.items()}
    for name, table in (
        ("runs", t.runs),
        ("decisions", t.decisions),
        ("items", t.items),
        ("winches", t.winches),
    ):
        chosen = sa.select(sa.func.count()).select_from(table).where(table.c.version_id.in_(current()))
        found[name] = int(connection.execute(chosen).scalar() or 0)
    cell = sa.select(sa.func.count(sa.distinct(t.cells.c.cell))).where(t.cells.c.version_id.in_(current()))
    found["cells"] = int(connection.execute(cell).scalar() or 0)
    for name, table in (
        ("friction", t.friction),
        ("files", t.files),
        ("versions", t.versions),
        ("imports", t.imports),
    ):
        found[name] = int(connection.execute(sa.select(sa.func.count()).select_from(table)).scalar() or 0)
    return found


def current() -> sa.Select[tuple[int]]:
    """Return the query for the ids of all current versions."""
    return sa.select(sa.func.max(t.versions.c.id)).group_by(t.versions.c.document_id)


def _last_import(connection: sa.Connection) -> LastImport | None:
    chosen = sa.select(t.imports).order_by(t.imports.c.id.desc()).limit(1)
    row = connection.execute(chosen).mappings().first()
    return None if row is None else LastImport(row["at"], row["what"], row["who"], row["software"])


def _verify(connection: sa.Connection) -> Verified:
    """Return whether every file is still what it was when it came in."""
    hashes = connection.execute(sa.select(t.files.c.sha256).order_by(t.files.c.sha256)).scalars().all()
    damaged, total = [], 0
    for sha256 in hashes:  # one at a time: a book may be larger than the memory
        content = connection.execute(
            sa.select(t.files.c.content).where(t.files.c.sha256 == sha256)
        ).scalar_one()
        total += len(content)
        if hashlib.sha256(content).hexdigest() != sha256:
            damaged.append(sha256)
    return Verified(len(hashes), total, tuple(damaged))


def _notices(connection: sa.Connection, copied: Path | None, verified: Verified | None) -> tuple[Notice, ...]:
    found = conflicts(connection)
    if copied is not None:
        text = f"The book was brought to schema {t.SCHEMAS[-1]}; as it was before, it lies beside it as {copied.name}."
        found.append(Code.BOOK.notice(text=text))
    if verified is not None and verified.damaged:
        text = f"{len(verified.damaged)} files are not what they were when they came in. Go on with the newest backup."
        found.append(Code.BOOK_CONFLICT.notice(verified.damaged, text=text))
    return tuple(found)
