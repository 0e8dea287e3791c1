"""A piece of work on its way to the process that does it, and back."""

from __future__ import annotations

import json
import struct
from dataclasses import asdict, dataclass, field
from typing import Any

from haulwright.interfaces.web.answers import Answer

HEAD = struct.Struct(">II")
IN_BOOK = "in the book"
"""In place of a folder: the campaign asked for is one of the book, and is written out first."""


@dataclass(frozen=True)
class Job:
    """A verb with what it is given.

    Attributes
    ----------
    verb : str
        A name of ``jobs.VERBS``.
    given : mapping
        Plain JSON types.
    folder : str or None
        Where it stands while it works.
    unit : str
        Of force, in which its sentences speak; numbers stay SI.
    words : str
        Whose spelling its papers have.
    book : str
        ``own`` or ``demo``: the book it is asked of, opened where it is needed.
    book_at : str or None
        Where the own one lies; None: as the command line finds it.
    """

    verb: str
    given: dict[str, Any] = field(default_factory=dict)
    folder: str | None = None
    unit: str = "kN"
    words: str = "AU"
    book: str = "own"
    book_at: str | None = None

    def to_bytes(self) -> bytes:
        """Return it as it goes through a pipe: two lengths, then a head (and no body)."""
        head = json.dumps(asdict(self)).encode()
        return HEAD.pack(len(head), 0) + head


def job_of(head: bytes) -> Job:
    """Return the job of a head.

    Examples
    --------
    >>> job_of(Job("rig_list").to_bytes()[8:])
    Job(verb='rig_list', given={}, folder=None, unit='kN', words='AU', book='own', book_at=None)
    """
    return Job(**json.loads(head))


def packed(said: Answer) -> bytes:
    """Return an answer as it goes through a pipe: two lengths, a head, the body."""
    head = json.dumps([said.status, said.media, said.headers]).encode()
    return HEAD.pack(len(head), len(said.body)) + head + said.body


def unpacked(head: bytes, body: bytes) -> Answer:
    """Return the answer of a head and a body.

    Examples
    --------
    >>> said = Answer(200, "text/plain", b"hello")
    >>> data = packed(said)
    >>> unpacked(data[8:-5], data[-5:]) == said
    True
    """
    status, media, headers = json.loads(head)
    return Answer(status, media, body, headers)


def packed_step(words: str, share: float | None) -> bytes:
    """Return a step of the work as it goes through the same pipe before the answer: a head alone."""
    head = json.dumps({"said": words, "share": share}).encode()
    return HEAD.pack(len(head), 0) + head


def step_of(head: bytes) -> tuple[str, float | None] | None:
    """Return the words and the share of a step; None where it is the head of an answer.

    Examples
    --------
    >>> step_of(packed_step("run 3 of 8", 0.25)[8:]), step_of(packed(Answer(200, "text/plain", b""))[8:])
    (('run 3 of 8', 0.25), None)
    """
    said = json.loads(head)
    return (said["said"], said["share"]) if isinstance(said, dict) else None
