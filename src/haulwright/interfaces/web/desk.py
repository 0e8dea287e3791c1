"""From a route to its work and back, and what the description of the interface says of both."""

from __future__ import annotations

from collections.abc import Container, Mapping
from contextlib import ExitStack
from dataclasses import dataclass
from typing import Any

from starlette.requests import Request
from starlette.responses import Response

from haulwright.errors import UsageRefusal
from haulwright.interfaces.web.answers import accepted
from haulwright.interfaces.web.door import digest
from haulwright.interfaces.web.guard import session_of
from haulwright.interfaces.web.http import REFUSALS, book_named, response, unit_of, words_of
from haulwright.interfaces.web.settings import Settings
from haulwright.interfaces.web.work.job import IN_BOOK, Job
from haulwright.interfaces.web.work.long import LongWork
from haulwright.interfaces.web.work.processes import Work

REF = "#/components/schemas/{model}"
JOBS = "/api/jobs"
ACCEPTED, RESPOND_ASYNC = 202, "respond-async"


@dataclass(frozen=True)
class Desk:
    """Takes questions to the work."""

    settings: Settings
    work: Work
    long: LongWork

    async def ask(
        self,
        request: Request,
        verb: str,
        given: Mapping[str, Any],
        *,
        folder: str | None = None,
        quick: bool = False,
        held: ExitStack | None = None,
    ) -> Response:
        """Return the answer of one verb, for as long as the one who asked is there.

        On a route described with ``long=True``, where the one who asks prefers not to wait: how far it is, at once.
        ``held`` is what the work needs until it ends, and is taken over by work that goes on.
        """
        job = Job(
            verb,
            dict(given),
            folder,
            unit_of(request.headers),
            words_of(request.headers),
            book_named(request.headers),
            self.settings.book,
        )
        if not quick and ACCEPTED in _described(request) and _prefers_not_to_wait(request):
            begun = self.long.begin(job, owner_of(request), held)
            return response(accepted(begun, f"{JOBS}/{begun.id}"))
        within_s = self.settings.quick_s if quick else self.settings.long_s
        return response(await self.work.run(job, quick=quick, within_s=within_s, gone=lambda: _gone(request)))

    def campaign(self, name: str) -> tuple[str, str]:
        """Return where a campaign's folder lies, and its name there: of those given at the start, else of the book."""
        folder = self.settings.campaigns.get(name)
        return (IN_BOOK, name) if folder is None else (str(folder.parent), folder.name)

    def may_change(self, name: str) -> None:
        """Refuse to change a campaign that is a folder given at the start.

        Raises
        ------
        UsageRefusal
            READ_ONLY.
        """
        if name in self.settings.campaigns:
            text = f"{name!r} is a folder given at the start: it is only read. Import it into the book, and change it there."
            raise UsageRefusal("READ_ONLY", text, (name,))


def owner_of(request: Request) -> str:
    """Return whose work it is: of a session where the server is open to the network, else of this machine."""
    session = session_of(request.headers)
    return "" if session is None else digest(session)


def _described(request: Request) -> Container[object]:
    return getattr(request.scope.get("route"), "responses", {})


def _prefers_not_to_wait(request: Request) -> bool:
    """Return whether a request says so as RFC 7240, 4.1 has it: among other preferences, in any case of letters."""
    given = ",".join(request.headers.getlist("prefer")).split(",")
    return any(one.partition(";")[0].strip().lower() == RESPOND_ASYNC for one in given)


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


def record(kind: str, *more: int, long: bool = False) -> dict[int | str, dict[str, Any]]:
    """Return how a route is described that answers with a record of a kind; ``long`` work need not be waited for."""
    schema = {"allOf": [{"$ref": REF.format(model="AnyRecord")}], "properties": {"kind": {"const": kind}}}
    found: dict[int | str, dict[str, Any]] = {
        200: {"description": f"The record `{kind}`.", "content": {"application/json": {"schema": schema}}}
    }
    return found | (_begun() if long else {}) | refusals(*EVERY, *more)


def _begun() -> dict[int | str, dict[str, Any]]:
    """Return how the answer is described of a route whose work goes on after it."""
    words = "The work goes on: the record `job`. `Location` says where to ask how far it is."
    schema = {"allOf": [{"$ref": REF.format(model="AnyRecord")}], "properties": {"kind": {"const": "job"}}}
    where = {"schema": {"type": "string"}, "required": True}
    content = {"application/json": {"schema": schema}}
    return {ACCEPTED: {"description": words, "content": content, "headers": {"Location": where}}}


def file(media: str, words: str, *more: int, long: bool = False) -> dict[int | str, dict[str, Any]]:
    """Return how a route is described that answers with a file; ``long`` work need not be waited for."""
    schema = {"type": "string", **({} if "pdf" not in media else {"format": "binary"})}
    found: dict[int | str, dict[str, Any]] = {
        200: {"description": words, "content": {media: {"schema": schema}}}
    }
    return found | (_begun() if long else {}) | refusals(*EVERY, *more)


def form(model: str | None, part: str, words: str, most: int) -> dict[str, Any]:
    """Return how the body of an upload is described: files under one name, and a question in JSON where there is one."""
    files = {
        "type": "array",
        "items": {"type": "string", "format": "binary"},
        "minItems": 1,
        "maxItems": most,
        "description": words,
    }
    parts: dict[str, Any] = {part: files}
    sent: dict[str, Any] = {}
    if model is not None:
        asked = {"allOf": [{"$ref": REF.format(model=model)}]}
        parts["ask"] = asked | {"description": "What goes with the files, as JSON."}
        sent["encoding"] = {"ask": {"contentType": "application/json"}}
    schema = {"type": "object", "properties": parts, "required": [part], "additionalProperties": False}
    return {"multipart/form-data": {"schema": schema, **sent}}
