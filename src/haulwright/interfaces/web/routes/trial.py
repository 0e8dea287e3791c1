"""Trials over HTTP: one run read or measured, from uploaded logs, readings or forces typed."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter, Request
from starlette.responses import Response

from haulwright.interfaces.web.desk import REF, Desk, form, record
from haulwright.interfaces.web.http import StrictRoute
from haulwright.interfaces.web.questions import trial as b
from haulwright.interfaces.web.strict_json import read_json
from haulwright.interfaces.web.uploads import MOST_LOGS, check_no_address, is_json, logs_of

LOG = {"schema": {"type": "string", "format": "binary"}}


def _described(model: str, *, as_json: str = "") -> dict[str, Any]:
    content = form(model, "log", "One joint log, or line log and anchor log.", MOST_LOGS)
    content |= {"text/csv": LOG, "application/octet-stream": LOG}
    if as_json:
        content["application/json"] = {"schema": {"$ref": REF.format(model=as_json)}}
    asked = {"application/json": {"schema": {"$ref": REF.format(model=model)}}}
    return {
        "requestBody": {"required": True, "content": content},
        "parameters": [
            {
                "name": "name",
                "in": "query",
                "description": "Name of a log sent as the raw body.",
                "schema": {"type": "string"},
            },
            {
                "name": "ask",
                "in": "query",
                "description": "What goes with a log sent as the raw body, as JSON.",
                "content": asked,
            },
        ],
    }


def routes(desk: Desk) -> APIRouter:
    """Return the routes."""
    here = APIRouter(prefix="/api/trial", tags=["trial"], route_class=StrictRoute)

    @here.post(
        "/read",
        summary="What was understood of a log",
        responses=record("log", 400, long=True),
        openapi_extra=_described("LogFormat"),
    )
    async def read_trial(request: Request) -> Response:
        async with logs_of(request, b.LogFormat, desk.settings) as sent:
            given = {"logs": list(sent.names), **sent.asked.given()}
            return await desk.ask(request, "trial_read", given, folder=sent.folder, held=sent.held)

    @here.post(
        "/measure",
        summary="The advantage a run really reached, and the friction of its device",
        responses=record("trial-result", 400, long=True),
        openapi_extra=_described("Measure", as_json="MeasureReadings"),
    )
    async def measure_trial(request: Request) -> Response:
        if is_json(request):
            check_no_address(request)
            asked = b.MeasureReadings.model_validate(read_json(await request.body()))
            return await desk.ask(request, "trial_measure", asked.given())
        async with logs_of(request, b.Measure, desk.settings) as sent:
            given = {"logs": list(sent.names), **sent.asked.given()}
            return await desk.ask(request, "trial_measure", given, folder=sent.folder, held=sent.held)

    return here
