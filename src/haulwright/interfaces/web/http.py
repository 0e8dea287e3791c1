"""Answers as responses, and the errors of the web framework as refusals."""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Mapping, Sequence
from typing import Any

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.routing import APIRoute
from pydantic import BaseModel, ConfigDict, Field, ValidationError
from starlette.datastructures import Headers
from starlette.exceptions import HTTPException
from starlette.responses import Response

from haulwright.errors import Refusal, UsageRefusal
from haulwright.interfaces.web.answers import Answer, fault, refuse
from haulwright.interfaces.web.strict_json import read_json
from haulwright.publishing.spelling import REGIONS, checked


class RefusalError(BaseModel):
    """What was refused, and where."""

    model_config = ConfigDict(extra="forbid")
    code: str = Field(pattern="^[A-Z][A-Z0-9_]*$")
    message: str
    where: list[str]
    line: int | None


class RefusalRecord(BaseModel):
    """A refusal: the same record the command line prints with ``--json``."""

    model_config = ConfigDict(extra="forbid", json_schema_extra={"examples": [
        UsageRefusal("UNIT", "load '26' has no unit: write 12 kN, 1200 kgf, 2700 lbf or 1.2 t.", ("load",)).to_dict()
    ]})  # fmt: skip
    haulwright: str
    kind: str = Field(pattern="^refusal$")
    notices: list[Any]
    error: RefusalError


class NoticeRecord(BaseModel):
    """One notice of a record."""

    model_config = ConfigDict(extra="forbid")
    code: str
    level: str = Field(pattern="^(caution|warning|info)$")
    message: str
    where: list[str]


class AnyRecord(BaseModel):
    """A result record: ``kind`` says which; its keys are described in docs/records.md."""

    model_config = ConfigDict(extra="allow")
    haulwright: str
    kind: str
    notices: list[NoticeRecord]
    made: dict[str, Any] | None


BOOK, BOOKS = "Haulwright-Book", ("own", "demo")
UNITS, SPOKEN = "Haulwright-Units", ("kN", "kgf", "lbf", "t")
WORDS = "Haulwright-Words"
REFUSALS = {
    400: "The body cannot be read.",
    401: "This device has no session: only where the server is open to the network.",
    403: "Asked under another name, or by a page of another site.",
    404: "There is no such thing.",
    408: "The body did not arrive in time.",
    409: "Not now: the work is not done yet, or what it was read from has changed.",
    410: "The work was cancelled.",
    413: "The body is too large.",
    422: "Read, and refused: nothing honest can be answered.",
    500: "The software itself failed.",
    503: "Too much is asked at once.",
    504: "It took too long and was stopped.",
}


def response(said: Answer) -> Response:
    """Return an answer as a response."""
    return Response(said.body, said.status, said.headers, said.media)


class StrictRequest(Request):
    """A request whose JSON is read strictly."""

    async def json(self) -> Any:
        """Return the body as JSON."""
        if not hasattr(self, "_json"):
            self._json = read_json(await self.body())
        return self._json


class StrictRoute(APIRoute):
    """A route that reads JSON strictly, passes over nothing in the address, and keeps a refusal met while reading."""

    def get_route_handler(self) -> Callable[[Request], Any]:
        """Return the handler, given a strict request."""
        handler = super().get_route_handler()
        described = (self.openapi_extra or {}).get("parameters", ())
        by_model = bool(self.dependant.query_params)  # which refuses what it does not know

        async def strict(request: Request) -> Response:
            known = None if by_model else {one["name"] for one in described}
            _check_address(request.query_params.multi_items(), known)
            unit_of(request.headers)
            words_of(request.headers)
            book_named(request.headers)
            try:
                return await handler(StrictRequest(request.scope, request.receive))
            except HTTPException as err:
                if isinstance(err.__cause__, Refusal):
                    return response(refuse(err.__cause__))
                raise

        return strict


def unit_of(headers: Headers) -> str:
    """Return the unit of force in which the sentences of an answer speak; its numbers stay SI.

    Raises
    ------
    UsageRefusal
        UNIT: not one of those that are spoken.

    Examples
    --------
    >>> unit_of(Headers({"haulwright-units": "kgf"})), unit_of(Headers())
    ('kgf', 'kN')
    """
    given = headers.getlist(UNITS)
    if not given:
        return SPOKEN[0]
    if len(given) > 1 or given[0] not in SPOKEN:
        said = ", ".join(given)[:40]
        raise UsageRefusal(
            "UNIT", f"{UNITS} {said!r} is not spoken here: give {', '.join(SPOKEN)}.", (UNITS,)
        )
    return given[0]


