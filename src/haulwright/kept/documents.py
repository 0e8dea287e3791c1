"""Documents of a book: listed, read with all their versions, changed into a new version."""

from __future__ import annotations

import tempfile
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path, PurePosixPath
from typing import Any

from haulwright.book.document_result import DocumentKept, DocumentList
from haulwright.book.documents import HeldDocument, bytes_of, held, listed
from haulwright.book.keeping import keep
from haulwright.book.names import check_path, file_name
from haulwright.book.opening import Book
from haulwright.book.taking_out import take_kept
from haulwright.book.terms import ANY, Terms
from haulwright.errors import BookRefusal, FileRefusal, Refusal
from haulwright.files.kept import read_kept
from haulwright.files.rewriting import rewritten
from haulwright.files.seen import ENDING
from haulwright.files.yamlfile import parse_yaml
from haulwright.kept.handing import deposit_of
from haulwright.kept.where import DEMO, Where, book_of
from haulwright.notices import Code, Notice
from haulwright.records import Made

PREFIX = "haulwright-"
NAME_KEYS = {"campaign": "name", "kit": "kit", "pull": "pull", "rig": "rig"}
EMPTY_SHEET = (
    "run,date,rig,devices,line_log,line_column,line_cell,anchor_log,anchor_column,anchor_cell,repeat,notes\n"
)
_CAMPAIGN = "campaign.yaml"
Change = Callable[[Path, str], None]


def list_documents(where: Where, kind: str | None = None) -> DocumentList:
    """Return the documents of a book, or those of one kind."""
    with book_of(where) as book:
        found = listed(book, kind)
    demo = where.which == DEMO
    return DocumentList(
        book=where.which,
        documents=tuple(replace(one, invented=True) for one in found) if demo else found,
        notices=invented(where),
        made=Made("read from the book", {"kind": kind}),
    )


def invented(where: Where) -> tuple[Notice, ...]:
    """Return the notice that stands over all that the demo book tells."""
    return (Code.INVENTED.notice(),) if where.which == DEMO else ()


def read_document(
    where: Where, kind: str, name: str, version: int | None = None, outcome: str | None = None
) -> DocumentKept:
    """Return one document with its versions, files and content.

    Raises
    ------
    BookRefusal
        UNKNOWN_DOCUMENT, UNKNOWN_VERSION.
    """
    with book_of(where) as book:
        return _document(where, book, held(book, kind, name, version), outcome)


def _document(where: Where, book: Book, found: HeldDocument, outcome: str | None) -> DocumentKept:
    own = main_file(found)
    text, content = None, None
    if own is not None:
        text = bytes_of(book, found, own).decode("utf-8-sig", "replace")
        content = _content(own, text)
    return DocumentKept(
        document=found.kind,
        name=found.name,
        version=found.version,
        versions=found.versions,
        files=found.files,
        content=content,
        text=text,
        beside=_beside(book, content) if found.kind == "pull" and content else {},
        outcome=outcome,
        notices=invented(where),
        made=Made("read from the book", {"version": found.version}),
    )


def main_file(found: HeldDocument) -> str | None:
    """Return the one file that says what a document is."""
    paths = [one.path for one in found.files]
    if found.kind == "campaign":
        return _CAMPAIGN if _CAMPAIGN in paths else None
    return next((path for path in paths if "/" not in path and not path.endswith(ENDING)), None)


def _content(path: str, text: str) -> dict[str, Any] | None:
    """Return what a file holds; None where it is read by nothing here."""
    try:
        if path.endswith(".toml"):
            return dict(tomllib.loads(text))
        return parse_yaml(text, path)
    except (Refusal, ValueError):
        return None


def _beside(book: Book, content: Mapping[str, Any]) -> dict[str, str]:
    """Return which documents of the book a pull names: by their own name, or by the name of their file."""
    found = {}
    for key, kind in (("kit", "kit"), ("friction", "devices")):
        named = content.get(key)
        if isinstance(named, str) and (name := named_document(book, kind, named)):
            found[key] = name
    return found


def named_document(book: Book, kind: str, named: str) -> str | None:
    """Return the name of the document that a file means by a name or a path; None where the book has none."""
    names = [one.name for one in listed(book, kind)]
    if named in names:
        return named
    wanted = PurePosixPath(named.replace("\\", "/")).name
    return next((name for name in names if held(book, kind, name).stored_as == wanted), None)


def put_document(
    where: Where,
    kind: str,
    name: str,
    content: Mapping[str, Any],
    *,
    by: str = "",
    why: str = "",
    version: int | None = None,
) -> DocumentKept:
    """Keep what a kit, a pull, a rig or ``campaign.yaml`` says now as a new version; comments of the earlier text stay.

    Raises
    ------
    Refusal
        What its reader refuses, with line; CHANGED where the book has another version than the one that was changed.
    """
    if kind not in NAME_KEYS:
        text = f"A {kind} file is not written here: import it as it was made."
        raise BookRefusal("KIND", text, (kind,))
    named = dict(content) if NAME_KEYS[kind] in content else {NAME_KEYS[kind]: name, **content}
    terms = Terms(name, by, why, sure=True, changed_from=version)
    if version is None:
        return _put_new(where, kind, name, named, terms)

    def change(folder: Path, own: str) -> None:
        path = folder / own
        path.write_text(rewritten(path.read_text(encoding="utf-8-sig"), named), encoding="utf-8")

    return change_document(where, kind, name, terms, change)


