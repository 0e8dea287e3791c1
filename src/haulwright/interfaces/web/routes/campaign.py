"""Campaigns over HTTP: those the server was started with, by name, and those that are uploaded."""

from __future__ import annotations

from fastapi import APIRouter, Request
from starlette.responses import Response

from haulwright.interfaces.web.desk import Desk, file, form, record
from haulwright.interfaces.web.http import StrictRoute
from haulwright.interfaces.web.questions import trial as b
from haulwright.interfaces.web.questions.body import Body
from haulwright.interfaces.web.uploads import campaign_of

HTML = "text/html"
CHECK = "Pass or redo for every run, with the reason"
OVERVIEW = "What the runs logged so far found and what it rests on, in sentences, figures and tables"
MEASURE = "Every run measured, repeats combined, devices fitted and compared"
PREDICT = "A rig that was not pulled, from the friction measured"
DESIGN = "A run sheet in random mirrored blocks, and what it will tell"
REPORT = "The test report as one self-contained page"


class Page(Response):
    """A page."""

    media_type = HTML


def known_routes(desk: Desk) -> APIRouter:
    """Return the routes of the campaigns the server was started with."""
    here = APIRouter(prefix="/api/campaigns", tags=["campaign"], route_class=StrictRoute)

    @here.get(
        "", summary="The campaigns there are, and where each comes from", responses=record("campaign-list")
    )
    async def list_campaigns(request: Request) -> Response:
        return await desk.ask(request, "campaign_names", {"folders": [*desk.settings.campaigns]}, quick=True)

    async def ask(request: Request, name: str, verb: str, asked: Body | None = None) -> Response:
        folder, own = desk.campaign(name)
        given = {"campaign": own, **(asked.given() if asked is not None else {})}
        return await desk.ask(request, verb, given, folder=folder)

    @here.get("/{name}/check", summary=CHECK, responses=record("campaign-check", 404, long=True))
    async def check(request: Request, name: str) -> Response:
        return await ask(request, name, "campaign_check")

    @here.get("/{name}/measure", summary=MEASURE, responses=record("campaign-result", 404, long=True))
    async def measure(request: Request, name: str) -> Response:
        return await ask(request, name, "campaign_measure")

    @here.get("/{name}/overview", summary=OVERVIEW, responses=record("campaign-overview", 404, long=True))
    async def overview(request: Request, name: str) -> Response:
        return await ask(request, name, "campaign_overview")

    @here.get(
        "/{name}/report",
        summary=REPORT,
        responses=file(HTML, "The report.", 404, long=True),
        response_class=Page,
    )
    async def report(request: Request, name: str) -> Response:
        return await ask(request, name, "campaign_report")

    @here.post("/{name}/predict", summary=PREDICT, responses=record("prediction", 400, 404, long=True))
    async def predict(request: Request, name: str, asked: b.Predict) -> Response:
        return await ask(request, name, "campaign_predict", asked)

    @here.post("/{name}/design", summary=DESIGN, responses=record("campaign-design", 400, 404, long=True))
    async def design(request: Request, name: str, asked: b.Design) -> Response:
        return await ask(request, name, "campaign_design", asked)

    return here


def uploaded_routes(desk: Desk) -> APIRouter:
    """Return the routes of a campaign that is uploaded with the question."""
    here = APIRouter(prefix="/api/campaign", tags=["uploaded campaign"], route_class=StrictRoute)
    files = (
        "Each file of the campaign's folder, named by its path from it: campaign.yaml, runs.csv, logs/a.csv."
    )

    def described(model: str) -> dict[str, object]:
        return {
            "requestBody": {"required": True, "content": form(model, "file", files, desk.settings.most_files)}
        }

    async def ask(request: Request, verb: str, model: type[Body]) -> Response:
        async with campaign_of(request, model, desk.settings) as sent:
            given = {"campaign": sent.names[0], **sent.asked.given()}
            return await desk.ask(request, verb, given, folder=sent.folder, held=sent.held)

    @here.post(
        "/check",
        summary=CHECK,
        responses=record("campaign-check", 400, long=True),
        openapi_extra=described("Nothing"),
    )
    async def check(request: Request) -> Response:
        return await ask(request, "campaign_check", b.Nothing)

    @here.post(
        "/measure",
        summary=MEASURE,
        responses=record("campaign-result", 400, long=True),
        openapi_extra=described("Nothing"),
    )
    async def measure(request: Request) -> Response:
        return await ask(request, "campaign_measure", b.Nothing)

    @here.post(
        "/report",
        summary=REPORT,
        responses=file(HTML, "The report.", 400, long=True),
        openapi_extra=described("Report"),
        response_class=Page,
    )
    async def report(request: Request) -> Response:
        return await ask(request, "campaign_report", b.Report)

    @here.post(
        "/predict",
        summary=PREDICT,
        responses=record("prediction", 400, long=True),
        openapi_extra=described("Predict"),
    )
    async def predict(request: Request) -> Response:
        return await ask(request, "campaign_predict", b.Predict)

    @here.post(
        "/design",
        summary=DESIGN,
        responses=record("campaign-design", 400, long=True),
        openapi_extra=described("Design"),
    )
    async def design(request: Request) -> Response:
        return await ask(request, "campaign_design", b.Design)

    return here
