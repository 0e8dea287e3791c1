"""A folder that a book was written out to, with every version of every document: read back by its index."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Annotated, Literal

from pydantic import Field

from haulwright.errors import FileRefusal
from haulwright.files.kept import Kept, read_kept
from haulwright.files.kept_bytes import found_file
from haulwright.files.seen import ENDING
from haulwright.files.yamlfile import FileModel, validate_mapping

INDEX = "book.json"
_MOST_BYTES = 50_000_000
_NAME = Annotated[str, Field(min_length=1)]
_LINE = Annotated[str, Field(max_length=200)]


class KeptVersion(FileModel):
    """One version: its number, when, by whom and why it came in, what was done, its folder, the hash of every file.

    An empty folder has no hash.
    """

    number: int
    at: _LINE
    by: _LINE = ""
    what: str = ""
    why: str = ""
    folder: str
    files: dict[str, str | None]


class KeptUnder(FileModel):
    """One document with its versions, oldest first."""

    kind: Literal["campaign", "kit", "pull", "rig", "devices"]
    name: _NAME
    versions: Annotated[tuple[KeptVersion, ...], Field(min_length=1)]


class Index(FileModel):
    """The index of a book that was written out."""

    haulwright: str
    kind: Literal["book-export"]
    documents: tuple[KeptUnder, ...]


def has_index(folder: str | Path) -> bool:
    """Return whether a folder is one that a book was written out to."""
    try:
        return (Path(folder) / INDEX).is_file() and not (Path(folder) / "campaign.yaml").exists()
    except (OSError, ValueError):
        return False


def read_export(folder: str | Path) -> list[list[Kept]]:
    """Return every document of a folder that a book was written out to, each with its versions, oldest first.

    Raises
    ------
    FileRefusal
        DAMAGED: a file is not what the index says; LINK for a folder outside; and as
        :func:`haulwright.files.kept.read_kept`.
    """
    root = Path(folder)
    if found_file(root, INDEX).size > _MOST_BYTES:
        raise FileRefusal(
            "TOO_LARGE", f"{INDEX}: over {_MOST_BYTES // 10**6} MB: no index of a book.", (INDEX,)
        )
    try:
        told = json.loads((root / INDEX).read_text(encoding="utf-8"))
    except (ValueError, RecursionError):
        raise FileRefusal(
            "SYNTAX", f"{INDEX}: not readable as JSON. Write the book out again.", (INDEX,)
        ) from None
    index = validate_mapping(told, Index, INDEX)
    return [[_version(root, one, version) for version in one.versions] for one in index.documents]


def _version(root: Path, document: KeptUnder, version: KeptVersion) -> Kept:
    folder = root
    for part in version.folder.split("/"):
        folder /= part
        if part in ("", ".", "..") or folder.is_symlink() or Path(part).is_absolute():
            text = f"{INDEX}: folder {version.folder!r} leads out of the folder. Write the book out again."
            raise FileRefusal("LINK", text, (version.folder,))
    main = [name for name in version.files if "/" not in name and not name.endswith(ENDING)]
    if document.kind != "campaign" and len(main) != 1:
        raise _damaged(version.folder, "the index names no one file of it")
    kept = read_kept(
        folder if document.kind == "campaign" else folder / main[0], document.kind, document.name
    )
    here = {one.path: one.sha256 for one in kept.files} | dict.fromkeys(kept.folders)
    if wrong := sorted(
        path for path in here | version.files if here.get(path, "") != version.files.get(path, "")
    ):
        raise _damaged(f"{version.folder}/{wrong[0]}", "it is not what the index says")
    return replace(kept, told=(version.at, version.by, version.why, version.what))


def _damaged(name: str, why: str) -> FileRefusal:
    text = f"{name}: {why}. If it was changed on purpose, import that folder or file by itself."
    return FileRefusal("DAMAGED", text, (name,))
