"""One run over HTTP: as its page shows it, and its traces; of a campaign, or of logs that were sent."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi import Path as InPath
from starlette.concurrency import run_in_threadpool
from starlette.responses import Response

from haulwright.interfaces.web.answers import answer
from haulwright.interfaces.web.desk import Desk, form, record
from haulwright.interfaces.web.http import StrictRoute, response
from haulwright.interfaces.web.questions import trial as b
from haulwright.interfaces.web.questions.run import Points, Seconds, Traces, Try
from haulwright.interfaces.web.tray import KEEP, Tray
from haulwright.interfaces.web.uploads import MOST_LOGS, logs_of

RUN = "One run as its page shows it: result, reasons, what it rests on"
TRACES = "Both forces over time within a span, at the level of detail asked for"
Key = Annotated[str, InPath(description="As the answer that kept them named it.", pattern="^[0-9a-f]{64}$")]


def campaign_routes(desk: Desk) -> APIRouter:
    """Return the routes of a run of a campaign."""
    here = APIRouter(prefix="/api/campaigns/{name}/runs/{run}", tags=["campaign"], route_class=StrictRoute)

    @here.get("", summary=RUN, responses=record("run-view", 404, long=True))
    async def show(request: Request, name: str, run: str) -> Response:
        folder, own = desk.campaign(name)
        return await desk.ask(request, "run_show", {"campaign": own, "run": run}, folder=folder)

    @here.post(
        "/try",
        summary="What it would give with other steady stretches; nothing is kept",
        responses=record("trial-result", 400, 404),
    )
    async def try_it(request: Request, name: str, run: str, asked: Try) -> Response:
        folder, own = desk.campaign(name)
        given = {"campaign": own, "run": run, **asked.given()}
        return await desk.ask(request, "run_try", given, folder=folder)

    @here.get("/traces", summary=TRACES, responses=record("traces", 404, long=True))
    async def trace(
        request: Request,
        name: str,
        run: str,
        from_s: Annotated[Seconds | None, Query()] = None,
        to_s: Annotated[Seconds | None, Query()] = None,
        points: Annotated[Points, Query()] = 3000,
        logged: Annotated[bool, Query(description="Whether the traces as logged are wanted too.")] = False,
    ) -> Response:
        folder, own = desk.campaign(name)
        given = {
            "campaign": own,
            "run": run,
            "from_s": from_s,
            "to_s": to_s,
            "points": points,
            "logged": logged,
        }
        return await desk.ask(request, "run_trace", given, folder=folder)

    return here


def log_routes(desk: Desk, tray: Tray) -> APIRouter:
    """Return the routes of logs that are sent once and asked about again and again."""
    here = APIRouter(prefix="/api/trial/logs", tags=["trial"], route_class=StrictRoute)
    sent_as = form(None, "log", "One joint log, or line log and anchor log.", MOST_LOGS)

    @here.post(
        "",
        summary="Keep the logs of a run until the server ends, to ask about them again and again",
        responses=record("kept-logs", 400),
        openapi_extra={"requestBody": {"required": True, "content": sent_as}},
    )
    async def keep(request: Request) -> Response:
        async with logs_of(request, b.Nothing, desk.settings) as sent:
            kept = await run_in_threadpool(tray.keep, Path(sent.folder), sent.names)
            return response(answer(kept))

    @here.get("/{key}", summary="Whether logs are still kept", responses=record("kept-logs", 404))
    async def find(key: Key) -> Response:
        return response(answer(tray.find(key)))

    async def ask(request: Request, key: str, verb: str, asked: b.LogFormat, **more: str) -> Response:
        folder = tray.place(key)
        given = {"logs": [one.name for one in tray.find(key).logs], **asked.given(), **more}
        return await desk.ask(request, verb, given, folder=folder)

    @here.post(
        "/{key}/read",
        summary="What was understood of kept logs",
        responses=record("log", 400, 404, long=True),
    )
    async def read(request: Request, key: Key, asked: b.LogFormat) -> Response:
        return await ask(request, key, "trial_read", asked)

    @here.post("/{key}/run", summary=RUN, responses=record("run-view", 400, 404, long=True))
    async def show(request: Request, key: Key, asked: b.Measure) -> Response:
        return await ask(request, key, "trial_show", asked, keep=KEEP)

    @here.post("/{key}/traces", summary=TRACES, responses=record("traces", 400, 404, long=True))
    async def trace(request: Request, key: Key, asked: Traces) -> Response:
        return await ask(request, key, "trial_trace", asked, keep=KEEP)

    return here