def words_of(headers: Headers) -> str:
    """Return whose spelling the papers of an answer have.

    Raises
    ------
    UsageRefusal
        WORDS: not one of :data:`haulwright.publishing.spelling.REGIONS`.

    Examples
    --------
    >>> words_of(Headers({"haulwright-words": "US"})), words_of(Headers())
    ('US', 'AU')
    """
    given = headers.getlist(WORDS)
    return checked(", ".join(given), WORDS) if given else REGIONS[0]


def book_named(headers: Headers) -> str:
    """Return which book is asked: the user's own, or the one of the invented examples.

    Raises
    ------
    UsageRefusal
        VALUE: neither.

    Examples
    --------
    >>> book_named(Headers({"haulwright-book": "demo"})), book_named(Headers())
    ('demo', 'own')
    """
    given = headers.getlist(BOOK)
    if not given:
        return BOOKS[0]
    if len(given) > 1 or given[0] not in BOOKS:
        said = ", ".join(given)[:40]
        raise UsageRefusal("VALUE", f"{BOOK} {said!r}: give {' or '.join(BOOKS)}.", (BOOK,))
    return given[0]


def _check_address(asked: Sequence[tuple[str, str]], known: Collection[str] | None) -> None:
    """Refuse what stands in an address twice, or is not known to its route."""
    names = [name for name, _ in asked]
    for name in names:
        if names.count(name) > 1:
            raise UsageRefusal("VALUE", f"{name} stands twice in the address: keep one.", (name,))
        if known is not None and name not in known:
            hint = f"known are {', '.join(sorted(known))}." if known else "this route takes none there."
            raise UsageRefusal("UNKNOWN_KEY", f"unknown key {name} in the address: {hint}", (name,))


def refusal_of(errors: Sequence[Any]) -> Refusal:
    """Return the errors of a validation as one refusal, the first told in full."""
    first = errors[0]
    kind, place = str(first["type"]), [str(part) for part in first["loc"]]
    where = tuple(place[1:] if place[:1] in (["body"], ["query"], ["path"], ["header"]) else place)
    name = ".".join(where)
    words = str(first["msg"]).removeprefix("Value error, ")
    if kind == "json_invalid" or (
        not where and kind.startswith(("model_attributes", "dict_type", "missing"))
    ):
        return UsageRefusal(
            "BODY", "Send a body of JSON, a mapping, with Content-Type: application/json.", ("body",)
        )
    more = f" (and {len(errors) - 1} more)" if len(errors) > 1 else ""
    code = (
        "UNKNOWN_KEY"
        if kind in ("unknown_key", "extra_forbidden")
        else "MISSING_KEY"
        if kind == "missing"
        else "VALUE"
    )
    said = f"{name}: {words}" if name else words
    return UsageRefusal(code, f"{said.rstrip('.')}{more}.".replace("?.", "?"), where)


def _by_status(status: int, why: str) -> Refusal:
    if status == 404:
        return UsageRefusal("NOT_FOUND", "There is no such page or route. The first page lists them.")
    if status == 405:
        return UsageRefusal("METHOD", "This route is not asked that way. The first page lists how.")
    return UsageRefusal("BODY", f"The body cannot be read: {why.rstrip('.')}.", ("body",))


def _allowed(openapi: Mapping[str, Any], path: str) -> str:
    """Return the ways a path can be asked; the framework itself names those of one route only."""
    ways = {
        way.upper()
        for known, routes in openapi["paths"].items()
        if re.fullmatch(re.sub(r"\\{\w+\\}", "[^/]+", re.escape(known)), path)
        for way in routes
    }
    return ", ".join(sorted(ways))


def handle_errors(app: FastAPI) -> None:
    """Make every error of an application a refusal record."""

    async def on_refusal(request: Request, err: Exception) -> Response:
        return response(refuse(err)) if isinstance(err, Refusal) else response(fault())

    async def on_validation(request: Request, err: Exception) -> Response:
        errors = err.errors() if isinstance(err, RequestValidationError | ValidationError) else []
        return response(refuse(refusal_of(errors)) if errors else fault())

    async def on_http(request: Request, err: Exception) -> Response:
        if not isinstance(err, HTTPException):
            return response(fault())
        said = refuse(_by_status(err.status_code, str(err.detail)))
        if err.status_code == 405:
            said.headers["Allow"] = _allowed(request.app.openapi(), request.url.path) or "GET"
        return response(said)

    async def on_fault(request: Request, err: Exception) -> Response:
        return response(fault())

    app.add_exception_handler(Refusal, on_refusal)
    app.add_exception_handler(RequestValidationError, on_validation)
    app.add_exception_handler(ValidationError, on_validation)
    app.add_exception_handler(HTTPException, on_http)
    app.add_exception_handler(Exception, on_fault)
