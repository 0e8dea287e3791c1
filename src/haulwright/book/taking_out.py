"""Writing documents out of a book, byte for byte, into a folder that has nothing else of that name."""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import sqlalchemy as sa

from haulwright.book import schema as t
from haulwright.book.backup import fresh_file
from haulwright.book.names import check_path, file_name
from haulwright.book.opening import Book
from haulwright.data_package import DESCRIPTOR, Package, Resource, descriptor
from haulwright.errors import BookRefusal
from haulwright.records import write_whole
from haulwright.version import __version__

INDEX = "book.json"
WHAT_INDEX = "index: every document, version and file with its hash"
"""Beside all documents: which there are, with every version and the hash of every file."""
FOLDERS = {"campaign": "campaigns", "kit": "kits", "pull": "pulls", "rig": "rigs", "devices": "devices"}
EARLIER = "earlier"
Written = tuple[Path, str]


@dataclass(frozen=True)
class _Version:
    """One version of one document: where it goes, and its files."""

    kind: str
    name: str
    number: int
    at: str
    by: str
    what: str
    why: str
    folder: str
    tree: Mapping[str, str | None]


def take_out(book: Book, name: str, out: Path, version: int | None = None) -> list[Written]:
    """Write one document as it came in.

    Parameters
    ----------
    book : Book
    name : str
        Of the document, with its kind before it where two have that name: ``kit:the club's kit``.
    out : path
        Folder it is written into.
    version : int or None
        None is the current one.

    Returns
    -------
    list of (path, what it is)

    Raises
    ------
    BookRefusal
        UNKNOWN_DOCUMENT, UNKNOWN_VERSION; EXISTS where another file is in the way, and nothing is written; DAMAGED.
    """
    with book.reading() as connection:
        return _take(connection, _document(connection, name), out, version)


def take_kept(book: Book, kind: str, name: str, out: Path, version: int | None = None) -> list[Written]:
    """Write one document of a kind as it came in; see :func:`take_out`."""
    with book.reading() as connection:
        return _take(connection, row_of(connection, kind, name), out, version)


def row_of(connection: sa.Connection, kind: str, name: str) -> sa.RowMapping:
    """Return the row of a document.

    Raises
    ------
    BookRefusal
        UNKNOWN_DOCUMENT.
    """
    same = (t.documents.c.kind == kind) & (t.documents.c.name == name)
    row = connection.execute(sa.select(t.documents).where(same)).mappings().first()
    if row is None:
        raise _unknown(connection, name, kind)
    return row


def _take(
    connection: sa.Connection, document: sa.RowMapping, out: Path, version: int | None
) -> list[Written]:
    of_this = sorted(_versions(connection, document, ""), key=lambda one: one.number)
    wanted = of_this[-1].number if version is None else version
    chosen = [one for one in of_this if one.number == wanted]
    if not chosen:
        raise BookRefusal(
            "UNKNOWN_VERSION",
            f"{document['kind']} {document['name']!r} has versions 1 to {of_this[-1].number}, not {wanted}.",
            (document["name"], str(wanted)),
        )
    return _write(connection, [(out, replace(chosen[0], folder=""))])


def take_all(book: Book, out: Path) -> list[Written]:
    """Write every document with every version, an index, and the descriptor of all of it as an open data package.

    Raises
    ------
    BookRefusal
        EMPTY_BOOK; EXISTS where another file is in the way, and nothing is written; DAMAGED.
    """
    with book.reading() as connection:
        held = connection.execute(sa.select(t.documents).order_by(t.documents.c.id)).mappings().all()
        if not held:
            raise BookRefusal("EMPTY_BOOK", f"{book.place.shown} holds nothing yet.", (book.place.shown,))
        every = [one for row in held for one in _versions(connection, row, _folder(row))]
        index = _json(_index(every))
        package = _json(_package(connection, every, index))
        beside = {INDEX: index, DESCRIPTOR: package}
        for name, words in beside.items():
            _refuse_in_the_way(out, name, _sha256(words))
        written = _write(connection, [(out, one) for one in every])
        for name, words in beside.items():
            write_whole(out / name, words)
        return [*written, (out / INDEX, WHAT_INDEX), (out / DESCRIPTOR, "descriptor of the data package")]


def _json(record: Mapping[str, Any]) -> str:
    return json.dumps(record, ensure_ascii=False, indent=1) + "\n"


def _sha256(words: str) -> str:
    return hashlib.sha256(words.encode("utf-8")).hexdigest()


def _package(connection: sa.Connection, every: Sequence[_Version], index: str) -> dict[str, Any]:
    """Return the descriptor of all that is written out: every file with its size and hash."""
    sizes = connection.execute(sa.select(t.files.c.sha256, t.files.c.size)).all()
    size_of = {row.sha256: row.size for row in sizes}
    found = [Resource(INDEX, WHAT_INDEX, len(index.encode("utf-8")), _sha256(index))]
    for one in every:
        title = f"{one.kind} {one.name}, version {one.number}"
        found += [
            Resource(f"{one.folder}/{path}", title, size_of[sha256], sha256)
            for path, sha256 in one.tree.items()
            if sha256 is not None
        ]
    package = Package(
        name="haulwright-book",
        title="A book of Haulwright with every version of every document",
        description="Campaigns, kits, pulls, rigs and measured devices as they came in, byte for byte. book.json tells "
        "the documents, their versions, and who brought them in, when and why.",
        created=max(one.at for one in every),
    )
    return descriptor(package, found)


