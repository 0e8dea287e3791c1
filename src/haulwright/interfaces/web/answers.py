"""One way to answer and one way to refuse: the record's own JSON, the status that fits its code, no path of this machine."""

from __future__ import annotations

import json
import re
import tempfile
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

from haulwright.errors import Refusal, UsageRefusal
from haulwright.records import Record

JSON = "application/json"
PREFIX = "haulwright-"
STATUS = {
    "BODY": 400, "SESSION": 401, "HOST": 403, "ORIGIN": 403, "TOKEN": 403, "NOT_FOUND": 404, "METHOD": 405,
    "TOO_SLOW": 408, "NOT_READY": 409, "CHANGED": 409,
    "UNKNOWN_DOCUMENT": 404, "UNKNOWN_VERSION": 404, "UNKNOWN_FILE": 404, "UNKNOWN_PHOTO": 404,
    "CANCELLED": 410, "TOO_LARGE": 413,
    "TOO_MANY": 429, "FAULT": 500, "BUSY": 503, "TOO_LONG": 504,
}  # fmt: skip
REFUSED = 422


@dataclass(frozen=True)
class Answer:
    """The bytes of an answer with what they are.

    Attributes
    ----------
    status : int
        Of HTTP.
    media : str
        Media type.
    body : bytes
    headers : mapping name -> value
        Beyond those every answer has.
    """

    status: int
    media: str
    body: bytes
    headers: dict[str, str] = field(default_factory=dict)


def answer(record: Record) -> Answer:
    """Return a record as the command line prints it with ``--json``."""
    return Answer(200, JSON, _bytes(record.to_dict()))


def accepted(record: Record, where: str) -> Answer:
    """Return the record of work that goes on, and the address that tells how far it is."""
    return Answer(202, JSON, _bytes(record.to_dict()), {"Location": where})


def refuse(refusal: Refusal) -> Answer:
    """Return a refusal as the record every interface prints, with the status of its code."""
    status = STATUS.get(refusal.code, REFUSED)
    wait = "1" if refusal.code == "NOT_READY" else "30" if status in (429, 503) else ""
    headers = {"Retry-After": wait} if wait else {}
    return Answer(status, JSON, _bytes(refusal.to_dict()), headers)


def fault() -> Answer:
    """Return what is said where the software itself failed; what failed stands in the server's own terminal."""
    message = (
        "Something failed in the software itself; nothing was answered. The terminal it runs in says what."
    )
    return refuse(UsageRefusal("FAULT", message))


def without_paths(said: Answer, folders: Iterable[str]) -> Answer:
    """Return an answer in which no folder of this machine is named: names of files stay, where they lie does not."""
    text = said.body.decode("utf-8")
    for folder in sorted({*folders} - {"", "/"}, key=len, reverse=True):
        inside = json.dumps(folder, ensure_ascii=False)[1:-1]
        text = re.sub(rf"{re.escape(inside)}(?:/|\\\\)?", "", text)
    own = re.escape(json.dumps(tempfile.gettempdir(), ensure_ascii=False)[1:-1])
    text = re.sub(rf"{own}(?:/|\\\\)+{PREFIX}\w*(?:/|\\\\)?", "", text)
    return Answer(said.status, said.media, text.encode("utf-8"), said.headers)


def _bytes(record: dict[str, Any]) -> bytes:
    text = json.dumps(record, ensure_ascii=False, allow_nan=False)
    return text.encode("utf-8", "backslashreplace")
