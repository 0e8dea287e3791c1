"""The book over HTTP: what it holds, its documents, files brought in and written out."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Query, Request
from starlette.responses import Response

from haulwright.interfaces.web.desk import Desk, file, form, record
from haulwright.interfaces.web.http import StrictRoute
from haulwright.interfaces.web.questions import book as b
from haulwright.interfaces.web.questions.body import Name
from haulwright.interfaces.web.uploads import body_of, campaign_of

BYTES, ZIP, COPY = "application/octet-stream", "application/zip", "application/vnd.sqlite3"
DEEPEST = 8
RAW = {
    "requestBody": {
        "required": True,
        "content": {BYTES: {"schema": {"type": "string", "format": "binary"}}},
    }
}
DOCUMENT = "/documents/{kind}/{name}"


class Bytes(Response):
    """Bytes as they came in."""

    media_type = BYTES


def routes(desk: Desk) -> APIRouter:
    """Return the routes."""
    here = APIRouter(prefix="/api/book", tags=["book"], route_class=StrictRoute)
    _add_documents(here, desk)
    _add_files(here, desk)

    @here.get("", summary="What the book holds, what is due, what is in quarantine", responses=record("book"))
    async def show(
        request: Request,
        verify: Annotated[bool, Query(description="Read every file back and compare its hash.")] = False,
        day: Annotated[
            b.Day | None, Query(description="What the due dates are held against; today unless given.")
        ] = None,
    ) -> Response:
        return await desk.ask(request, "book_show", {"verify": verify, "day": day}, quick=not verify)

    @here.post(
        "/import",
        summary="Keep a campaign folder, kits, pulls, rigs, devices files, a written-out book, or an archive of these",
        responses=record("book-import", 400, long=True),
        openapi_extra={"requestBody": {"required": True, "content": _brought(desk.settings.most_files)}},
    )
    async def bring_in(request: Request) -> Response:
        async with campaign_of(request, b.Brought, desk.settings, DEEPEST) as sent:
            return await desk.ask(
                request, "book_import", sent.asked.given(), folder=sent.folder, held=sent.held
            )

    @here.get(
        "/export",
        summary="One document, or the whole book with every version and an index, as one archive",
        responses=file(ZIP, "The archive.", 404, long=True),
        response_class=Bytes,
    )
    async def write_out(
        request: Request,
        kind: Annotated[b.Kind | None, Query()] = None,
        name: Annotated[Name | None, Query()] = None,
        version: b.InVersion = None,
    ) -> Response:
        given = {"kind": kind, "name": name, "version": version}
        return await desk.ask(request, "book_export", given)

    @here.get(
        "/backup",
        summary="A copy of a book that is a file, made while it is in use",
        responses=file(COPY, "The copy.", long=True),
        response_class=Bytes,
    )
    async def backup(request: Request) -> Response:
        return await desk.ask(request, "book_backup", {})

    return here


def _brought(most: int) -> dict[str, Any]:
    words = "Each file named by its path: campaign.yaml, logs/a.csv; or one file; or one .zip."
    return form("Brought", "file", words, most)


def _add_documents(here: APIRouter, desk: Desk) -> None:
    @here.get("/documents", summary="The documents of the book", responses=record("documents"))
    async def list_documents(request: Request, kind: Annotated[b.Kind | None, Query()] = None) -> Response:
        return await desk.ask(request, "book_documents", {"kind": kind}, quick=True)

    @here.get(DOCUMENT, summary="One document with its versions", responses=record("document", 404))
    async def read(request: Request, kind: b.InKind, name: str, version: b.InVersion = None) -> Response:
        given = {"kind": kind, "name": name, "version": version}
        return await desk.ask(request, "book_document", given, quick=True)

    @here.put(
        DOCUMENT,
        summary="Keep what a kit, a pull, a rig or campaign.yaml says now, as a new version",
        responses=record("document", 400, 404, 409),
    )
    async def put(request: Request, kind: b.InKind, name: str, asked: b.Put) -> Response:
        given = {"kind": kind, "name": name, **asked.given()}
        return await desk.ask(request, "book_put", given, quick=True)


def _add_files(here: APIRouter, desk: Desk) -> None:
    address = f"{DOCUMENT}/file"

    @here.get(
        address,
        summary="One file of a document, byte for byte",
        responses=file(BYTES, "The file.", 404),
        response_class=Bytes,
    )
    async def read_file(
        request: Request, kind: b.InKind, name: str, path: b.FilePath, version: b.InVersion = None
    ) -> Response:
        given = {"kind": kind, "name": name, "path": path, "version": version}
        return await desk.ask(request, "book_file", given, quick=True)

    @here.put(
        address,
        summary="Add one file to a campaign, or put it in the place of an earlier one, as a new version",
        responses=record("document", 404, 409),
        openapi_extra=RAW,
    )
    async def put_file(
        request: Request,
        kind: b.InKind,
        name: str,
        path: b.FilePath,
        by: b.ByInAddress = "",
        why: Annotated[str, Query(max_length=2000)] = "",
        version: b.InVersion = None,
    ) -> Response:
        async with body_of(request) as (folder, sent):
            given: dict[str, Any] = {"kind": kind, "name": name, "path": path, "sent": sent}
            given |= {"by": by, "why": why, "version": version}
            return await desk.ask(request, "book_put_file", given, folder=folder)
