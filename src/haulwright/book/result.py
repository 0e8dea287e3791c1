"""The records of a book: what it holds, and what an import brought."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from typing import ClassVar

from haulwright.quantities.measured import Measured
from haulwright.records import Record


@dataclass(frozen=True)
class KeptDocument:
    """What an import did with one document.

    Attributes
    ----------
    kind, name : str
    outcome : str
        ``new``, ``changed`` (a new version) or ``unchanged``.
    version : int
        The one that is current now.
    files : int
        Files of it.
    files_new, files_changed, files_gone : tuple of str
        Against the version before; what is gone stays in the earlier version.
    bytes_new : int
        Bytes the book had not.
    apart : bool
        Two books went ways of their own: the versions this one had not were added behind its own.
    """

    kind: str
    name: str
    outcome: str
    version: int
    files: int
    files_new: tuple[str, ...]
    files_changed: tuple[str, ...]
    files_gone: tuple[str, ...]
    bytes_new: int
    apart: bool = False


@dataclass(frozen=True, kw_only=True)
class BookImport(Record):
    """What an import brought."""

    kind: ClassVar[str] = "book-import"
    book: str
    documents: tuple[KeptDocument, ...]
    left_out: tuple[str, ...] = ()


@dataclass(frozen=True)
class BookDocument:
    """A document the book holds, in its current version."""

    kind: str
    name: str
    stored_as: str
    version: int
    files: int
    bytes: int
    first_at: str
    last_at: str


@dataclass(frozen=True)
class DueDate:
    """A day by which a piece is to be inspected, or a cell calibrated."""

    what: str
    name: str
    of: str
    due: dt.date
    days: int
    overdue: bool
    last: dt.date | None
    certificate: str = ""


@dataclass(frozen=True)
class Quarantined:
    """A piece that is not to be used; ``by`` and ``why`` as told when it was put there."""

    item: str
    name: str
    kit: str
    since: str
    by: str
    why: str
    condition: str
    note: str


@dataclass(frozen=True)
class Inspection:
    """A state of a piece as its kit told it; each change is kept, with who changed it and what was said of it."""

    item: str
    kit: str
    inspected: dt.date | None
    due: dt.date | None
    condition: str
    noted_at: str
    by: str
    note: str


@dataclass(frozen=True)
class KeptFriction:
    """A friction estimate and where it came from."""

    device: str
    k: Measured
    valid_N: tuple[float, float]
    source: str
    from_: str
    version: int
    current: bool


@dataclass(frozen=True)
class KeptDecision:
    """What was decided by hand about a run: who, when and why."""

    campaign: str
    run: str
    what: str
    who: str
    day: dt.date
    why: str
    values: Mapping[str, float]


@dataclass(frozen=True)
class KeptSeen:
    """A pull as it went, against what each rule had said."""

    pull: str
    at: str
    who: str
    rig: str
    seen_N: tuple[float, float, float]
    breakout_N: float | None
    moved: bool
    predicted_N: Mapping[str, tuple[float, float, float]]


@dataclass(frozen=True)
class LastImport:
    """The last import that brought something."""

    at: str
    what: str
    who: str
    software: str


@dataclass(frozen=True)
class Verified:
    """Every file read back and hashed: how many, and the hashes of those that are not what they were."""

    files: int
    bytes: int
    damaged: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class BookState(Record):
    """What a book holds.

    Attributes
    ----------
    book : str
        Where it lies, without a password.
    engine : str
        ``sqlite`` or ``postgresql``.
    schema : str
    made_at, made_by : str
        When it was made, and by which version of the software.
    day : date
        What the due dates are held against.
    counts : mapping
    """

    kind: ClassVar[str] = "book"
    book: str
    engine: str
    schema: str
    made_at: str
    made_by: str
    day: dt.date
    counts: Mapping[str, int]
    bytes: int
    documents: tuple[BookDocument, ...]
    due: tuple[DueDate, ...]
    quarantine: tuple[Quarantined, ...]
    inspections: tuple[Inspection, ...]
    friction: tuple[KeptFriction, ...]
    decisions: tuple[KeptDecision, ...]
    seen: tuple[KeptSeen, ...]
    last_import: LastImport | None
    verified: Verified | None = None
    migrated_copy: str | None = None