def _put_new(where: Where, kind: str, name: str, content: Mapping[str, Any], terms: Terms) -> DocumentKept:
    stem = file_name(name)
    if "/" in name:
        raise BookRefusal("NAME", f"name {name!r}: '/' cannot stand in a name here. Take another.", (name,))
    with tempfile.TemporaryDirectory(prefix=PREFIX, ignore_cleanup_errors=True) as folder:
        if kind == "campaign":
            given = Path(folder, stem)
            (given / "logs").mkdir(parents=True)
            (given / _CAMPAIGN).write_text(rewritten(None, content), encoding="utf-8")
            (given / "runs.csv").write_text(EMPTY_SHEET, encoding="utf-8")
        else:
            given = Path(folder, f"{stem}.yaml")
            given.write_text(rewritten(None, content), encoding="utf-8")
        return keep_changed(where, kind, name, given, terms)


def change_document(where: Where, kind: str, name: str, terms: Terms, change: Change) -> DocumentKept:
    """Keep a document as a change leaves it: written out, changed, read by its reader, kept as a new version.

    Parameters
    ----------
    where : Where
    kind, name : str
    terms : Terms
        With the version that was read, where the one who changes it says so.
    change : callable
        Is given the folder the document lies in, and its own file.

    Raises
    ------
    Refusal
        CHANGED; what the change or the reader refuses: nothing is kept then.
    """
    with tempfile.TemporaryDirectory(prefix=PREFIX, ignore_cleanup_errors=True) as folder:
        with book_of(where) as book:
            found = held(book, kind, name)
            terms = _still(found, terms)
            out = Path(folder, file_name(found.stored_as)) if kind == "campaign" else Path(folder)
            take_kept(book, kind, name, out, found.version)
        own = main_file(found)
        if own is None:
            raise BookRefusal("UNKNOWN_FILE", f"{kind} {name!r} has no file that says what it is.", (name,))
        change(out, own)
        return keep_changed(where, kind, name, out if kind == "campaign" else out / own, terms)


def _still(found: HeldDocument, terms: Terms) -> Terms:
    """Return the terms with the version that is changed now; refuse at once where it is not the one that was read."""
    if terms.changed_from is None or terms.changed_from in (ANY, found.version):
        return replace(terms, changed_from=found.version)
    text = (
        f"{found.kind} {found.name!r} was changed meanwhile: version {found.version}, you changed {terms.changed_from}. "
        "Read it again, then change it."
    )
    raise BookRefusal("CHANGED", text, (found.kind, found.name))


def keep_changed(where: Where, kind: str, name: str, given: Path, terms: Terms) -> DocumentKept:
    """Keep a folder or file as the next version of a document, and return that."""
    kept = read_kept(given, kind, name)
    with book_of(where) as book:
        [told] = keep(book, [[deposit_of(kept)]], terms)
        return _document(where, book, held(book, kind, name), told.outcome)


def file_bytes(where: Where, kind: str, name: str, path: str, version: int | None = None) -> bytes:
    """Return the bytes of one file of a document, as they came in.

    Raises
    ------
    BookRefusal
        UNKNOWN_DOCUMENT, UNKNOWN_VERSION, UNKNOWN_FILE, DAMAGED.
    """
    with book_of(where) as book:
        return bytes_of(book, held(book, kind, name, version), path)


def put_file(
    where: Where,
    kind: str,
    name: str,
    path: str,
    given: Path,
    *,
    by: str = "",
    why: str = "",
    version: int | None = None,
) -> DocumentKept:
    """Add one file to a campaign, or put it in the place of an earlier one, as a new version.

    Raises
    ------
    Refusal
        KIND: only a campaign is a folder; NAME: a path that leads elsewhere; what the reader of the campaign refuses.
    """
    if kind != "campaign":
        raise BookRefusal("KIND", f"A {kind} is one file: change what it says, or import it again.", (kind,))
    check_path(path)

    def change(folder: Path, _: str) -> None:
        target = folder / path
        try:
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_bytes(given.read_bytes())
        except (FileExistsError, NotADirectoryError, IsADirectoryError):
            raise FileRefusal("NAME", f"{path!r} is a file and a folder at once.", (path,)) from None

    return change_document(where, "campaign", name, terms_of(path, by, why, version), change)


def terms_of(what: str, by: str, why: str, version: int | None) -> Terms:
    """Return the terms of a change; a version that is not told is the present one, whichever that is."""
    return Terms(what, by, why, sure=True, changed_from=ANY if version is None else version)
