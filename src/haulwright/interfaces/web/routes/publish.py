"""What there is to print or hand on, over HTTP: cards and drawings of a pull, papers and data of a campaign."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Query, Request
from starlette.responses import Response

from haulwright.interfaces.web.answers import answer
from haulwright.interfaces.web.desk import Desk, file, record
from haulwright.interfaces.web.http import StrictRoute, response
from haulwright.interfaces.web.questions import publish as b
from haulwright.interfaces.web.work.paper_list import paper_list
from haulwright.interfaces.web.work.written import PDF, PNG, SVG, XLSX, ZIP

REPORT = "text/html"


class Print(Response):
    """A page to print."""

    media_type = PDF


class Picture(Response):
    """A drawing."""

    media_type = SVG


class Sheet(Response):
    """A page."""

    media_type = REPORT


class Workbook(Response):
    """A workbook."""

    media_type = XLSX


class OpenData(Response):
    """An archive."""

    media_type = ZIP


def files(words: str, *media: str, more: tuple[int, ...] = (), long: bool = False) -> dict[int | str, Any]:
    """Return how a route is described that answers with a file of one of several types."""
    found: dict[int | str, Any] = file(media[0], words, *more, long=long)
    for one in media:
        schema = {"type": "string", **({} if one in (SVG, REPORT) else {"format": "binary"})}
        found[200]["content"][one] = {"schema": schema}
    return found


def routes(desk: Desk) -> APIRouter:
    """Return the routes."""
    here = APIRouter(prefix="/api/publish", tags=["print"], route_class=StrictRoute)

    @here.get(
        "",
        summary="What can be printed, of which thing, on which paper, in which format",
        responses=record("paper-list"),
    )
    async def papers() -> Response:
        return response(answer(paper_list()))

    @here.post(
        "/card",
        summary="The chosen rig of a pull on one page",
        responses=files("The card.", PDF, SVG, PNG, REPORT, more=(400,), long=True),
        response_class=Print,
    )
    async def card(request: Request, asked: b.Card) -> Response:
        return await desk.ask(request, "publish_card", asked.given())

    @here.post(
        "/pull",
        summary="A planned pull on the ground, or along its travel, as a drawing",
        responses=files("The drawing.", SVG, PNG, more=(400,)),
        response_class=Picture,
    )
    async def pull(request: Request, asked: b.PullSheet) -> Response:
        return await desk.ask(request, "publish_pull", asked.given())

    async def of_campaign(request: Request, name: str, verb: str, given: dict[str, Any]) -> Response:
        folder, own = desk.campaign(name)
        return await desk.ask(request, verb, {"campaign": own, **given}, folder=folder)

    @here.get(
        "/campaigns/{name}/chart",
        summary="The trace of a run, or the comparison of a campaign's configurations",
        responses=files("The chart.", SVG, PNG, more=(404,), long=True),
        response_class=Picture,
    )
    async def chart(request: Request, name: str, asked: Annotated[b.Chart, Query()]) -> Response:
        return await of_campaign(request, name, "publish_chart", asked.given())

    @here.get(
        "/campaigns/{name}/run-sheet",
        summary="The run sheet to print and to write on, as one self-contained page",
        responses=files("The run sheet.", REPORT, more=(404,)),
        response_class=Sheet,
    )
    async def run_sheet(request: Request, name: str) -> Response:
        return await of_campaign(request, name, "publish_run_sheet", {})

    @here.get(
        "/campaigns/{name}/workbook",
        summary="Every reading, results as formulas, charts, for a spreadsheet program",
        responses=files("The workbook.", XLSX, more=(404,), long=True),
        response_class=Workbook,
    )
    async def workbook(request: Request, name: str, asked: Annotated[b.Workbook, Query()]) -> Response:
        return await of_campaign(request, name, "publish_workbook", asked.given())

    @here.get(
        "/campaigns/{name}/bundle",
        summary="Open data: logs byte for byte, results, data dictionary, licence",
        responses=files("The open data as one file.", ZIP, more=(404,), long=True),
        response_class=OpenData,
    )
    async def bundle(request: Request, name: str, asked: Annotated[b.OpenData, Query()]) -> Response:
        return await of_campaign(request, name, "publish_bundle", asked.given())

    return here
