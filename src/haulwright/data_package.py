"""A folder of files as a Data Package: what every file is, in the form of an open standard.

References
----------
Data Package, version 1 (Frictionless Data, specs.frictionlessdata.io): descriptor ``datapackage.json`` with ``resources``,
each with ``name``, ``path``, ``bytes`` and ``hash``; Tabular Data Resource and Table Schema, version 1, for a table of ours.
"""

from __future__ import annotations

import mimetypes
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import PurePosixPath
from typing import Any

from haulwright.version import __version__

DESCRIPTOR = "datapackage.json"
OPEN_DATA = "haulwright-open-data"
"""Kind of a package that is a campaign's open data; it stands in the descriptor."""
MEDIA = {
    ".md": "text/markdown",
    ".yaml": "application/yaml",
    ".yml": "application/yaml",
    ".csv": "text/csv",
    ".toml": "application/toml",
}
"""Beside what the standard library knows."""


@dataclass(frozen=True)
class Resource:
    """One file of a package: its path below the package, what it is, its size and hash.

    ``schema`` is the Table Schema of a table; a file without one is handed out as it is, and nobody is to read a table
    into it: a log of somebody else's making may break every rule of a table.
    """

    path: str
    title: str
    bytes: int
    sha256: str
    description: str = ""
    schema: Mapping[str, Any] | None = None


@dataclass(frozen=True)
class Package:
    """What a package says of itself as a whole; ``more`` are further keys of the descriptor.

    ``created`` is when the newest of its files came in, ISO 8601, or empty: the same files give the same descriptor.
    """

    name: str
    title: str
    description: str
    created: str = ""
    licences: tuple[Mapping[str, str], ...] = ()
    more: Mapping[str, Any] = field(default_factory=dict)


def descriptor(package: Package, resources: Iterable[Resource]) -> dict[str, Any]:
    """Return the descriptor of a package.

    Parameters
    ----------
    package : Package
    resources : iterable of Resource
        No path twice.

    Examples
    --------
    >>> found = descriptor(Package("a-book", "A book", ""), [Resource("logs/Run 1.csv", "log", 12, "ab")])
    >>> [(one["name"], one["hash"], one["mediatype"]) for one in found["resources"]]
    [('logs/run-1.csv', 'sha256:ab', 'text/csv')]
    """
    names: set[str] = set()
    told: dict[str, Any] = {
        "profile": "data-package",
        "name": package.name,
        "title": package.title,
        "description": package.description,
    }
    if package.created:
        told["created"] = package.created
    if package.licences:
        told["licenses"] = [dict(one) for one in package.licences]
    return {
        **told,
        "haulwright": __version__,
        **package.more,
        "resources": [_resource(one, names) for one in resources],
    }


def resource_name(path: str) -> str:
    """Return the name of a resource by its path, where no other has it already.

    Examples
    --------
    >>> resource_name("results/Runs.csv")
    'results/runs.csv'
    """
    return re.sub(r"[^a-z0-9._/]+", "-", path.lower()).strip("-/") or "file"


def _resource(one: Resource, names: set[str]) -> dict[str, Any]:
    suffix = PurePosixPath(one.path).suffix.lower()
    media = MEDIA.get(suffix) or mimetypes.guess_type(one.path)[0]
    told: dict[str, Any] = {"name": _name(one.path, names), "path": one.path, "title": one.title}
    if one.description:
        told["description"] = one.description
    if one.schema is None:
        told |= {"profile": "data-resource", "type": "file"}
    else:
        told |= {"profile": "tabular-data-resource", "encoding": "utf-8"}
    if suffix[1:]:
        told["format"] = suffix[1:]
    if media:
        told["mediatype"] = media
    told |= {"bytes": one.bytes, "hash": f"sha256:{one.sha256}"}
    return told if one.schema is None else told | {"schema": dict(one.schema)}


def _name(path: str, taken: set[str]) -> str:
    """Return the name of a resource: lower-case letters, digits and ``. _ - /``, none twice."""
    plain = resource_name(path)
    name, n = plain, 1
    while name in taken:
        n += 1
        name = f"{plain}-{n}"
    taken.add(name)
    return name
