"""The records of single documents of a book: the list of them, and one with its versions."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, ClassVar

from haulwright.records import Record


@dataclass(frozen=True)
class ListedDocument:
    """A document in a list: its current version, when and by whom that was made."""

    kind: str
    name: str
    version: int
    changed_at: str
    by: str
    files: int
    invented: bool


@dataclass(frozen=True, kw_only=True)
class DocumentList(Record):
    """The documents of a book, or those of one kind."""

    kind: ClassVar[str] = "documents"
    book: str
    documents: tuple[ListedDocument, ...]


@dataclass(frozen=True)
class VersionKept:
    """One version of a document: its number, when, by whom and why it was made."""

    version: int
    at: str
    by: str
    why: str


@dataclass(frozen=True)
class FileKept:
    """One file of a document."""

    path: str
    sha256: str
    size: int


@dataclass(frozen=True, kw_only=True)
class DocumentKept(Record):
    """One document in one version.

    Attributes
    ----------
    document, name : str
        Its kind and its name.
    version : int
    versions : tuple of VersionKept
        All there are, oldest first.
    files : tuple of FileKept
        Of this version.
    content : mapping or None
        What its own file holds (of a campaign ``campaign.yaml``), in plain JSON types; None where it cannot be read.
    text : str or None
        The same file as it stands.
    beside : mapping of str
        Of a pull: which kit and which devices file of the book it names (``kit``, ``friction``), where the book has them.
    outcome : str or None
        After a change: ``new``, ``changed`` or ``unchanged``.
    """

    kind: ClassVar[str] = "document"
    document: str
    name: str
    version: int
    versions: tuple[VersionKept, ...]
    files: tuple[FileKept, ...]
    content: Mapping[str, Any] | None
    text: str | None
    beside: Mapping[str, str]
    outcome: str | None = None
