"""Pulls, kit and published values over HTTP; all a question needs is in its body."""

from __future__ import annotations

from fastapi import APIRouter, Request
from starlette.responses import Response

from haulwright.interfaces.web.desk import Desk, record
from haulwright.interfaces.web.http import StrictRoute
from haulwright.interfaces.web.questions import pull as b


def routes(desk: Desk) -> APIRouter:
    """Return the routes."""
    here = APIRouter(prefix="/api", tags=["pull"], route_class=StrictRoute)

    @here.post(
        "/resistance",
        summary="A stuck vehicle's resistance by several rules",
        responses=record("resistance", 400),
    )
    async def resistance(request: Request, asked: b.Stuck) -> Response:
        return await desk.ask(request, "resistance", asked.given(), quick=True)

    @here.post(
        "/kit/check",
        summary="Every piece against winch stall in each use it could have",
        responses=record("kit", 400, long=True),
    )
    async def kit_check(request: Request, asked: b.KitAsked) -> Response:
        return await desk.ask(request, "kit_check", asked.given())

    @here.get(
        "/kit/kinds",
        summary="Every kind of piece: its mark, what the mark usually means, when it is out of use",
        responses=record("kit-kinds"),
    )
    async def kit_kinds(request: Request) -> Response:
        return await desk.ask(request, "kit_kinds", {}, quick=True)

    @here.post(
        "/plan/make", summary="Ranked rigs with every margin", responses=record("plan", 400, long=True)
    )
    async def plan_make(request: Request, asked: b.Plan) -> Response:
        return await desk.ask(request, "plan_make", asked.given())

    @here.get("/plan/kinds", summary="Every word a pull can be told in", responses=record("pull-kinds"))
    async def plan_kinds(request: Request) -> Response:
        return await desk.ask(request, "plan_kinds", {}, quick=True)

    @here.post(
        "/plan/sheet",
        summary="Ranked rigs with the drawings of the chosen one, to stand in a page, and its travel",
        responses=record("plan-sheet", 400, long=True),
    )
    async def plan_sheet(request: Request, asked: b.Sheet) -> Response:
        return await desk.ask(request, "plan_sheet", asked.given())

    @here.post(
        "/plan/pull", summary="One rig along its travel", responses=record("pull-steps", 400, long=True)
    )
    async def plan_pull(request: Request, asked: b.Steps) -> Response:
        return await desk.ask(request, "plan_pull", asked.given())

    @here.post(
        "/plan/check",
        summary="Whether the rig is as drawn, by two readings under light tension",
        responses=record("readings-check", 400, long=True),
    )
    async def plan_check(request: Request, asked: b.LightTension) -> Response:
        return await desk.ask(request, "plan_check", asked.given())

    @here.get(
        "/check",
        summary="Published values against what this copy computes",
        responses=record("published-check", long=True),
    )
    async def published_check(request: Request) -> Response:
        return await desk.ask(request, "published_check", {})

    return here
