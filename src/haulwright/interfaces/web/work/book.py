"""The work behind the routes of a book."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from haulwright.interfaces.web.answers import Answer, answer
from haulwright.interfaces.web.work.campaign_list import campaign_list
from haulwright.interfaces.web.work.written import day_of, results
from haulwright.kept import bringing, campaigns, documents, kits, pulls
from haulwright.kept.where import DEMO, Where
from haulwright.progress import Progress, silent

BYTES, ZIP, COPY = "application/octet-stream", "application/zip", "application/vnd.sqlite3"
SEALED = "default-src 'none'; sandbox"


def _sealed(content: bytes, media: str, name: str) -> Answer:
    """Return bytes of the user's that nothing may run or guess at."""
    plain = "".join(sign if sign.isascii() and (sign.isalnum() or sign in "._-") else "_" for sign in name)
    headers = {"Content-Disposition": f'attachment; filename="{plain}"', "Content-Security-Policy": SEALED}
    return Answer(200, media, content, headers)


def book_show(where: Where, verify: bool = False, day: str | None = None) -> Answer:
    """Return what the book holds."""
    return answer(bringing.book_state(where, verify=verify, day=None if day is None else day_of(day)))


def book_documents(where: Where, kind: str | None = None) -> Answer:
    """Return the documents of the book."""
    return answer(documents.list_documents(where, kind))


def book_document(where: Where, kind: str, name: str, version: int | None = None) -> Answer:
    """Return one document."""
    return answer(documents.read_document(where, kind, name, version))


def book_put(where: Where, kind: str, name: str, content: Mapping[str, Any], **choices: Any) -> Answer:
    """Keep what a document says now."""
    return answer(documents.put_document(where, kind, name, content, **choices))


def book_file(where: Where, kind: str, name: str, path: str, version: int | None = None) -> Answer:
    """Return one file of a document."""
    return _sealed(documents.file_bytes(where, kind, name, path, version), BYTES, Path(path).name)


def book_put_file(where: Where, kind: str, name: str, path: str, sent: str, **choices: Any) -> Answer:
    """Keep one file of a campaign."""
    return answer(documents.put_file(where, kind, name, path, Path(sent), **choices))


def book_import(
    where: Where, by: str = "", name: str | None = None, *, progress: Progress = silent
) -> Answer:
    """Keep what was sent; it lies in the present folder."""
    return answer(bringing.bring_in(where, Path.cwd(), by=by, name=name, progress=progress))


def book_export(where: Where, *, progress: Progress = silent, **choices: Any) -> Answer:
    """Return a document, or the whole book, as one archive."""
    with results() as out:
        path = bringing.write_out(where, Path(out), progress=progress, **choices)
        return _sealed(path.read_bytes(), ZIP, path.name)


def book_backup(where: Where) -> Answer:
    """Return a copy of the book."""
    with results() as out:
        path = bringing.copy_of(where, Path(out))
        return _sealed(path.read_bytes(), COPY, path.name)


def kit_photos(where: Where, kit: str, item: str) -> Answer:
    """Return which photographs a piece has."""
    return answer(kits.photos_of(where, kit, item))


def kit_photo(where: Where, kit: str, item: str, n: int) -> Answer:
    """Return one photograph."""
    content, media = kits.photo(where, kit, item, n)
    return Answer(200, media, content, {"Content-Security-Policy": SEALED, "Content-Disposition": "inline"})


def kit_photo_put(where: Where, kit: str, item: str, sent: str, n: int | None = None, by: str = "") -> Answer:
    """Attach a photograph to a piece."""
    return answer(kits.add_photo(where, kit, item, Path(sent), number=n, by=by))


def kit_photo_drop(
    where: Where, kit: str, item: str, n: int, by: str = "", path: str | None = None
) -> Answer:
    """Take a photograph off a piece."""
    return answer(kits.drop_photo(where, kit, item, n, by=by, path=path))


def kit_quarantine(where: Where, kit: str, item: str, on: bool, by: str = "", why: str = "") -> Answer:
    """Put a piece out of every plan, or release it."""
    return answer(kits.set_quarantine(where, kit, item, on=on, by=by, why=why))


def kit_inspection(where: Where, kit: str, item: str, **told: Any) -> Answer:
    """Note an inspection."""
    told["next_day"] = told.pop("next", None)
    return answer(kits.note_inspection(where, kit, item, **told))


def campaign_names(where: Where, folders: list[str]) -> Answer:
    """Return every campaign that may be asked for: folders given at the start, and those of the book."""
    given = [] if where.which == DEMO else folders
    kept = [one for one in campaigns.list_campaigns(where) if one.name not in given]
    return answer(campaign_list(given, kept, documents.invented(where)))


def campaign_runs(campaign: str) -> Answer:
    """Return the run sheet of a campaign."""
    return answer(campaigns.run_sheet(campaign))


def campaign_runs_add(where: Where, name: str, rows: list[dict[str, str]], **choices: Any) -> Answer:
    """Keep rows of a run sheet."""
    return answer(campaigns.add_runs(where, name, rows, **choices))


def campaign_decide(
    where: Where,
    name: str,
    what: str,
    by: str,
    why: str,
    also: bool = False,
    withdraw: bool = False,
    version: int | None = None,
    **given: Any,
) -> Answer:
    """Keep a decision about a run."""
    told = given | {"who": by, "why": why}
    return answer(campaigns.decide(where, name, what, told, also=also, take_back=withdraw, version=version))


def plan_seen(where: Where, pull: str | Mapping[str, Any], **readings: Any) -> Answer:
    """Keep what was seen on a pull of the book; of any other, only say how it compares."""
    if isinstance(pull, str):
        return answer(pulls.see_pull(where, pull, **readings))
    readings.pop("version", None)
    return answer(pulls.compare_pull(where, pull, **readings))


BOOK: dict[str, Callable[..., Answer]] = {
    one.__name__: one
    for one in (
        book_show, book_documents, book_document, book_put, book_file, book_put_file, book_import, book_export,
        book_backup, kit_photos, kit_photo, kit_photo_put, kit_photo_drop, kit_quarantine, kit_inspection,
        campaign_names, campaign_runs, campaign_runs_add, campaign_decide, plan_seen,
    )
}  # fmt: skip
