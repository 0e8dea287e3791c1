"""The application: routes, the guard before them, the description of the interface."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from typing import TYPE_CHECKING, Any
from urllib.parse import parse_qs

from fastapi import FastAPI, Request
from pydantic import BaseModel
from pydantic.json_schema import models_json_schema
from starlette.responses import HTMLResponse, RedirectResponse, Response

from haulwright.errors import Refusal, UsageRefusal
from haulwright.interfaces.web.answers import refuse
from haulwright.interfaces.web.desk import REF, Desk
from haulwright.interfaces.web.door import COOKIE, Door, SESSION_s
from haulwright.interfaces.web.front import asset, index, worker
from haulwright.interfaces.web.guard import Guard
from haulwright.interfaces.web.headers import describe_headers
from haulwright.interfaces.web.http import AnyRecord, RefusalRecord, handle_errors
from haulwright.interfaces.web.pages import enter_page
from haulwright.interfaces.web.questions import day as d
from haulwright.interfaces.web.questions import trial as b
from haulwright.interfaces.web.questions.book import Brought
from haulwright.interfaces.web.routes import book as routes_book
from haulwright.interfaces.web.routes import campaign as routes_campaign
from haulwright.interfaces.web.routes import day as routes_day
from haulwright.interfaces.web.routes import jobs as routes_jobs
from haulwright.interfaces.web.routes import kept as routes_kept
from haulwright.interfaces.web.routes import publish as routes_publish
from haulwright.interfaces.web.routes import pull as routes_pull
from haulwright.interfaces.web.routes import rig as routes_rig
from haulwright.interfaces.web.routes import run as routes_run
from haulwright.interfaces.web.routes import trial as routes_trial
from haulwright.interfaces.web.settings import Settings
from haulwright.interfaces.web.tray import Tray
from haulwright.interfaces.web.work.long import LongWork
from haulwright.interfaces.web.work.processes import Work
from haulwright.version import __version__

if TYPE_CHECKING:
    from fastapi.telemetry import TelemetryConfig

NAMED: tuple[type[BaseModel], ...] = (
    AnyRecord, RefusalRecord, Brought, b.LogFormat, b.Measure, b.MeasureReadings, b.Nothing, b.Report,
    b.Predict, b.Design, d.Attach,
)  # fmt: skip
# the framework can report to a collector elsewhere where the environment says so: here it never does
UNWATCHED: TelemetryConfig = {
    "tracing": False, "metrics": False, "logs": False, "operation_spans": False, "auto_configure": False,
}  # fmt: skip
WORDS = (
    "The verbs of Haulwright, the same records as the command line's `--json`. Quantities are text with their unit "
    "(`30 kN`), answers are SI with the unit in the key. A refusal is a record too. Estimates are not ratings; local "
    "codes, makers' ratings and licensed people come first."
)


def create_app(settings: Settings, work: Work, door: Door | None = None) -> FastAPI:
    """Return the application.

    Parameters
    ----------
    settings : Settings
    work : Work
        Does what is asked.
    door : Door or None
        Lets devices in where the server is open to the network; None: every request on this machine is answered.
    """

    long, tray = LongWork(work, settings.long_s), Tray()

    @asynccontextmanager
    async def lifespan(app: FastAPI) -> AsyncIterator[None]:
        yield
        await long.close()
        await work.close()
        tray.close()

    app = FastAPI(
        title="Haulwright", version=__version__, description=WORDS, openapi_url="/api/openapi.json", docs_url=None,
        redoc_url=None, swagger_ui_oauth2_redirect_url=None, lifespan=lifespan, redirect_slashes=False,
        telemetry=UNWATCHED,
    )  # fmt: skip
    handle_errors(app)
    desk = Desk(settings, work, long)
    for router in (
        routes_rig.routes(desk), routes_trial.routes(desk), routes_campaign.known_routes(desk),
        routes_campaign.uploaded_routes(desk), routes_pull.routes(desk), routes_publish.routes(desk), routes_jobs.routes(desk),
        routes_run.campaign_routes(desk), routes_run.log_routes(desk, tray),
        routes_book.routes(desk), routes_kept.kit_routes(desk), routes_kept.campaign_routes(desk),
        routes_day.day_routes(desk),
    ):  # fmt: skip
        app.include_router(router)
    _describe(app)
    _add_pages(app, door)
    app.add_middleware(Guard, settings=settings, door=door)
    return app


def _describe(app: FastAPI) -> None:
    """Add to the description the models that stand in uploads and refusals."""
    made = app.openapi

    def described() -> dict[str, Any]:
        if app.openapi_schema is None:
            found = made()
            _, models = models_json_schema([(model, "validation") for model in NAMED], ref_template=REF)
            found.setdefault("components", {}).setdefault("schemas", {}).update(models["$defs"])
            describe_headers(found)
            app.openapi_schema = found
        return app.openapi_schema

    app.openapi = described  # type: ignore[method-assign]


def _add_pages(app: FastAPI, door: Door | None) -> None:
    @app.get("/", include_in_schema=False)
    def first() -> Response:
        return index()

    @app.get("/assets/{name}", include_in_schema=False)
    def file_of_the_pages(name: str) -> Response:
        return asset(name)

    @app.get("/sw.js", include_in_schema=False)
    async def worker_of_the_pages() -> Response:
        return worker()

    @app.get("/api/alive", include_in_schema=False)
    async def alive() -> Response:
        return Response(status_code=204)

    if door is None:
        return

    @app.get("/enter", include_in_schema=False)
    async def ask_for_code(code: str = "") -> HTMLResponse:
        return HTMLResponse(enter_page(code[:40]))

    @app.post("/enter", include_in_schema=False)
    async def enter(request: Request) -> Response:
        try:
            session = door.enter(await _code(request), request.client.host if request.client else "")
        except Refusal as refusal:
            said = refuse(refusal)
            return HTMLResponse(enter_page("", refusal.message), said.status, said.headers)
        found = RedirectResponse("/", 303)
        found.set_cookie(COOKIE, session, max_age=int(SESSION_s), httponly=True, samesite="strict", path="/")
        return found


async def _code(request: Request) -> str:
    """Return the code of the form; anything else is read as none."""
    body = await request.body()
    if len(body) > 1000:
        raise UsageRefusal("TOKEN", "That is no code.")
    return parse_qs(body.decode("ascii", "replace")).get("code", [""])[0]
