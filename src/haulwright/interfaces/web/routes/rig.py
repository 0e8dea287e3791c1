"""Rigs over HTTP: solve, draw, list, find."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Query, Request
from starlette.responses import Response

from haulwright.interfaces.web.desk import Desk, file, record
from haulwright.interfaces.web.http import StrictRoute
from haulwright.interfaces.web.questions import rig as b

SVG, PNG = "image/svg+xml", "image/png"


class Picture(Response):
    """A picture."""

    media_type = PNG


class Drawing(Response):
    """A drawing."""

    media_type = SVG


def routes(desk: Desk) -> APIRouter:
    """Return the routes."""
    here = APIRouter(prefix="/api", tags=["rig"], route_class=StrictRoute)

    @here.get("/rigs", summary="Every named rig with its path from the drum", responses=record("rig-list"))
    async def list_rigs(request: Request) -> Response:
        return await desk.ask(request, "rig_list", {}, quick=True)

    @here.get(
        "/rig/sheaves",
        summary="Every published tension ratio a rig can take",
        responses=record("sheave-list"),
    )
    async def list_sheaves(request: Request) -> Response:
        return await desk.ask(request, "rig_sheaves", {}, quick=True)

    @here.get(
        "/rig/find",
        summary="Tackles that reach an advantage with the gear there is",
        responses=record("tackle-list", long=True),
    )
    async def find_tackles(request: Request, asked: Annotated[b.FindQuery, Query()]) -> Response:
        return await desk.ask(request, "rig_find", asked.given())

    @here.get(
        "/rig/solve",
        summary="Every tension, load, travel and heat of a rig",
        responses=record("rig-solution"),
    )
    async def solve_named(request: Request, asked: Annotated[b.SolveQuery, Query()]) -> Response:
        return await desk.ask(request, "rig_solve", asked.given(), quick=True)

    @here.post(
        "/rig/solve",
        summary="The same for any rig, with every choice",
        responses=record("rig-solution", 400, long=True),
    )
    async def solve_rig(request: Request, asked: b.Solve) -> Response:
        return await desk.ask(request, "rig_solve", asked.given(), quick=asked.monte_carlo is None)

    @here.get(
        "/rig/draw",
        summary="The rig on the ground and its line unrolled",
        responses=file(SVG, "The drawing."),
        response_class=Drawing,
    )
    async def draw_named(request: Request, asked: Annotated[b.DrawQuery, Query()]) -> Response:
        return await desk.ask(request, "rig_draw", asked.given(), quick=True)

    @here.post(
        "/rig/draw",
        summary="The same for any rig, with every choice",
        responses=file(SVG, "The drawing.", 400),
        response_class=Drawing,
    )
    async def draw_rig(request: Request, asked: b.Draw) -> Response:
        return await desk.ask(request, "rig_draw", asked.given(), quick=True)

    _add_page_routes(here, desk)
    return here


def _add_page_routes(here: APIRouter, desk: Desk) -> None:
    """Add what the page of rigs asks for."""

    @here.post(
        "/rig/picture",
        summary="The drawing of a rig as PNG",
        responses=file(PNG, "The picture.", 400),
        response_class=Picture,
    )
    async def picture_rig(request: Request, asked: b.Draw) -> Response:
        return await desk.ask(request, "rig_picture", asked.given(), quick=True)

    @here.post(
        "/rig/sheet",
        summary="A rig as a page shows it: solved, held against its limits, drawn",
        responses=record("rig-sheet", 400),
    )
    async def show_rig(request: Request, asked: b.Sheet) -> Response:
        return await desk.ask(request, "rig_sheet", asked.given(), quick=True)

    @here.post(
        "/rig/file",
        summary="A rig as a file and in one line; laid out on the ground if asked",
        responses=record("rig-file", 400),
    )
    async def file_rig(request: Request, asked: b.RigFile) -> Response:
        return await desk.ask(request, "rig_file", asked.given(), quick=True)
