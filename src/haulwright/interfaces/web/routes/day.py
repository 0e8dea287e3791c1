"""A campaign of the book on its day, over HTTP: each answers with every run checked as things stand then."""

from __future__ import annotations

from fastapi import APIRouter, Request
from starlette.responses import Response

from haulwright.errors import UsageRefusal
from haulwright.interfaces.web.desk import Desk, form, record
from haulwright.interfaces.web.http import StrictRoute
from haulwright.interfaces.web.questions import day as b
from haulwright.interfaces.web.questions.body import Body
from haulwright.interfaces.web.uploads import logs_of

SHEET = "Keep a run sheet in random mirrored blocks as the campaign's own"
NOTE = "Keep what was noted of a run"
ATTACH = "Attach a log to a run of the sheet; it is kept byte for byte, and the run is checked at once"
AGAIN = (
    "Have a run pulled again: it stays on the sheet and is left out with the reason, its like stands below it"
)
USE = "Keep the friction of the campaign's devices in the book, for pulls to choose"
LOG = "One log: of the line, of the anchor, or of both."


def day_routes(desk: Desk) -> APIRouter:
    """Return the routes that change a campaign of the book on its day."""
    here = APIRouter(prefix="/api/campaigns/{name}", tags=["campaign"], route_class=StrictRoute)
    checked = record("campaign-check", 400, 404, 409, long=True)

    async def ask(request: Request, name: str, verb: str, asked: Body) -> Response:
        desk.may_change(name)
        return await desk.ask(request, verb, {"name": name, **asked.given()})

    @here.post("/sheet", summary=SHEET, responses=checked)
    async def sheet(request: Request, name: str, asked: b.Sheet) -> Response:
        return await ask(request, name, "campaign_sheet", asked)

    @here.post("/note", summary=NOTE, responses=checked)
    async def note(request: Request, name: str, asked: b.Note) -> Response:
        return await ask(request, name, "campaign_note", asked)

    @here.post("/again", summary=AGAIN, responses=checked)
    async def again(request: Request, name: str, asked: b.Again) -> Response:
        return await ask(request, name, "campaign_again", asked)

    @here.post("/devices", summary=USE, responses=record("document", 400, 404, 409, long=True))
    async def use(request: Request, name: str, asked: b.Use) -> Response:
        return await ask(request, name, "campaign_use", asked)

    @here.post(
        "/attach",
        summary=ATTACH,
        responses=checked,
        openapi_extra={"requestBody": {"required": True, "content": form("Attach", "log", LOG, 1)}},
    )
    async def attach(request: Request, name: str) -> Response:
        desk.may_change(name)
        async with logs_of(request, b.Attach, desk.settings) as sent:
            if len(sent.names) > 1:
                raise UsageRefusal("BODY", "Send one log at a time, with the cell it is of.", sent.names)
            given = {"name": name, "sent": sent.names[0], **sent.asked.given()}
            return await desk.ask(request, "campaign_attach", given, folder=sent.folder, held=sent.held)

    return here
