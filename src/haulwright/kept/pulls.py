"""Pulls of a book: with the kit and the friction they name, and what was seen on them."""

from __future__ import annotations

import tempfile
from collections.abc import Mapping
from datetime import datetime
from pathlib import Path
from typing import Any

from haulwright.book.documents import bytes_of, held, listed
from haulwright.book.opening import Book
from haulwright.errors import FileRefusal
from haulwright.files.friction import read_friction
from haulwright.files.pull import read_pull
from haulwright.files.seen import ENDING, add_seen, beside
from haulwright.files.yamlfile import parse_yaml
from haulwright.kept.documents import (
    PREFIX,
    change_document,
    main_file,
    named_document,
    read_document,
    terms_of,
)
from haulwright.kept.where import Where, book_of
from haulwright.planning.seen import PullSeen, entry_of, record_seen

OWN_PULLS = "book"
_NAMED = {"kit": "kit", "friction": "devices"}


def whole_pull(where: Where, pull: Mapping[str, Any]) -> dict[str, Any]:
    """Return a pull with what it names by name put in its place: kit, friction, own pulls, as the book holds them.

    ``kit`` and ``friction`` are the name of a document, or of its file; ``own: book`` stands for all that was seen on pulls
    of the book. No path of a file is ever followed.

    Raises
    ------
    FileRefusal
        VALUE: the book has no such document.
    """
    found = dict(pull)
    if isinstance(own := pull.get("own"), str) and own != OWN_PULLS:
        text = f"pull.own = {own!r}: write 'book' for all the pulls of the book, or send what that file holds, not its path."
        raise FileRefusal("VALUE", text, ("pull", "own"))
    if not any(isinstance(pull.get(key), str) for key in (*_NAMED, "own")):
        return found
    with book_of(where) as book:
        for key, kind in _NAMED.items():
            if isinstance(named := pull.get(key), str):
                found[key] = _named(book, key, kind, named)
        if isinstance(pull.get("own"), str):
            del found["own"]
            if seen := _all_seen(book):
                found["own"] = seen
    return found


def _named(book: Book, key: str, kind: str, named: str) -> dict[str, Any]:
    name = named_document(book, kind, named)
    if name is None:
        known = ", ".join(one.name for one in listed(book, kind)) or "none"
        text = (
            f"pull.{key} = {named!r}: the book has no such {kind} (it has: {known}). Import it, or send what that file holds, "
            "not its path."
        )
        raise FileRefusal("VALUE", text, ("pull", key))
    document = held(book, kind, name)
    own = main_file(document) or ""
    content = bytes_of(book, document, own)
    return parse_yaml(content.decode("utf-8-sig"), own) if kind == "kit" else _friction(content)


def _friction(content: bytes) -> dict[str, Any]:
    """Return the measured frictions of a devices file as a pull may hold them."""
    with tempfile.TemporaryDirectory(prefix=PREFIX, ignore_cleanup_errors=True) as folder:
        path = Path(folder, "devices.toml")
        path.write_bytes(content)
        rows = read_friction(path)
    return {
        name: {
            "k": row.value,
            "u": row.u,
            "interval95": [row.lo, row.hi],
            "valid_N": list(row.valid_N or (0.0, 0.0)),
            "source": ", ".join(part for part in (row.source.title, row.source.place) if part),
            "name": row.name,
            "scatter": row.scatter,
        }
        for name, row in rows.items()
    }


def _all_seen(book: Book) -> list[dict[str, Any]]:
    """Return what was seen on each pull, under the name of that pull: entries of one pull and day count as one."""
    found: list[dict[str, Any]] = []
    for one in listed(book, "pull"):
        document = held(book, "pull", one.name)
        for file in document.files:
            if file.path.endswith(ENDING):
                text = bytes_of(book, document, file.path).decode("utf-8-sig")
                if seen := parse_yaml(text, file.path).get("seen", ()):
                    found.append({"pull": one.name, "seen": seen})
    return found


def see_pull(
    where: Where, name: str, *, by: str = "", note: str = "", version: int | None = None, **readings: Any
) -> PullSeen:
    """Enter what the cells read on a pull of the book, against what was foretold; it is kept with the pull.

    Parameters
    ----------
    where : Where
    name : str
        Of the pull.
    by, note : str
    version : int or None
        The one that was read; None: the present one.
    **readings
        ``line``, ``anchor``, ``breakout``, ``rig``, ``moved`` as :func:`haulwright.planning.seen.record_seen` takes them.

    Raises
    ------
    Refusal
        CHANGED; as :func:`haulwright.planning.seen.record_seen`.
    """
    pull = whole_pull(where, read_document(where, "pull", name).content or {})
    seen = record_seen(pull, by=by, note=note, when=_now(), **readings)
    entry = entry_of(seen, read_pull(pull, rig=readings.get("rig")))
    file, entries = "", 0

    def change(folder: Path, own: str) -> None:
        nonlocal file, entries
        path = beside(folder / own)
        file, entries = path.name, add_seen(path, seen.pull, entry)

    change_document(where, "pull", name, terms_of("seen on the pull", by, note, version), change)
    return PullSeen(**{**vars(seen), "file": file, "entries": entries})


def compare_pull(
    where: Where, pull: Mapping[str, Any], *, by: str = "", note: str = "", **readings: Any
) -> PullSeen:
    """Return what was seen on a pull that is in no book against what was foretold; nothing is kept."""
    return record_seen(whole_pull(where, pull), by=by, note=note, when=_now(), **readings)


def _now() -> str:
    return datetime.now().astimezone().isoformat(timespec="seconds")
