"""A campaign's open data, read back: every file is the one its descriptor speaks of, and nothing else lies there."""

from __future__ import annotations

import json
import os
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from haulwright.data_package import DESCRIPTOR, OPEN_DATA
from haulwright.errors import FileRefusal
from haulwright.files.kept_bytes import find_files, found_file

CAMPAIGN = "campaign"
_MOST_BYTES = 20_000_000
_SYSTEMS = (".DS_Store", "Thumbs.db", "desktop.ini")
_OWN = f"{CAMPAIGN}/results/"  # what a reader's own measuring writes; nothing here reads it


@dataclass(frozen=True)
class OpenData:
    """Open data whose files are what they say.

    Attributes
    ----------
    folder : Path
    title : str
    software : mapping of str to str
        What its results were reckoned with.
    files : int
        How many were compared with their hash.
    """

    folder: Path
    title: str
    software: dict[str, str]
    files: int

    @property
    def campaign(self) -> Path:
        """Folder of the campaign's own files."""
        return self.folder / CAMPAIGN


def is_open_data(folder: str | Path) -> bool:
    """Return whether a folder looks like a campaign's open data."""
    path = Path(folder)
    try:
        return (
            (path / DESCRIPTOR).is_file()
            and not (path / "campaign.yaml").exists()
            and _kind(path) == OPEN_DATA
        )
    except (OSError, ValueError):
        return False


def _kind(folder: Path) -> Any:
    if (folder / DESCRIPTOR).stat().st_size > _MOST_BYTES:
        return None
    told = json.loads((folder / DESCRIPTOR).read_text(encoding="utf-8"))
    return told.get("kind") if isinstance(told, dict) else None


def read_open_data(folder: str | Path) -> OpenData:
    """Read a campaign's open data and compare every file with its hash.

    Parameters
    ----------
    folder : path
        Holds ``datapackage.json``.

    Raises
    ------
    FileRefusal
        NO_FILE, SYNTAX, NOT_OPEN_DATA: no descriptor, or of something else; DAMAGED: a file is missing, is not what the
        descriptor says, or is not in it; LINK, TOO_LARGE.
    """
    root = Path(folder)
    if not os.path.isdir(root):  # noqa: PTH112 - also False for a path that no system takes
        raise FileRefusal("NO_FILE", f"{root.name or root}: there is no such folder.", (str(root),))
    here = {
        one.path: one
        for one in find_files(root).files
        if one.path.rpartition("/")[2] not in _SYSTEMS and not one.path.startswith(_OWN)
    }
    if DESCRIPTOR not in here:
        text = (
            f"{root.resolve().name}: no {DESCRIPTOR} in it. Give the folder or zip that publish bundle wrote."
        )
        raise FileRefusal("NOT_OPEN_DATA", text, (DESCRIPTOR,))
    told = _descriptor(root)
    stated = _stated(told)
    for path in sorted(stated.keys() | here.keys() - {DESCRIPTOR}):
        if path not in here:
            raise _damaged(path, f"is not there, and {DESCRIPTOR} speaks of it")
        if path not in stated:
            raise _damaged(path, f"is there, and {DESCRIPTOR} does not speak of it")
        if here[path].sha256 != stated[path]:
            raise _damaged(path, f"is not the file {DESCRIPTOR} speaks of: its SHA-256 is another")
    software = told.get("software")
    versions = {str(k): str(v) for k, v in software.items()} if isinstance(software, dict) else {}
    return OpenData(root, str(told.get("title", "")), versions, len(stated))


def _descriptor(root: Path) -> dict[str, Any]:
    if found_file(root, DESCRIPTOR).size > _MOST_BYTES:
        text = f"{DESCRIPTOR}: over {_MOST_BYTES // 10**6} MB: no descriptor of a campaign's open data."
        raise FileRefusal("TOO_LARGE", text, (DESCRIPTOR,))
    try:
        told = json.loads((root / DESCRIPTOR).read_text(encoding="utf-8"))
    except (ValueError, RecursionError):
        text = f"{DESCRIPTOR}: not readable as JSON. Take the open data from where it came, again."
        raise FileRefusal("SYNTAX", text, (DESCRIPTOR,)) from None
    if not isinstance(told, dict) or told.get("kind") != OPEN_DATA:
        text = f"{DESCRIPTOR}: a data package, but not a campaign's open data (kind {OPEN_DATA})."
        raise FileRefusal("NOT_OPEN_DATA", text, (DESCRIPTOR,))
    return told


def _stated(told: dict[str, Any]) -> dict[str, str]:
    """Return the hash of every file the descriptor speaks of, by path."""
    found: dict[str, str] = {}
    resources = told.get("resources")
    for one in resources if isinstance(resources, list) else [None]:
        path = one.get("path") if isinstance(one, dict) else None
        hashed = one.get("hash") if isinstance(one, dict) else None
        if not isinstance(path, str) or not isinstance(hashed, str) or not hashed.startswith("sha256:"):
            text = f"{DESCRIPTOR}: expected resources, each with path and hash sha256:…"
            raise FileRefusal("SYNTAX", text, (DESCRIPTOR,))
        if path in found:
            raise _damaged(path, f"stands twice in {DESCRIPTOR}")
        found[path] = hashed.removeprefix("sha256:")
    return found


def _damaged(path: str, why: str) -> FileRefusal:
    text = f"{path} {why}. Take the open data from where it came, again; its numbers are not to be trusted as it is."
    return FileRefusal("DAMAGED", text, (path,))
