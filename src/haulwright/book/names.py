"""Names that may stand in a book as the path of a file, and be written to any disk again."""

from __future__ import annotations

import re

from haulwright.errors import UNPRINTABLE, BookRefusal

LONGEST = 200  # bytes of one name; most systems stop at 255
DEEPEST = 12
_RESERVED = re.compile(r"(con|prn|aux|nul|com\d|lpt\d)(\..*)?", re.IGNORECASE)
_BARRED = re.compile(r'[\\/:*?"<>|]')


def check_path(path: str) -> str:
    """Return a path within a folder, parts parted by ``/``, or refuse it.

    Raises
    ------
    BookRefusal
        NAME: one that leads out of its folder, or that some system cannot write.

    Examples
    --------
    >>> check_path("logs/two-a1.csv")
    'logs/two-a1.csv'
    >>> check_path("logs/../../x")
    Traceback (most recent call last):
    haulwright.errors.BookRefusal: file name 'logs/../../x': '..' leads out of its folder. Rename it.
    """
    parts = path.split("/")
    why = "it lies too deep" if len(parts) > DEEPEST else next(filter(None, map(_wrong, parts)), "")
    if why:
        raise BookRefusal("NAME", f"file name {path!r}: {why}. Rename it.", (path,))
    return path


def _wrong(part: str) -> str:
    """Return what is wrong with one name of a path; empty if nothing."""
    if part in ("", ".", ".."):
        return f"{part!r} leads out of its folder"
    if UNPRINTABLE.search(part) or re.search("[\t\n]", part):
        return "it holds a sign that cannot be printed, or is not UTF-8"
    if len(part.encode("utf-8")) > LONGEST:
        return f"it is over {LONGEST} bytes long"
    if _BARRED.search(part):
        return f"{_BARRED.findall(part)[0]!r} cannot stand in a file name on every system"
    if _RESERVED.fullmatch(part) or part != part.rstrip(". "):
        return "no file may have that name on every system"
    return ""


def file_name(name: str) -> str:
    """Return a name of the user's as one that a file or folder may have.

    Examples
    --------
    >>> file_name("the club's kit: ../2025"), file_name("CON"), file_name("...")
    ("the club's kit- ..-2025", 'CON-', 'unnamed')
    """
    kept = _BARRED.sub("-", UNPRINTABLE.sub("-", name.replace("\t", " ").replace("\n", " ")))
    while len(kept.encode("utf-8")) > 100:
        kept = kept[:-1]
    kept = kept.strip(" ").rstrip(". ").lstrip(".") or "unnamed"
    return f"{kept}-" if _RESERVED.fullmatch(kept) else kept
