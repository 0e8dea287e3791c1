"""What is handed over to be kept: files with their hashes, and the facts read from them as plain mappings."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

KINDS = ("campaign", "kit", "pull", "rig", "devices")
Facts = Mapping[str, Sequence[Mapping[str, Any]]]


@dataclass(frozen=True)
class GivenFile:
    """One file to be kept.

    Attributes
    ----------
    path : str
        Within the folder, its parts parted by ``/``.
    sha256 : str
    size : int
        Bytes.
    read : callable
        Returns the bytes; asked only where the book has none of that hash.
    """

    path: str
    sha256: str
    size: int
    read: Callable[[], bytes]


@dataclass(frozen=True)
class Told:
    """When, by whom and why a version came into the book it was written out of; what was done, where that was told."""

    at: str
    who: str = ""
    why: str = ""
    what: str = ""


@dataclass(frozen=True)
class Deposit:
    """One document to be kept.

    Attributes
    ----------
    kind : str
        A word of :data:`KINDS`.
    name : str
        What the user calls it; the same name is the same document.
    stored_as : str
        Name of its folder or file on the user's disk.
    files : tuple of GivenFile
    folders : tuple of str
        Folders with nothing in them.
    facts : mapping table -> rows
        What was read from the files, a row for each thing, by column.
    marks : tuple of str
        What a later version will have in common with it: hashes of logs, names of pieces or devices.
    told : Told or None
        Of a version that another book had; None: it comes in now.
    """

    kind: str
    name: str
    stored_as: str
    files: tuple[GivenFile, ...]
    folders: tuple[str, ...] = ()
    facts: Facts = field(default_factory=dict)
    marks: tuple[str, ...] = ()
    told: Told | None = None

    @property
    def tree(self) -> dict[str, str | None]:
        """Return path -> hash of every file; an empty folder has none."""
        found: dict[str, str | None] = {one.path: one.sha256 for one in self.files}
        found.update(dict.fromkeys(self.folders))
        return dict(sorted(found.items()))

    @property
    def tree_sha256(self) -> str:
        """Return one hash of all paths and files."""
        return tree_sha256(self.tree)


def tree_sha256(tree: Mapping[str, str | None]) -> str:
    """Return one hash of paths and the hashes of their files, whatever their order.

    Examples
    --------
    >>> tree_sha256({"b": None, "a": "00"}) == tree_sha256({"a": "00", "b": None})
    True
    """
    lines = "".join(f"{path}\0{sha256 or ''}\n" for path, sha256 in sorted(tree.items()))
    return hashlib.sha256(lines.encode("utf-8")).hexdigest()
