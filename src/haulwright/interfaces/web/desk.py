"""From a route to its work and back, and what the description of the interface says of both."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from starlette.requests import Request
from starlette.responses import Response

from haulwright.errors import UsageRefusal
from haulwright.interfaces.web.http import REFUSALS, response
from haulwright.interfaces.web.job import Job
from haulwright.interfaces.web.settings import Settings
from haulwright.interfaces.web.work import Work

REF = "#/components/schemas/{model}"


@dataclass(frozen=True)
class Desk:
    """Takes questions to the work."""

    settings: Settings
    work: Work

    async def ask(
        self,
        request: Request,
        verb: str,
        given: Mapping[str, Any],
        *,
        folder: str | None = None,
        quick: bool = False,
    ) -> Response:
        """Return the answer of one verb, for as long as the one who asked is there."""
        job = Job(verb, dict(given), folder)
        within_s = self.settings.quick_s if quick else self.settings.long_s
        return response(await self.work.run(job, quick=quick, within_s=within_s, gone=lambda: _gone(request)))

    def campaign(self, name: str) -> tuple[str, str]:
        """Return where a campaign's folder lies, and its name there.

        Raises
        ------
        UsageRefusal
            NOT_FOUND: none of that name was given at the start.
        """
        folder = self.settings.campaigns.get(name)
        if folder is None:
            known = ", ".join(self.settings.campaigns) or "none: start with --campaign DIR"
            raise UsageRefusal(
                "NOT_FOUND", f"There is no campaign {name!r} here. There is: {known}.", (name,)
            )
        return str(folder.parent), folder.name


async def _gone(request: Request) -> None:
    while (await request.receive())["type"] != "http.disconnect":
        pass


def refusals(*statuses: int) -> dict[int | str, dict[str, Any]]:
    """Return how the refusals of a route are described."""
    schema = {"$ref": REF.format(model="RefusalRecord")}
    return {
        status: {"description": words, "content": {"application/json": {"schema": schema}}}
        for status, words in REFUSALS.items()
        if status in statuses
    }


EVERY = (401, 403, 408, 413, 422, 500, 503, 504)


def record(kind: str, *more: int) -> dict[int | str, dict[str, Any]]:
    """Return how a route is described that answers with a record of a kind."""
    schema = {"allOf": [{"$ref": REF.format(model="AnyRecord")}], "properties": {"kind": {"const": kind}}}
    found: dict[int | str, dict[str, Any]] = {
        200: {"description": f"The record `{kind}`.", "content": {"application/json": {"schema": schema}}}
    }
    return found | refusals(*EVERY, *more)


def file(media: str, words: str, *more: int) -> dict[int | str, dict[str, Any]]:
    """Return how a route is described that answers with a file."""
    schema = {"type": "string", **({} if "pdf" not in media else {"format": "binary"})}
    found: dict[int | str, dict[str, Any]] = {
        200: {"description": words, "content": {media: {"schema": schema}}}
    }
    return found | refusals(*EVERY, *more)


def form(model: str, part: str, words: str, most: int) -> dict[str, Any]:
    """Return how the body of an upload is described: files under one name, and a question in JSON."""
    files = {
        "type": "array",
        "items": {"type": "string", "format": "binary"},
        "minItems": 1,
        "maxItems": most,
        "description": words,
    }
    ask = {"allOf": [{"$ref": REF.format(model=model)}], "description": "What goes with the files, as JSON."}
    schema = {
        "type": "object",
        "properties": {part: files, "ask": ask},
        "required": [part],
        "additionalProperties": False,
    }
    return {
        "multipart/form-data": {"schema": schema, "encoding": {"ask": {"contentType": "application/json"}}}
    }
