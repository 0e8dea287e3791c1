"""What stands in the headers of a question, and how the description of the interface tells of it."""

from __future__ import annotations

from typing import Any

from haulwright.interfaces.web.desk import ACCEPTED, RESPOND_ASYNC
from haulwright.interfaces.web.http import BOOK, BOOKS, SPOKEN, UNITS, WORDS
from haulwright.publishing.spelling import REGIONS

ROOM = "/api/"
IN_UNITS = {
    "name": UNITS,
    "in": "header",
    "description": "Unit of force in which the sentences of the answer speak; its numbers stay SI.",
    "schema": {"type": "string", "enum": [*SPOKEN], "default": SPOKEN[0]},
}
IN_WORDS = {
    "name": WORDS,
    "in": "header",
    "description": "Whose spelling cards, run sheets and reports have; records are spelled alike for all.",
    "schema": {"type": "string", "enum": [*REGIONS], "default": REGIONS[0]},
}
OF_BOOK = {
    "name": BOOK,
    "in": "header",
    "description": "Which book is asked: the user's own, or the one beside it with the invented examples.",
    "schema": {"type": "string", "enum": [*BOOKS], "default": BOOKS[0]},
}
NOT_WAITED_FOR = {
    "name": "Prefer",
    "in": "header",
    "description": f"`{RESPOND_ASYNC}`: answer at once with the record `job`, and go on working (RFC 7240, 4.1).",
    "schema": {"type": "string", "examples": [RESPOND_ASYNC]},
}


def describe_headers(openapi: dict[str, Any]) -> None:
    """Add to a description of the interface the headers that every route hears, and those of long work."""
    for path, ways in openapi["paths"].items():
        for way in ways.values() if path.startswith(ROOM) else ():
            heard = way.setdefault("parameters", [])
            heard += [IN_UNITS, IN_WORDS, OF_BOOK]
            if str(ACCEPTED) in way["responses"]:
                heard.append(NOT_WAITED_FOR)
