"""Verbs of the book."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from haulwright.errors import UsageRefusal
from haulwright.progress import Progress, Step, silent, within
from haulwright.publishing.output import Files, output_folder, record_of
from haulwright.workflows.bundles import opened_bundle

if TYPE_CHECKING:
    from haulwright.book.result import BookImport, BookState


def new_book(at: str | Path | None = None) -> BookState:
    """Make an empty book, and return what it holds.

    Parameters
    ----------
    at : path, str or None
        A file, or ``postgresql://user@host/database``; None: as HAULWRIGHT_BOOK says, else in the user's data folder.

    Raises
    ------
    BookRefusal
        EXISTS where there is one, or anything else of that name.
    """
    from haulwright.book.opening import new_book as make
    from haulwright.book.place import place_of

    make(place_of(at))
    return show_book(at)


def show_book(
    book: str | Path | None = None, *, day: date | None = None, verify: bool = False, migrate: bool = False
) -> BookState:
    """Return what a book holds: counts, due dates, quarantine, friction, decisions, pulls as they went, last import.

    Parameters
    ----------
    book : path, str or None
        As in :func:`new_book`.
    day : date, optional
        What the due dates are held against; today.
    verify : bool
        Read every file back and compare its hash.
    migrate : bool
        On a server: bring an older book to the newest schema, a backup having been taken. A file is copied and brought
        there in any case.
    """
    from haulwright.book.opening import opened
    from haulwright.book.place import place_of
    from haulwright.book.state import state

    with opened(place_of(book), migrate=migrate) as found:
        return state(found, day or date.today(), verify=verify)


def import_to_book(
    given: str | Path,
    *,
    book: str | Path | None = None,
    name: str | None = None,
    by: str = "",
    progress: Progress = silent,
) -> BookImport:
    """Keep a campaign folder, a kit, a pull with what was seen on it, a rig or a devices file, byte for byte.

    What is there already is not kept twice; what changed is a new version, and the earlier stays.

    Parameters
    ----------
    given : path
        Also a folder that :func:`export_book` wrote all into, a campaign's open data, or a zip of either.
    book : path, str or None
        As in :func:`new_book`.
    name : str or None
        The name it is kept under, in place of its own.
    by : str
        Who imports it.
    progress : callable
        Is told each file that is kept.

    Raises
    ------
    Refusal
        What cannot be read; SAME_NAME: another thing of that name; nothing is kept then.
    """
    from haulwright.book.keeping import keep
    from haulwright.book.opening import opened
    from haulwright.book.place import place_of
    from haulwright.book.terms import Terms
    from haulwright.book.words import import_record
    from haulwright.files.kept import read_kept
    from haulwright.files.kept_index import has_index, read_export
    from haulwright.kept.handing import deposit_of

    progress(Step(f"reading {Path(given).name}", 0.0))
    with opened_bundle(given) as here:
        if has_index(here):
            if name is not None:
                raise UsageRefusal(
                    "USAGE", f"--as is of one thing, and {given} holds a whole book.", ("--as",)
                )
            every = read_export(here)
        else:
            every = [[read_kept(here, name=name or "")]]
        what = Path(given).resolve().name
        with opened(place_of(book)) as found:
            deposits = [[deposit_of(kept) for kept in history] for history in every]
            terms = Terms(what, by, sure=name is not None)
            documents = keep(found, deposits, terms, within(progress, 0.3, 1.0))
            newest = [history[-1] for history in every]
            return import_record(
                found,
                documents,
                what=what,
                left_out=[path for kept in newest for path in kept.left_out],
                missing=[path for kept in newest for path in kept.missing],
                remarks=[words for kept in newest for words in kept.remarks],
            )


def export_book(
    name: str, out: str | Path, *, book: str | Path | None = None, version: int | None = None
) -> Files:
    """Write a document of a book as it came in, or ``all`` of them with every version and an index.

    Parameters
    ----------
    name : str
        Of a campaign, kit, pull or devices file, with its kind before it where two have that name (``kit:club``); or
        ``all``.
    out : path
        Folder it is written into; nothing in it is overwritten.
    book : path, str or None
        As in :func:`new_book`.
    version : int or None
        An earlier one; None is the current one.

    Raises
    ------
    Refusal
        A name the book does not have; EXISTS where another file is in the way, and nothing is written.
    """
    from haulwright.book.opening import opened
    from haulwright.book.place import place_of
    from haulwright.book.taking_out import take_all, take_out

    if name == "all" and version is not None:
        raise UsageRefusal("USAGE", "all has every version in it: leave --version out.", ("--version",))
    with opened(place_of(book)) as found, output_folder(out) as folder:
        return record_of(take_all(found, folder) if name == "all" else take_out(found, name, folder, version))


def book_exit_code(record: BookState) -> int:
    """Return 0, or 1 where a file of the book is not what it was when it came in."""
    return 1 if record.verified is not None and record.verified.damaged else 0


def backup_book(out: str | Path, *, book: str | Path | None = None) -> Files:
    """Copy a book that is a file, while it is in use; a server has its own tool for that.

    Parameters
    ----------
    out : path
        File that is not there yet.
    book : path, str or None
        As in :func:`new_book`.

    Raises
    ------
    BookRefusal
        NOT_HERE for a server; EXISTS; what cannot be read or written.
    """
    from haulwright.book.backup import backup
    from haulwright.book.opening import looked_at
    from haulwright.book.place import place_of

    place = looked_at(place_of(book))
    return record_of([(backup(place, Path(out)), "copy of the book")])
