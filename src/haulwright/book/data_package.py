"""A book that was written out as a Data Package: what every file is, in the form of an open standard.

References
----------
Data Package, version 1 (Frictionless Data, specs.frictionlessdata.io): descriptor ``datapackage.json`` with ``resources``,
each with ``name``, ``path``, ``bytes`` and ``hash``.
"""

from __future__ import annotations

import mimetypes
import re
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import PurePosixPath
from typing import Any

from haulwright.version import __version__

DESCRIPTOR = "datapackage.json"
MEDIA = {
    ".yaml": "application/yaml",
    ".yml": "application/yaml",
    ".csv": "text/csv",
    ".toml": "application/toml",
}
"""Beside what the standard library knows."""


@dataclass(frozen=True)
class Resource:
    """One file of a package: its path below the package, what it is, its size and hash."""

    path: str
    title: str
    bytes: int
    sha256: str


def descriptor(resources: Iterable[Resource], created: str) -> dict[str, Any]:
    """Return the descriptor of a package.

    Parameters
    ----------
    resources : iterable of Resource
        No path twice.
    created : str
        When the newest of them came in, ISO 8601: the same files give the same descriptor.

    Examples
    --------
    >>> found = descriptor([Resource("logs/Run 1.csv", "log", 12, "ab")], "2026-01-02T03:04:05+00:00")
    >>> [(one["name"], one["hash"], one["mediatype"]) for one in found["resources"]]
    [('logs/run-1.csv', 'sha256:ab', 'text/csv')]
    """
    names: set[str] = set()
    return {
        "profile": "data-package",
        "name": "haulwright-book",
        "title": "A book of Haulwright with every version of every document",
        "description": "Campaigns, kits, pulls, rigs and measured devices as they came in, byte for byte. book.json tells "
        "the documents, their versions, and who brought them in, when and why.",
        "created": created,
        "haulwright": __version__,
        "resources": [_resource(one, names) for one in resources],
    }


def _resource(one: Resource, names: set[str]) -> dict[str, Any]:
    suffix = PurePosixPath(one.path).suffix.lower()
    media = MEDIA.get(suffix) or mimetypes.guess_type(one.path)[0]
    told: dict[str, Any] = {"name": _name(one.path, names), "path": one.path, "title": one.title}
    if suffix[1:]:
        told["format"] = suffix[1:]
    if media:
        told["mediatype"] = media
    return told | {"bytes": one.bytes, "hash": f"sha256:{one.sha256}"}


def _name(path: str, taken: set[str]) -> str:
    """Return the name of a resource: lower-case letters, digits and ``. _ - /``, none twice."""
    plain = re.sub(r"[^a-z0-9._/]+", "-", path.lower()).strip("-/") or "file"
    name, n = plain, 1
    while name in taken:
        n += 1
        name = f"{plain}-{n}"
    taken.add(name)
    return name
