"""Long work over HTTP: how far it is, its answer, its end."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Path, Request
from starlette.responses import Response

from haulwright.interfaces.web.answers import answer
from haulwright.interfaces.web.desk import JOBS, Desk, owner_of, record, refusals
from haulwright.interfaces.web.http import StrictRoute, response

Id = Annotated[str, Path(description="As the answer to the question named it.", min_length=1, max_length=80)]
ANY: dict[int | str, dict[str, Any]] = {
    200: {"description": "What the question itself would have been answered.", "content": {"*/*": {}}}
}


def routes(desk: Desk) -> APIRouter:
    """Return the routes."""
    here = APIRouter(prefix=JOBS, tags=["long work"], route_class=StrictRoute)

    @here.get("/{id}", summary="How far a piece of long work is", responses=record("job", 404))
    async def how_far(request: Request, id: Id) -> Response:
        return response(answer(desk.long.find(id, owner_of(request)).record()))

    @here.get(
        "/{id}/answer",
        summary="Its answer: the record or file, or the refusal, with the status it has there",
        responses={**ANY, **refusals(400, 401, 403, 404, 408, 409, 410, 413, 422, 500, 503, 504)},
    )
    async def fetch(request: Request, id: Id) -> Response:
        return response(desk.long.fetch(id, owner_of(request)))

    @here.delete("/{id}", summary="Stop it at once; drop it where it has ended", responses=record("job", 404))
    async def cancel(request: Request, id: Id) -> Response:
        return response(answer(await desk.long.cancel(id, owner_of(request))))

    return here
