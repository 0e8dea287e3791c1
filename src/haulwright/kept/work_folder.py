"""A campaign of a book written out to be worked on: a folder by its content, with the runs measured there before."""

from __future__ import annotations

import contextlib
import os
import shutil
import tempfile
import time
from pathlib import Path

from haulwright.book.documents import HeldDocument, held
from haulwright.book.taking_out import take_kept
from haulwright.errors import BookRefusal
from haulwright.kept.where import Where, book_of

MOST = 12
UNUSED_s = 7 * 86_400.0
_DONE = "results/cache"


def campaign_folder(where: Where, name: str, version: int | None = None) -> Path:
    """Return the folder a campaign of a book lies in while it is worked on.

    The same content is the same folder. Runs measured for an earlier version are taken along: they are known by what
    they were measured from, and only what changed is measured again. What has long not been used goes.

    Raises
    ------
    BookRefusal
        UNKNOWN_DOCUMENT, UNKNOWN_VERSION; CLOSED where the system does not write.
    """
    with book_of(where) as book:
        found = held(book, "campaign", name, version)
        folder = where.work / found.trees[found.version][:32] / found.stored_as
        try:
            if not folder.is_dir():
                where.work.mkdir(parents=True, exist_ok=True)
                _clear(where.work)
                with tempfile.TemporaryDirectory(dir=where.work, suffix=".part") as beside:
                    take_kept(book, "campaign", name, Path(beside, found.stored_as), found.version)
                    _take_along(where.work, found, Path(beside, found.stored_as, _DONE))
                    _take_name(Path(beside), folder.parent)
            os.utime(folder.parent)
        except OSError as err:
            text = f"{where.work}: cannot be written ({err.strerror}). Check the folder and its rights."
            raise BookRefusal("CLOSED", text, (str(where.work),)) from None
    return folder


def _take_name(made: Path, folder: Path) -> None:
    """Give a whole folder its name; where another was quicker, that one stays."""
    made.chmod(0o755)
    with contextlib.suppress(OSError):
        made.rename(folder)
        made.mkdir()  # for the one who made it to take away
    if not folder.is_dir():
        raise OSError(0, "the folder was not made")


def _take_along(work: Path, found: HeldDocument, into: Path) -> None:
    """Take the measured runs of the newest other version along."""
    for number in sorted(found.trees, reverse=True):
        before = work / found.trees[number][:32] / found.stored_as / _DONE
        if number == found.version or not before.is_dir():
            continue
        into.mkdir(parents=True, exist_ok=True)
        for entry in before.iterdir():
            if entry.suffix != ".part":
                with contextlib.suppress(OSError):  # taken away meanwhile: it is measured again
                    shutil.copy2(entry, into / entry.name)
        return


def _clear(work: Path) -> None:
    """Take away what has long not been used, and what a stop in the middle left."""
    now = time.time()
    folders = sorted((one for one in work.iterdir() if one.is_dir()), key=lambda one: -one.stat().st_mtime)
    for n, one in enumerate(folders):
        old = now - one.stat().st_mtime
        if (one.suffix == ".part" and old > 86_400.0) or (n >= MOST and old > UNUSED_s):
            shutil.rmtree(one, ignore_errors=True)
