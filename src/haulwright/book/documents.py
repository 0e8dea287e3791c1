"""Single documents of a book: which there are, one with all its versions, the bytes of one file."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import sqlalchemy as sa

from haulwright.book import schema as t
from haulwright.book.document_result import FileKept, ListedDocument, VersionKept
from haulwright.book.opening import Book
from haulwright.book.taking_out import content_of, row_of
from haulwright.errors import BookRefusal

_INVENTED = {"campaign": t.campaigns, "pull": t.pulls}


@dataclass(frozen=True)
class HeldDocument:
    """One document in one version, with all versions it has."""

    kind: str
    name: str
    stored_as: str
    version: int
    versions: tuple[VersionKept, ...]
    files: tuple[FileKept, ...]
    trees: Mapping[int, str]
    """Number of a version -> the one hash of its files, the newest last."""


def listed(book: Book, kind: str | None = None) -> tuple[ListedDocument, ...]:
    """Return every document, or those of one kind, in its current version."""
    with book.reading() as connection:
        newest = sa.select(sa.func.max(t.versions.c.id)).group_by(t.versions.c.document_id)
        chosen = (
            sa.select(t.documents, t.versions.c.id.label("version_id"), t.versions.c.number)
            .add_columns(t.imports.c.at, t.imports.c.who)
            .join_from(t.documents, t.versions)
            .join(t.imports, t.imports.c.id == t.versions.c.import_id)
            .where(t.versions.c.id.in_(newest))
            .order_by(t.documents.c.kind, t.documents.c.name)
        )
        rows = connection.execute(chosen).mappings().all()
        counted = _counted(connection)
        invented = {one for table in _INVENTED.values() for one in _invented(connection, table)}
        return tuple(
            ListedDocument(
                kind=row["kind"],
                name=row["name"],
                version=row["number"],
                changed_at=row["at"],
                by=row["who"],
                files=counted.get(row["version_id"], 0),
                invented=row["version_id"] in invented,
            )
            for row in rows
            if kind in (None, row["kind"])
        )


def runs_of_campaigns(book: Book) -> dict[str, tuple[int, int]]:
    """Return by campaign how many runs its run sheet has, and of how many every reading is there."""
    with book.reading() as connection:
        newest = sa.select(sa.func.max(t.versions.c.id)).group_by(t.versions.c.document_id)
        chosen = (
            sa.select(t.documents.c.name, t.versions.c.id)
            .join_from(t.versions, t.documents)
            .where(t.versions.c.id.in_(newest) & (t.documents.c.kind == "campaign"))
        )
        return {row.name: _runs(connection, row.id) for row in connection.execute(chosen).all()}


def _runs(connection: sa.Connection, version_id: int) -> tuple[int, int]:
    runs = (
        connection.execute(sa.select(t.runs.c.run).where(t.runs.c.version_id == version_id)).scalars().all()
    )
    kept = sa.select(t.version_files.c.path).where(t.version_files.c.version_id == version_id)
    late = sa.select(t.channels.c.run).where(
        (t.channels.c.version_id == version_id)
        & t.channels.c.path.is_not(None)
        & t.channels.c.path.not_in(kept)
    )
    return len(runs), len(set(runs) - set(connection.execute(late).scalars().all()))


def _counted(connection: sa.Connection) -> dict[int, int]:
    chosen = sa.select(t.version_files.c.version_id, sa.func.count(t.version_files.c.sha256))
    return {row[0]: row[1] for row in connection.execute(chosen.group_by(t.version_files.c.version_id))}


def _invented(connection: sa.Connection, table: sa.Table) -> Sequence[int]:
    return connection.execute(sa.select(table.c.version_id).where(table.c.invented)).scalars().all()


def held(book: Book, kind: str, name: str, version: int | None = None) -> HeldDocument:
    """Return one document.

    Raises
    ------
    BookRefusal
        UNKNOWN_DOCUMENT, UNKNOWN_VERSION.
    """
    with book.reading() as connection:
        row = row_of(connection, kind, name)
        chosen = sa.select(t.versions.c.id, t.versions.c.number, t.versions.c.tree_sha256)
        joined = (
            chosen.add_columns(t.imports.c.at, t.imports.c.who, t.reasons.c.why)
            .join_from(t.versions, t.imports)
            .join(t.reasons, isouter=True)
        )
        of_this = joined.where(t.versions.c.document_id == row["id"]).order_by(t.versions.c.number)
        every = connection.execute(of_this).all()
        wanted = every[-1].number if version is None else version
        found = next((one for one in every if one.number == wanted), None)
        if found is None:
            text = f"{kind} {name!r} has versions 1 to {every[-1].number}, not {wanted}."
            raise BookRefusal("UNKNOWN_VERSION", text, (name, str(wanted)))
        return HeldDocument(
            kind=kind,
            name=name,
            stored_as=row["stored_as"],
            version=wanted,
            versions=tuple(VersionKept(one.number, one.at, one.who, one.why or "") for one in every),
            files=_files(connection, found.id),
            trees={one.number: one.tree_sha256 for one in every},
        )


def _files(connection: sa.Connection, version_id: int) -> tuple[FileKept, ...]:
    chosen = sa.select(t.version_files.c.path, t.files.c.sha256, t.files.c.size)
    rows = connection.execute(
        chosen.join_from(t.version_files, t.files).where(t.version_files.c.version_id == version_id)
    )
    return tuple(sorted((FileKept(*row) for row in rows.all()), key=lambda one: one.path))


def bytes_of(book: Book, document: HeldDocument, path: str) -> bytes:
    """Return the bytes of one file of a document.

    Raises
    ------
    BookRefusal
        UNKNOWN_FILE, with the nearest names; DAMAGED where it is not what came in.
    """
    one = next((one for one in document.files if one.path == path), None)
    if one is None:
        here = ", ".join(file.path for file in document.files[:8])
        text = f"{document.kind} {document.name!r}, version {document.version}, has no file {path!r}. It has {here}."
        raise BookRefusal("UNKNOWN_FILE", text, (path,))
    with book.reading() as connection:
        return content_of(connection, one.sha256, path)


def bytes_to_write(book: Book, kind: str | None, name: str | None) -> int:
    """Return how many bytes a document takes when it is written out, or all of them with every version."""
    chosen = (
        sa.select(sa.func.coalesce(sa.func.sum(t.files.c.size), 0))
        .join_from(t.version_files, t.files)
        .join(t.versions, t.versions.c.id == t.version_files.c.version_id)
    )
    with book.reading() as connection:
        if kind is not None and name is not None:
            chosen = chosen.where(t.versions.c.document_id == row_of(connection, kind, name)["id"])
        return int(connection.execute(chosen).scalar() or 0)
