"""Rigs over HTTP: solve, draw, list, find."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Query, Request
from starlette.responses import Response

from haulwright.interfaces.web import bodies_rig as b
from haulwright.interfaces.web.desk import Desk, file, record
from haulwright.interfaces.web.http import StrictRoute

SVG = "image/svg+xml"


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
        "/rig/find",
        summary="Tackles that reach an advantage with the gear there is",
        responses=record("tackle-list"),
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
        "/rig/solve", summary="The same for any rig, with every choice", responses=record("rig-solution", 400)
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

    return here
