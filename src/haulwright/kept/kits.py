"""Pieces of a kit of a book: photographs of the marking, quarantine, inspections."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any, ClassVar

from haulwright.book.document_result import DocumentKept
from haulwright.book.terms import Terms, quarantine_of
from haulwright.errors import BookRefusal, FileRefusal
from haulwright.files.faults import nearest
from haulwright.files.photos import MOST_OF_ONE, check_photo, media_of, photo_path
from haulwright.files.rewriting import rewritten
from haulwright.files.yamlfile import parse_yaml
from haulwright.kept.documents import change_document, file_bytes, invented, read_document
from haulwright.kept.where import Where
from haulwright.records import Made, Record

KIT = "kit"


@dataclass(frozen=True)
class Photo:
    """One photograph: its number at the piece from 1, its path from the kit, hash, bytes, media type."""

    n: int
    path: str
    sha256: str
    size: int
    media: str


@dataclass(frozen=True, kw_only=True)
class PhotoList(Record):
    """The photographs of one piece's marking."""

    kind: ClassVar[str] = "photos"
    kit: str
    item: str
    version: int
    photos: tuple[Photo, ...]


def photos_of(where: Where, kit: str, piece: str) -> PhotoList:
    """Return the photographs of a piece of a kit, or of a winch's plate.

    Raises
    ------
    BookRefusal
        UNKNOWN_DOCUMENT, UNKNOWN_ITEM.
    """
    found = read_document(where, KIT, kit)
    files = {one.path: one for one in found.files}
    media = {"jpg": "image/jpeg", "png": "image/png", "webp": "image/webp"}
    paths = _piece(dict(found.content or {}), kit, piece).get("photos", [])
    return PhotoList(
        kit=kit,
        item=piece,
        version=found.version,
        photos=tuple(
            Photo(
                n, path, files[path].sha256, files[path].size, media.get(path.rpartition(".")[2].lower(), "")
            )
            for n, path in enumerate(paths, 1)
            if path in files
        ),
        notices=invented(where),
        made=Made("read from the book", {"item": piece}),
    )


def photo(where: Where, kit: str, piece: str, number: int) -> tuple[bytes, str]:
    """Return one photograph with its media type.

    Raises
    ------
    BookRefusal
        UNKNOWN_PHOTO: the piece has none of that number.
    """
    one = next((one for one in photos_of(where, kit, piece).photos if one.n == number), None)
    if one is None:
        raise _no_photo(piece, number)
    content = file_bytes(where, KIT, kit, one.path)
    return content, media_of(content) or "application/octet-stream"


def _no_photo(piece: str, number: int) -> BookRefusal:
    return BookRefusal("UNKNOWN_PHOTO", f"{piece!r} has no photograph {number}.", (piece, str(number)))


def add_photo(
    where: Where, kit: str, piece: str, given: Path, *, number: int | None = None, by: str = ""
) -> DocumentKept:
    """Attach a photograph to a piece, or put it in the place of one it has; the earlier version keeps that.

    Raises
    ------
    Refusal
        PHOTO, TOO_LARGE; TOO_MANY_PHOTOS; UNKNOWN_ITEM, UNKNOWN_PHOTO.
    """
    content = given.read_bytes()
    check_photo(content, "the photograph")

    def change(folder: Path, own: str, one: dict[str, Any]) -> None:
        paths = list(one.get("photos", ()))
        path = photo_path(own, piece, content)
        if number is None and path not in paths:
            paths.append(path)
        elif number is not None:
            if not 1 <= number <= len(paths):
                raise _no_photo(piece, number)
            paths[number - 1] = path
        if len(paths) > MOST_OF_ONE:
            text = f"{piece!r} has {MOST_OF_ONE} photographs already: replace one of them."
            raise FileRefusal("TOO_MANY_PHOTOS", text, (piece,))
        one["photos"] = list(dict.fromkeys(paths))
        (folder / path).parent.mkdir(exist_ok=True)
        (folder / path).write_bytes(content)

    return _change(where, kit, piece, Terms(f"photograph of {piece}", by, sure=True), change)


def drop_photo(
    where: Where, kit: str, piece: str, number: int, *, by: str = "", path: str | None = None
) -> DocumentKept:
    """Take a photograph off a piece; the earlier version keeps it.

    With ``path`` it is the photograph of that path, whichever its number is by now; one that is gone already stays
    gone, so that a lost answer can be asked for again.

    Raises
    ------
    BookRefusal
        UNKNOWN_ITEM, UNKNOWN_PHOTO.
    """

    def change(folder: Path, own: str, one: dict[str, Any]) -> None:
        paths = list(one.get("photos", ()))
        if path is not None:
            one["photos"] = [each for each in paths if each != path]
            return
        if not 1 <= number <= len(paths):
            raise _no_photo(piece, number)
        del paths[number - 1]
        one["photos"] = paths

    return _change(where, kit, piece, Terms(f"photograph of {piece}", by, sure=True), change)


def set_quarantine(where: Where, kit: str, piece: str, *, on: bool, by: str, why: str) -> DocumentKept:
    """Put a piece out of every plan, or release it, with who and why."""

    def change(folder: Path, own: str, one: dict[str, Any]) -> None:
        one.pop("quarantined", None)
        if on:
            one["quarantined"] = True

    what = quarantine_of(piece) if on else f"release of {piece} from quarantine"
    return _change(where, kit, piece, Terms(what, by, why, sure=True, again=True), change, winches=False)


def note_inspection(
    where: Where,
    kit: str,
    piece: str,
    *,
    day: str,
    by: str,
    next_day: str | None = None,
    note: str = "",
    condition: str | None = None,
) -> DocumentKept:
    """Note that a piece was inspected on a day, by whom, and when it is to be looked at again.

    Raises
    ------
    FileRefusal
        VALUE: a day in the future, or a next one before it; what the reader of the kit refuses.
    """
    if day > (today := dt.date.today().isoformat()):
        text = f"day = {day}: that is after today ({today}). Which day was it inspected?"
        raise FileRefusal("VALUE", text, ("day",))

    def change(folder: Path, own: str, one: dict[str, Any]) -> None:
        one["inspected"] = day
        one.pop("due", None)
        if next_day is not None:
            one["due"] = next_day
        if condition is not None:
            one["condition"] = condition

    terms = Terms(f"inspection of {piece}", by, note, sure=True, again=True)
    return _change(where, kit, piece, terms, change, winches=False)


def _change(
    where: Where,
    kit: str,
    piece: str,
    terms: Terms,
    change: Callable[[Path, str, dict[str, Any]], None],
    *,
    winches: bool = True,
) -> DocumentKept:
    """Keep a kit with one piece changed."""

    def whole(folder: Path, own: str) -> None:
        path = folder / own
        before = path.read_text(encoding="utf-8-sig")
        content = parse_yaml(before, own)
        change(folder, own, _piece(content, kit, piece, winches=winches))
        path.write_text(rewritten(before, content), encoding="utf-8")

    return change_document(where, KIT, kit, terms, whole)


def _piece(content: dict[str, Any], kit: str, piece: str, *, winches: bool = True) -> dict[str, Any]:
    pieces = [one for one in content.get("items") or () if isinstance(one, dict)]
    pieces += [one for one in (content.get("winches") or () if winches else ()) if isinstance(one, dict)]
    for one in pieces:
        if str(one.get("id")) == piece:
            return one
    ids = [str(one.get("id")) for one in pieces]
    raise BookRefusal("UNKNOWN_ITEM", f"kit {kit!r} has no piece {piece!r}: {nearest(piece, ids)}", (piece,))
