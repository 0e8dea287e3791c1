"""Every file of a folder with its hash, for the book: nothing is followed out of the folder, nothing is written."""

from __future__ import annotations

import hashlib
import os
import stat
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from haulwright.errors import FileRefusal

MOST_BYTES = 200_000_000
"""Of one file: an hour of a hundred readings a second is about a tenth of that."""
MOST_BYTES_IN_ALL = 4_000_000_000
MOST_FILES = 20_000
_SCRATCH = ("results/cache",)
_CHUNK = 1 << 20


@dataclass(frozen=True)
class FoundFile:
    """One file: its path within the folder, its hash and size, and how its bytes are had."""

    root: Path
    path: str
    sha256: str
    size: int

    def read(self) -> bytes:
        """Return the bytes as they are now.

        Raises
        ------
        FileRefusal
            TOO_LARGE, LINK or NO_FILE, where the file is another one by now.
        """
        return b"".join(_chunks(self.root / self.path, self.path))


@dataclass(frozen=True)
class FoundFolder:
    """All files below a folder, the folders with nothing in them, and what was left out."""

    files: tuple[FoundFile, ...]
    empty: tuple[str, ...] = ()
    left_out: tuple[str, ...] = ()


def find_files(folder: str | Path) -> FoundFolder:
    """Return every file below a folder, with its hash.

    What can be computed anew at any time (``results/cache``) and files that were being written are left out, and named.

    Raises
    ------
    FileRefusal
        LINK: a link, or a thing that is no file; TOO_LARGE; NO_FILE where one cannot be read.
    """
    root, total = Path(folder), 0
    found: list[FoundFile] = []
    empty: list[str] = []
    left_out: list[str] = []
    for path, is_folder in _walk(root, ""):
        if _is_scratch(path):
            left_out.append(path)
            continue
        if is_folder:
            empty.append(path)
            continue
        if len(found) >= MOST_FILES:
            raise FileRefusal(
                "TOO_LARGE", f"{root.name}: over {MOST_FILES} files: no campaign.", (root.name,)
            )
        found.append(found_file(root, path))
        total += found[-1].size
        if total > MOST_BYTES_IN_ALL:
            text = f"{root.name}: over {MOST_BYTES_IN_ALL // 10**9} GB in all: no campaign. Leave out what is no log."
            raise FileRefusal("TOO_LARGE", text, (root.name,))
    return FoundFolder(tuple(found), tuple(empty), tuple(left_out))


def found_file(root: Path, path: str) -> FoundFile:
    """Return one file below a folder with its hash.

    Raises
    ------
    FileRefusal
        As :func:`find_files`.
    """
    hashed, size = hashlib.sha256(), 0
    for chunk in _chunks(root / path, path):
        hashed.update(chunk)
        size += len(chunk)
    return FoundFile(root, path, hashed.hexdigest(), size)


def _is_scratch(path: str) -> bool:
    return path in _SCRATCH or path.endswith((".part", ".lock", ".trial"))


def _walk(folder: Path, below: str) -> Iterator[tuple[str, bool]]:
    """Yield the paths of all files, and of folders that are empty or scratch; in the order of their names."""
    try:
        entries = sorted(os.scandir(folder), key=lambda entry: entry.name)
        for entry in entries:
            path = f"{below}{entry.name}"
            mode = entry.stat(follow_symlinks=False).st_mode
            if not (stat.S_ISREG(mode) or stat.S_ISDIR(mode)):
                raise _no_plain_file(path)
            if stat.S_ISREG(mode) or _is_scratch(path):
                yield path, False
            elif below.count("/") > 30:
                raise FileRefusal("TOO_LARGE", f"{path}: folders within folders too deep.", (path,))
            else:
                yield from _walk(Path(entry.path), f"{path}/")
        if below and not entries:
            yield below.rstrip("/"), True
    except OSError as err:
        raise _unread(str(folder), err) from None


def _chunks(file: Path, path: str) -> Iterator[bytes]:
    """Yield the bytes of a plain file; a link that came in its place meanwhile is not followed."""
    try:
        number = os.open(file, os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0))
    except (OSError, ValueError) as err:
        if file.is_symlink():
            raise _no_plain_file(path) from None
        raise _unread(path, err) from None
    with os.fdopen(number, "rb") as opened:
        told = os.fstat(number)
        if not stat.S_ISREG(told.st_mode):
            raise _no_plain_file(path)
        left = MOST_BYTES
        if told.st_size > left:  # before a byte of it is read
            raise _too_large(path)
        try:
            while chunk := opened.read(_CHUNK):
                left -= len(chunk)
                if left < 0:
                    raise _too_large(path)
                yield chunk
        except OSError as err:
            raise _unread(path, err) from None


def _too_large(path: str) -> FileRefusal:
    text = f"{path}: over {MOST_BYTES // 10**6} MB. A book keeps logs and what is written about them; keep films elsewhere."
    return FileRefusal("TOO_LARGE", text, (path,))


def _no_plain_file(path: str) -> FileRefusal:
    text = f"{path}: a link, or no plain file: it may lead anywhere. Put the file itself in its place."
    return FileRefusal("LINK", text, (path,))


def _unread(path: str, err: Exception) -> FileRefusal:
    return FileRefusal(
        "NO_FILE", f"{path}: cannot be read ({getattr(err, 'strerror', None) or err}).", (path,)
    )