def _folder(row: sa.RowMapping) -> str:
    """Return where a document goes among all: a campaign in a folder of its own, files of one kind side by side."""
    kind = FOLDERS[row["kind"]]
    return f"{kind}/{file_name(row['stored_as'])}" if row["kind"] == "campaign" else f"{kind}/{row['id']}"


def _document(connection: sa.Connection, name: str) -> sa.RowMapping:
    rows = connection.execute(sa.select(t.documents).order_by(t.documents.c.id)).mappings().all()
    kind, _, rest = name.partition(":")
    found = [row for row in rows if row["name"] == name or (row["kind"] == kind and row["name"] == rest)]
    names = [f"{row['kind']}:{row['name']}" for row in found or rows]
    if len(found) > 1:
        raise BookRefusal(
            "UNKNOWN_DOCUMENT", f"{name!r} is the name of {' and '.join(names)}: say which.", (name,)
        )
    if not found:
        raise _unknown(connection, name)
    return found[0]


def _unknown(connection: sa.Connection, name: str, kind: str = "") -> BookRefusal:
    chosen = sa.select(t.documents.c.kind, t.documents.c.name).order_by(t.documents.c.id)
    held = [row for row in connection.execute(chosen).all() if row.kind == kind or not kind]
    here = ", ".join(row.name if kind else f"{row.kind}:{row.name}" for row in held[:8]) or "nothing yet"
    what = f"{kind} {name!r}" if kind else repr(name)
    return BookRefusal("UNKNOWN_DOCUMENT", f"The book has no {what}. It holds {here}.", (name,))


def _versions(connection: sa.Connection, document: sa.RowMapping, folder: str) -> Iterator[_Version]:
    chosen = sa.select(
        t.versions.c.id,
        t.versions.c.number,
        t.imports.c.at,
        t.imports.c.who,
        t.imports.c.what,
        t.reasons.c.why,
    )
    joined = chosen.join_from(t.versions, t.imports).join(t.reasons, isouter=True)
    of_this = joined.where(t.versions.c.document_id == document["id"]).order_by(t.versions.c.number)
    rows = connection.execute(of_this).all()
    for row in rows:
        paths = sa.select(t.version_files.c.path, t.version_files.c.sha256)
        found = connection.execute(paths.where(t.version_files.c.version_id == row.id)).all()
        tree = {check_path(one.path): one.sha256 for one in sorted(found, key=lambda one: one.path)}
        at = folder if row is rows[-1] else f"{EARLIER}/{row.number}/{folder}"
        yield _Version(
            document["kind"], document["name"], row.number, row.at, row.who, row.what, row.why or "", at, tree
        )


def _write(connection: sa.Connection, wanted: Sequence[tuple[Path, _Version]]) -> list[Written]:
    """Write versions below their folders; where another file is in the way, none of them."""
    for root, version in wanted:
        for path, sha256 in version.tree.items():
            _refuse_in_the_way(root, f"{version.folder}/{path}".lstrip("/"), sha256)
    written = []
    for root, version in wanted:
        for path, sha256 in version.tree.items():
            target = root / version.folder / path
            if sha256 is None:
                target.mkdir(parents=True, exist_ok=True)
                continue
            if not target.exists():
                with fresh_file(target) as part:
                    part.write_bytes(content_of(connection, sha256, path))
            written.append((target, f"{version.kind} {version.name}, version {version.number}"))
    return written


def _refuse_in_the_way(root: Path, path: str, sha256: str | None) -> None:
    """Refuse to write over another file, or through a link; the same file may be there."""
    target, below = root / path, root
    for part in Path(path).parts:
        below /= part
        if below.is_symlink():
            raise _in_the_way(below)
    if not os.path.lexists(target) or (sha256 is None and target.is_dir()):
        return
    if not target.is_file() or hashlib.sha256(target.read_bytes()).hexdigest() != sha256:
        raise _in_the_way(target)


def _in_the_way(target: Path) -> BookRefusal:
    return BookRefusal(
        "EXISTS",
        f"{target} is there and is another file: nothing was written. Give an empty folder.",
        (str(target),),
    )


def content_of(connection: sa.Connection, sha256: str, path: str) -> bytes:
    """Return the bytes of a file by its hash.

    Raises
    ------
    BookRefusal
        DAMAGED: they are not what came in.
    """
    found = connection.execute(sa.select(t.files.c.content).where(t.files.c.sha256 == sha256)).scalar()
    if found is None or hashlib.sha256(found).hexdigest() != sha256:
        raise BookRefusal(
            "DAMAGED", f"{path} is not what it was when it came in. Go on with the newest backup.", (path,)
        )
    return bytes(found)


def _index(every: Sequence[_Version]) -> dict[str, Any]:
    """Return the index of all documents, oldest version first."""
    found: dict[tuple[str, str], list[dict[str, Any]]] = {}
    for one in every:
        told: dict[str, Any] = {
            "number": one.number,
            "at": one.at,
            "by": one.by,
            "what": one.what,
            "why": one.why,
            "folder": one.folder,
        }
        told["files"] = dict(one.tree)
        found.setdefault((one.kind, one.name), []).append(told)
    named = [{"kind": kind, "name": name, "versions": told} for (kind, name), told in found.items()]
    return {"haulwright": __version__, "kind": "book-export", "documents": named}
