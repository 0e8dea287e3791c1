"""Documents brought into a book from files that lie anywhere, and written out as one file: all bytes, nothing lost."""

from __future__ import annotations

import datetime as dt
import tempfile
from collections.abc import Sequence
from pathlib import Path

from haulwright.book.backup import backup
from haulwright.book.documents import bytes_to_write
from haulwright.book.keeping import keep
from haulwright.book.names import file_name
from haulwright.book.result import BookImport, BookState
from haulwright.book.state import state
from haulwright.book.taking_out import take_all, take_kept
from haulwright.book.terms import Terms
from haulwright.book.words import import_record
from haulwright.errors import BookRefusal, FileRefusal
from haulwright.files.kept import Kept, read_kept
from haulwright.files.kept_index import has_index, read_export
from haulwright.files.open_data import is_open_data
from haulwright.files.seen import ENDING
from haulwright.kept.archives import MOST_OUT, pack, unpacked
from haulwright.kept.documents import PREFIX, invented
from haulwright.kept.handing import deposit_of
from haulwright.kept.where import Where, book_of
from haulwright.progress import Progress, Step, silent, within


def book_state(where: Where, *, verify: bool = False, day: dt.date | None = None) -> BookState:
    """Return what a book holds, as the command line's ``book show``; no path of the machine in it.

    Parameters
    ----------
    where : Where
    verify : bool
        Read every file back and compare its hash.
    day : date or None
        What the due dates are held against; today.
    """
    with book_of(where) as book:
        found = state(book, day or dt.date.today(), verify=verify)
    copy = None if found.migrated_copy is None else Path(found.migrated_copy).name
    notices = (*invented(where), *found.notices)
    return BookState(**{**vars(found), "book": where.which, "migrated_copy": copy, "notices": notices})


def bring_in(
    where: Where, folder: Path, *, by: str = "", name: str | None = None, progress: Progress = silent
) -> BookImport:
    """Keep what lies in a folder: a campaign, kits, pulls, rigs, devices files, a written-out book, or one archive of these.

    Parameters
    ----------
    where : Where
    folder : Path
        Holds what was sent, and nothing else; a folder that holds all of it is looked into.
    by : str
        Who brings it.
    name : str or None
        The name it is kept under, where it is one document.
    progress : callable

    Raises
    ------
    Refusal
        What cannot be read; SAME_NAME, ARCHIVE, NOT_KEPT; nothing is kept then.
    """
    progress(Step("reading what was sent", 0.0))
    whole, systems = unpacked(folder)
    given = _inside(whole)
    documents = _read(given, name)
    terms = Terms(given.name if given != folder else documents[0][-1].stored_as, by, sure=name is not None)
    deposits = [[deposit_of(kept) for kept in history] for history in documents]
    newest = [history[-1] for history in documents]
    with book_of(where) as book:
        told = keep(book, deposits, terms, within(progress, 0.3, 1.0))
        found = import_record(
            book,
            told,
            what=terms.what,
            left_out=[*systems, *(path for kept in newest for path in kept.left_out)],
            missing=[path for kept in newest for path in kept.missing],
            remarks=[words for kept in newest for words in kept.remarks],
        )
    return BookImport(**{**vars(found), "book": where.which, "notices": (*invented(where), *found.notices)})


def _inside(folder: Path) -> Path:
    """Return the one folder that holds all, where that is how it was sent."""
    entries = list(folder.iterdir())
    while len(entries) == 1 and entries[0].is_dir():
        folder, entries = entries[0], list(entries[0].iterdir())
    return folder


def _read(given: Path, name: str | None) -> list[list[Kept]]:
    if has_index(given):
        _one_only(name, "a whole book")
        return read_export(given)
    if (given / "campaign.yaml").is_file():
        return [[read_kept(given, "campaign", name or "")]]
    if is_open_data(given):
        return [[read_kept(given, name=name or "")]]
    files = [one for one in sorted(given.iterdir()) if one.is_file()]
    photos = {f"{one.stem}.photos" for one in files}
    if strange := [one.name for one in given.iterdir() if one.is_dir() and one.name not in photos]:
        text = f"{strange[0]}: a folder, and no campaign.yaml beside it. Send the whole folder of a campaign."
        raise FileRefusal("NOT_KEPT", text, tuple(strange[:5]))
    if strange := [one.name for one in files if one.suffix.lower() not in (".yaml", ".yml", ".toml")]:
        text = f"{strange[0]}: no kit, pull, rig or devices file. A log comes with the folder of its campaign, or to its run."
        raise FileRefusal("NOT_KEPT", text, tuple(strange[:5]))
    alone = [one for one in files if not _goes_with(one, files)]
    if len(alone) > 1:
        _one_only(name, f"{len(alone)} documents")
    return [[read_kept(one, name=name or "")] for one in alone]


def _goes_with(one: Path, files: Sequence[Path]) -> bool:
    """Return whether a file is what was seen on a pull that was sent too."""
    stem = one.name.removesuffix(ENDING)
    return one.name.endswith(ENDING) and any(other.stem == stem for other in files if other != one)


def _one_only(name: str | None, what: str) -> None:
    if name is not None:
        raise FileRefusal(
            "NAME", f"name = {name!r} is of one document, and {what} was sent: leave it out.", ("name",)
        )


def write_out(
    where: Where,
    out: Path,
    *,
    kind: str | None = None,
    name: str | None = None,
    version: int | None = None,
    progress: Progress = silent,
) -> Path:
    """Write a document, or all of them with every version and an index, as one archive; return its path.

    Parameters
    ----------
    where : Where
    out : Path
        Folder the archive is written into.
    kind, name : str or None
        None of both is the whole book: plain files and one index, which can be read without this program.
    version : int or None
    progress : callable

    Raises
    ------
    BookRefusal
        EMPTY_BOOK, UNKNOWN_DOCUMENT, UNKNOWN_VERSION; TOO_LARGE: over what is sent in one piece.
    """
    if (kind is None) != (name is None) or (name is None and version is not None):
        raise FileRefusal(
            "VALUE", "Give kind and name of a document, or neither for the whole book.", ("name",)
        )
    with tempfile.TemporaryDirectory(prefix=PREFIX, ignore_cleanup_errors=True) as folder:
        inside = Path(folder, "out")
        with book_of(where) as book:
            total = bytes_to_write(book, kind, name)
            if total > MOST_OUT:
                text = f"The book holds {total / 1e9:.1f} GB: write it out on the command line ('haulwright book export all')."
                raise BookRefusal("TOO_LARGE", text, (where.which,))
            progress(Step("reading the book", 0.1))
            if kind is None or name is None:
                take_all(book, inside)
                stem = "haulwright-book"
            else:
                stem = file_name(name)
                take_kept(book, kind, name, inside, version)
        progress(Step("packing", 0.5))
        target = out / f"{stem}.zip"
        pack(inside, target, "" if kind is None else stem if kind == "campaign" else "")
    return target


def copy_of(where: Where, out: Path) -> Path:
    """Copy a book that is a file, while it is in use; return the path of the copy.

    Raises
    ------
    BookRefusal
        NOT_HERE for a book on a server; TOO_LARGE.
    """
    with book_of(where) as book:
        path = book.place.path
        if path is not None and path.stat().st_size > MOST_OUT:
            text = f"The book is over {MOST_OUT // 10**9} GB: copy it on the command line ('haulwright book backup')."
            raise BookRefusal("TOO_LARGE", text, (where.which,))
        return backup(book.place, out / "haulwright-book.sqlite")
