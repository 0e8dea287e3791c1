"""Changes of what the book holds, over HTTP: pieces of a kit, runs and decisions of a campaign, what was seen on a pull."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Query, Request
from starlette.responses import Response

from haulwright.interfaces.web.desk import Desk, record
from haulwright.interfaces.web.http import StrictRoute
from haulwright.interfaces.web.questions import book as b
from haulwright.interfaces.web.questions.body import Body
from haulwright.interfaces.web.uploads import body_of

PICTURES = ("image/jpeg", "image/png", "image/webp")
PHOTO = {
    "requestBody": {
        "required": True,
        "content": {media: {"schema": {"type": "string", "format": "binary"}} for media in PICTURES},
    }
}
INERT: dict[int | str, dict[str, Any]] = {
    200: {
        "description": "The photograph.",
        "content": {media: {"schema": {"type": "string", "format": "binary"}} for media in PICTURES},
    }
}


def kit_routes(desk: Desk) -> APIRouter:
    """Return the routes of the pieces of a kit."""
    here = APIRouter(prefix="/api/book/kit/{kit}/items/{item}", tags=["book"], route_class=StrictRoute)

    @here.get(
        "/photos", summary="Which photographs of its marking a piece has", responses=record("photos", 404)
    )
    async def photos(request: Request, kit: str, item: str) -> Response:
        return await desk.ask(request, "kit_photos", {"kit": kit, "item": item}, quick=True)

    @here.put(
        "/photos",
        summary="Attach a photograph of the marking: JPEG, PNG or WebP, at most 8 MB",
        responses=record("document", 404),
        openapi_extra=PHOTO,
    )
    async def add_photo(
        request: Request, kit: str, item: str, by: Annotated[str, Query(max_length=200)] = ""
    ) -> Response:
        return await _sent(request, {"kit": kit, "item": item, "by": by})

    @here.get(
        "/photos/{n}",
        summary="One photograph, byte for byte",
        responses=INERT | {k: v for k, v in record("", 404).items() if k != 200},
    )
    async def photo(request: Request, kit: str, item: str, n: b.Number) -> Response:
        return await desk.ask(request, "kit_photo", {"kit": kit, "item": item, "n": n}, quick=True)

    @here.put(
        "/photos/{n}",
        summary="Put a photograph in the place of another, which the earlier version keeps",
        responses=record("document", 404),
        openapi_extra=PHOTO,
    )
    async def replace_photo(
        request: Request, kit: str, item: str, n: b.Number, by: Annotated[str, Query(max_length=200)] = ""
    ) -> Response:
        return await _sent(request, {"kit": kit, "item": item, "n": n, "by": by})

    @here.delete(
        "/photos/{n}",
        summary="Take a photograph off a piece; the earlier version keeps it",
        responses=record("document", 404),
    )
    async def drop_photo(
        request: Request,
        kit: str,
        item: str,
        n: b.Number,
        by: Annotated[str, Query(max_length=200)] = "",
        path: b.PhotoPath = None,
    ) -> Response:
        given = {"kit": kit, "item": item, "n": n, "by": by, "path": path}
        return await desk.ask(request, "kit_photo_drop", given, quick=True)

    async def _sent(request: Request, given: dict[str, Any]) -> Response:
        async with body_of(request) as (folder, sent):
            return await desk.ask(
                request, "kit_photo_put", {**given, "sent": sent}, folder=folder, quick=True
            )

    @here.post(
        "/quarantine",
        summary="Put a piece out of every plan, or release it",
        responses=record("document", 400, 404),
    )
    async def quarantine(request: Request, kit: str, item: str, asked: b.Quarantine) -> Response:
        return await desk.ask(
            request, "kit_quarantine", {"kit": kit, "item": item, **asked.given()}, quick=True
        )

    @here.post(
        "/inspection", summary="Note that a piece was inspected", responses=record("document", 400, 404)
    )
    async def inspection(request: Request, kit: str, item: str, asked: b.Inspected) -> Response:
        return await desk.ask(
            request, "kit_inspection", {"kit": kit, "item": item, **asked.given()}, quick=True
        )

    return here


def campaign_routes(desk: Desk) -> APIRouter:
    """Return the routes that change a campaign of the book, and that of what was seen on a pull."""
    here = APIRouter(prefix="/api", tags=["book"], route_class=StrictRoute)

    async def change(request: Request, name: str, verb: str, asked: Body) -> Response:
        desk.may_change(name)
        return await desk.ask(request, verb, {"name": name, **asked.given()}, quick=True)

    @here.get(
        "/campaigns/{name}/runs",
        summary="The run sheet as it stands, the logs that are there, what was decided by hand",
        responses=record("run-sheet", 404),
    )
    async def runs(request: Request, name: str) -> Response:
        folder, own = desk.campaign(name)
        return await desk.ask(request, "campaign_runs", {"campaign": own}, folder=folder, quick=True)

    @here.post(
        "/campaigns/{name}/runs",
        summary="Add rows to the run sheet of a campaign of the book, or change cells of some",
        responses=record("document", 400, 404, 409),
    )
    async def add_runs(request: Request, name: str, asked: b.Runs) -> Response:
        return await change(request, name, "campaign_runs_add", asked)

    @here.post(
        "/campaigns/{name}/decide",
        summary="Decide by hand about a run of a campaign of the book, with who and why",
        responses=record("document", 400, 404, 409),
    )
    async def decide(request: Request, name: str, asked: b.Decide) -> Response:
        return await change(request, name, "campaign_decide", asked)

    @here.post(
        "/plan/seen",
        summary="What the cells read on a pull against what was foretold; kept with a pull of the book",
        responses=record("pull-seen", 400, 404, 409, long=True),
    )
    async def seen(request: Request, asked: b.Seen) -> Response:
        return await desk.ask(request, "plan_seen", asked.given())

    return here
