"""Taking documents in: one transaction for all that is given; nothing is overwritten, nothing twice."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from typing import Any

import sqlalchemy as sa

from haulwright.book.deposit import KINDS, Deposit, GivenFile, Told
from haulwright.book.history import write_histories
from haulwright.book.migrating import now
from haulwright.book.names import check_path, file_name
from haulwright.book.opening import Book
from haulwright.book.result import KeptDocument
from haulwright.book.schema import FACTS, documents, files, imports, reasons, version_files, versions
from haulwright.book.terms import ANY, Terms
from haulwright.errors import UNPRINTABLE, BookRefusal
from haulwright.progress import Progress, Step, silent
from haulwright.version import __version__

_TABLES = {table.name: table for table in FACTS}


def keep(
    book: Book, given: Sequence[Sequence[Deposit]], terms: Terms, progress: Progress = silent
) -> tuple[KeptDocument, ...]:
    """Keep documents; all of them, or none where one is refused.

    Parameters
    ----------
    book : Book
    given : sequence of sequences of Deposit
        For each document its versions, oldest first; one where only the present one is known.
    terms : Terms
    progress : callable
        Is told each file that is written.

    Returns
    -------
    tuple of KeptDocument

    Raises
    ------
    BookRefusal
        NAME, SAME_NAME, CHANGED, CHANGING; and what the database refuses.
    """
    _check_word("--by", terms.who)
    _check_word("--by", terms.why.replace("\n", " "))
    for history in given:
        for deposit in history:
            _check(deposit)
    with book.writing() as connection:
        entry = _Import(connection, terms, progress, sum(len(one.files) for many in given for one in many))
        return tuple(_keep_document(entry, history) for history in given)


class _Import:
    """One import; its row is written when the first new version is."""

    def __init__(self, connection: sa.Connection, terms: Terms, progress: Progress, files: int) -> None:
        self.connection, self.terms, self.progress, self.files = connection, terms, progress, files
        self.done = 0
        self._id: int | None = None

    def tell(self, path: str) -> None:
        """Tell that a file is at hand."""
        self.progress(Step(f"keeping {path}", self.done / max(self.files, 1)))
        self.done += 1

    def id_of(self, told: Told | None) -> int:
        """Return the row of what is done now, or of what another book told of a version."""
        terms = self.terms
        if told is not None:
            return self._write(told.at, told.who, told.why, told.what)
        if self._id is None:
            self._id = self._write(now(), terms.who, terms.why)
        return self._id

    def _write(self, at: str, who: str, why: str, what: str = "") -> int:
        row = {"at": at, "what": what or self.terms.what, "who": who, "software": __version__}
        number = _insert(self.connection, imports, row)
        if why:
            self.connection.execute(reasons.insert(), [{"import_id": number, "why": why}])
        return number


def _insert(connection: sa.Connection, table: sa.Table, row: Mapping[str, Any]) -> int:
    key = connection.execute(table.insert().values(**row)).inserted_primary_key
    return int(key[0]) if key is not None else 0


def _check_word(what: str, word: str) -> None:
    if UNPRINTABLE.search(word) or (what != "--by" and not word.strip()):
        raise BookRefusal("NAME", f"{what} {word!r}: expected a name that can be printed.", (what,))


def _check(deposit: Deposit) -> None:
    _check_word(f"name of the {deposit.kind}", deposit.name)
    if deposit.kind not in KINDS:
        raise BookRefusal("KIND", f"{deposit.kind!r} is nothing a book keeps: {', '.join(KINDS)}.", ("kind",))
    for path in deposit.tree:
        check_path(path)
    folded = [path.casefold() for path in deposit.tree]
    if twice := [path for path in deposit.tree if folded.count(path.casefold()) > 1]:
        raise BookRefusal(
            "NAME",
            f"file names {' and '.join(twice[:2])} are one name on many systems. Rename one.",
            tuple(twice[:2]),
        )


def _keep_document(entry: _Import, history: Sequence[Deposit]) -> KeptDocument:
    """Keep the versions of one document that the book does not have."""
    connection, newest = entry.connection, history[-1]
    document_id = _document(connection, newest)
    had = [] if document_id is None else _versions(connection, document_id)
    _refuse_stale(newest, had, entry.terms.changed_from)
    hashes = [row["tree_sha256"] for row in had]
    done_anew = entry.terms.again and not _told_before(connection, entry.terms, newest, had)
    missing, apart = ([newest], False) if done_anew else _missing(history, hashes)
    if document_id is None:
        row = {"kind": newest.kind, "name": newest.name, "stored_as": _free_name(connection, newest)}
        document_id = _insert(connection, documents, row)
    elif missing and not entry.terms.sure:
        _refuse_stranger(newest, had[-1])
    number = len(had)
    before = _tree(connection, had[-1]["id"]) if had else {}
    bytes_new = 0
    for deposit in missing:
        number += 1
        bytes_new += _keep_version(entry, document_id, number, deposit)
    after = newest.tree if missing else before
    return KeptDocument(
        kind=newest.kind,
        name=newest.name,
        outcome="unchanged" if not missing else "changed" if had else "new",
        version=number,
        files=len(newest.files),
        files_new=tuple(p for p in after if p not in before),
        files_changed=tuple(p for p in after if p in before and after[p] != before[p]),
        files_gone=tuple(p for p in before if p not in after),
        bytes_new=bytes_new,
        apart=apart,
    )


def _told_before(
    connection: sa.Connection, terms: Terms, newest: Deposit, had: Sequence[sa.RowMapping]
) -> bool:
    """Whether the last version tells the same deed in the same words, and left the same files."""
    if not had or had[-1]["tree_sha256"] != newest.tree_sha256:
        return False
    told = sa.select(imports.c.what, imports.c.who, reasons.c.why).join_from(imports, reasons, isouter=True)
    last = connection.execute(told.where(imports.c.id == had[-1]["import_id"])).one()
    return (last.what, last.who, last.why or "") == (terms.what, terms.who, terms.why)


def _missing(history: Sequence[Deposit], had: Sequence[str]) -> tuple[list[Deposit], bool]:
    """Return the versions to add, and whether the two histories went ways of their own."""
    if len(history) == 1:
        return ([] if had and had[-1] == history[0].tree_sha256 else [*history]), False
    given = [one.tree_sha256 for one in history]
    together = min(len(given), len(had))
    if given[:together] == [*had[:together]]:
        return [*history[together:]], False
    return [one for one, sha256 in zip(history, given, strict=True) if sha256 not in had], True


def _document(connection: sa.Connection, deposit: Deposit) -> int | None:
    same = (documents.c.kind == deposit.kind) & (documents.c.name == deposit.name)
    return connection.execute(sa.select(documents.c.id).where(same)).scalar()


def _versions(connection: sa.Connection, document_id: int) -> Sequence[sa.RowMapping]:
    chosen = sa.select(
        versions.c.id, versions.c.number, versions.c.import_id, versions.c.tree_sha256, versions.c.marks
    )
    of_this = chosen.where(versions.c.document_id == document_id).order_by(versions.c.number)
    return connection.execute(of_this).mappings().all()


def _tree(connection: sa.Connection, version_id: int) -> dict[str, str | None]:
    chosen = sa.select(version_files.c.path, version_files.c.sha256)
    rows = connection.execute(chosen.where(version_files.c.version_id == version_id)).all()
    return {row.path: row.sha256 for row in sorted(rows, key=lambda row: row.path)}


def _refuse_stale(deposit: Deposit, had: Sequence[sa.RowMapping], changed_from: int | None) -> None:
    """Refuse a change of what has changed meanwhile: the other change would be lost from sight."""
    newest = had[-1]["number"] if had else None
    if changed_from in (ANY, newest):
        return
    name = f"{deposit.kind} {deposit.name!r}"
    if newest is None:
        text = f"The book has no {name} to change: leave the version out to keep it as a new one."
    elif changed_from is None:
        text = f"The book has a {name} already (version {newest}): take another name, or change that one."
    else:
        text = f"{name} was changed meanwhile: version {newest}, you changed {changed_from}. Read it again, then change it."
    raise BookRefusal("CHANGED", text, (deposit.kind, deposit.name))


def _refuse_stranger(deposit: Deposit, last: sa.RowMapping) -> None:
    """Refuse another thing of the same name: nothing in common with what the book has."""
    if last["marks"] and deposit.marks and not set(last["marks"]) & set(deposit.marks):
        thing = {"campaign": "log", "kit": "piece", "devices": "device", "pull": "anchor", "rig": "body"}[
            deposit.kind
        ]
        raise BookRefusal(
            "SAME_NAME",
            f"The book has a {deposit.kind} {deposit.name!r} already, and this one has no {thing} in common with it. Is it "
            f"another? Then keep it under a name of its own (--as NAME). Is it the same? Then say so (--as {deposit.name!r}).",
            (deposit.kind, deposit.name),
        )


def _free_name(connection: sa.Connection, deposit: Deposit) -> str:
    """Return a name for its folder or file on export that no other document of the kind has."""
    of_kind = sa.select(documents.c.stored_as).where(documents.c.kind == deposit.kind)
    had = {name.casefold() for name in connection.execute(of_kind).scalars()}
    wanted = file_name(deposit.stored_as)
    if wanted.casefold() not in had:
        return wanted
    stem, dot, ending = wanted.rpartition(".") if deposit.kind != "campaign" else (wanted, "", "")
    n = 2
    while f"{stem}-{n}{dot}{ending}".casefold() in had:
        n += 1
    return f"{stem}-{n}{dot}{ending}"


def _keep_version(entry: _Import, document_id: int, number: int, deposit: Deposit) -> int:
    """Keep one version; return how many bytes the book had not."""
    connection = entry.connection
    added = _keep_files(entry, deposit.files)
    import_id = entry.id_of(deposit.told)
    row = {
        "document_id": document_id,
        "number": number,
        "import_id": import_id,
        "tree_sha256": deposit.tree_sha256,
        "marks": sorted(deposit.marks),
    }
    version_id = _insert(connection, versions, row)
    tree = [{"version_id": version_id, "path": p, "sha256": h} for p, h in deposit.tree.items()]
    connection.execute(version_files.insert(), tree)
    for name, table in _TABLES.items():
        if rows := deposit.facts.get(name):
            connection.execute(table.insert(), [{"version_id": version_id, **row} for row in rows])
    write_histories(connection, document_id, import_id, deposit.facts)
    return added


def _keep_files(entry: _Import, given: Sequence[GivenFile]) -> int:
    """Keep the bytes the book does not have, one file at a time; return how many there were."""
    connection, added = entry.connection, 0
    for one in {file.sha256: file for file in given}.values():
        entry.tell(one.path)
        if (
            connection.execute(sa.select(files.c.size).where(files.c.sha256 == one.sha256)).first()
            is not None
        ):
            continue
        content = one.read()
        if hashlib.sha256(content).hexdigest() != one.sha256:
            raise BookRefusal(
                "CHANGING",
                f"{one.path} changed while it was read. Let the program that writes it finish, then import again.",
                (one.path,),
            )
        connection.execute(files.insert(), [{"sha256": one.sha256, "size": len(content), "content": content}])
        added += len(content)
    return added
