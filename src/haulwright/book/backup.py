"""A copy of a book while it is in use: whole, checked, and never over another file."""

from __future__ import annotations

import contextlib
import os
import re
import sqlite3
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import quote

from haulwright.book.connecting import spoken
from haulwright.book.place import Place
from haulwright.errors import BookRefusal


def backup(place: Place, out: Path) -> Path:
    """Copy a book to a file, one state of it, while others read and write.

    Raises
    ------
    BookRefusal
        NOT_HERE for a server; EXISTS where a file of that name is there; CLOSED where the system does not write;
        DAMAGED where the copy is not whole.
    """
    if place.path is None:
        raise BookRefusal(
            "NOT_HERE",
            f"{place.shown} is on a server: back it up with the server's own tool (pg_dump -Fc), or write every file and "
            "version out with 'haulwright book export all --out DIR'.",
            (place.shown,),
        )
    return copy_file(place.path, out)


def copy_file(path: Path, out: Path) -> Path:
    """Copy an SQLite book by the database's own online copy; ``out`` is there whole or not at all."""
    with spoken(Place(path=path)), fresh_file(out) as part:
        source = sqlite3.connect(f"file:{quote(str(path.absolute()))}?mode=rw", uri=True, timeout=10.0)
        target = sqlite3.connect(part)
        try:
            source.backup(target)
            target.execute("PRAGMA journal_mode = DELETE")  # one file, nothing beside it
            said = target.execute("PRAGMA integrity_check").fetchone()
        finally:
            target.close()
            source.close()
        if said != ("ok",):
            raise BookRefusal("DAMAGED", f"{path}: the copy is not whole ({said[0]}).", (str(path),))
    return out


@contextlib.contextmanager
def fresh_file(out: Path) -> Iterator[Path]:
    """Give a file to write that takes the name of ``out`` once it is whole, and never another's place.

    Raises
    ------
    BookRefusal
        EXISTS or CLOSED.
    """
    part = out.with_name(f"{_beginning(out.name)}{os.getpid()}.part")
    try:
        if os.path.lexists(out):
            raise exists(out)
        out.parent.mkdir(parents=True, exist_ok=True)
        with contextlib.suppress(FileNotFoundError):
            part.unlink()  # of a process of the same number that was killed
        yield part
        _to_disk(part)
        _take_name(part, out)
    except (OSError, ValueError) as error:  # ValueError: a name no system takes
        if isinstance(error, BookRefusal):
            raise
        why = getattr(error, "strerror", None) or error
        raise BookRefusal(
            "CLOSED", f"{out}: cannot be written ({why}). Give another place.", (str(out),)
        ) from None
    finally:
        with contextlib.suppress(OSError, ValueError):
            part.unlink()


def _beginning(name: str) -> str:
    return f".{name[:80]}."


def clear_leftovers(path: Path) -> None:
    """Take away what a program that was killed left half-written beside a book: of the book itself, or of a copy of it.

    Only plain files of this user by our own naming, whose process is no more; anything else stays.
    """
    if os.name != "posix":  # elsewhere it cannot be asked whether a process lives without stopping it
        return
    names = re.compile(
        rf"{re.escape(_beginning(path.name))}(?:schema-\w+(?:-\d+)?\.backup\.)?(\d+)\.part(?:-journal|-wal|-shm)?"
    )
    with contextlib.suppress(OSError):
        for entry in list(os.scandir(path.parent)):
            found = names.fullmatch(entry.name)
            if found is None or not entry.is_file(follow_symlinks=False) or _lives(int(found[1])):
                continue
            if entry.stat(follow_symlinks=False).st_uid == os.getuid():
                Path(entry.path).unlink(missing_ok=True)


def _lives(process: int) -> bool:
    try:
        os.kill(process, 0)
    except (ProcessLookupError, OverflowError):
        return False
    except OSError:  # it is another user's
        return True
    return True


def exists(out: Path) -> BookRefusal:
    """Return the refusal of a file that is there."""
    return BookRefusal(
        "EXISTS", f"{out} is there already and is not overwritten. Give another name.", (str(out),)
    )


def _take_name(part: Path, out: Path) -> None:
    try:
        os.link(part, out)  # unlike a renaming, fails where the name is taken meanwhile
    except FileExistsError:
        raise exists(out) from None
    except OSError:  # a system of files without links
        if os.path.lexists(out):
            raise exists(out) from None
        part.rename(out)
    _to_disk(out.parent)


def _to_disk(path: Path) -> None:
    """See that a file, or the names of a folder, are on the disk."""
    if os.name == "nt" and path.is_dir():
        return
    number = os.open(path, os.O_RDWR if path.is_file() else os.O_RDONLY)
    try:
        os.fsync(number)
    finally:
        os.close(number)
