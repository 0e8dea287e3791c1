"""The base of every result record: frozen, unit in the field's name, one ``to_dict`` for all.

A field's name is its key in the JSON contract; one trailing underscore is dropped (``from_`` is ``from``).
A field whose name starts with an underscore stays out. A value with an uncertainty brings its own ``to_dict``.
"""

from __future__ import annotations

import contextlib
import math
import os
import threading
from collections.abc import Mapping
from dataclasses import dataclass, fields, is_dataclass
from enum import Enum
from pathlib import Path
from typing import Any, ClassVar

from haulwright.notices import Notice
from haulwright.version import __version__


@dataclass(frozen=True)
class Made:
    """How a record came about.

    Attributes
    ----------
    method : str
        The computation in one phrase.
    inputs : mapping
        The inputs as given, by name.
    sources : tuple of str
        Citations of the numbers used.
    version : str
        Version of the software.
    """

    method: str
    inputs: Mapping[str, Any]
    sources: tuple[str, ...] = ()
    version: str = __version__


@dataclass(frozen=True, kw_only=True)
class Record:
    """A result with its kind, its notices and how it came about.

    Subclasses are frozen, keyword-only dataclasses that set ``kind``.
    """

    kind: ClassVar[str]
    notices: tuple[Notice, ...] = ()
    made: Made | None = None

    def to_dict(self) -> dict[str, Any]:
        """Return the record as plain JSON types (what ``--json`` prints)."""
        return {"haulwright": __version__, "kind": self.kind, **_fields(self)}


def plain(value: Any) -> Any:
    """Return ``value`` in plain JSON types; not-a-number becomes null.

    Examples
    --------
    >>> plain({"a": (1, 2.5), "b": float("nan")})
    {'a': [1, 2.5], 'b': None}
    """
    if isinstance(value, Enum):
        return value.value
    if value is None or isinstance(value, bool | int | str):
        return value
    if isinstance(value, float):
        return value if math.isfinite(value) else None
    if isinstance(value, Mapping):
        return {str(key): plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple | set | frozenset):
        return [plain(item) for item in value]
    if not isinstance(value, Record) and hasattr(value, "to_dict"):
        return value.to_dict()
    if is_dataclass(value):
        return _fields(value)
    return plain(value.item()) if hasattr(value, "item") else str(value)


def _fields(record: Any) -> dict[str, Any]:
    return {
        f.name.removesuffix("_"): plain(getattr(record, f.name)) for f in fields(record) if f.name[0] != "_"
    }


def write_whole(path: Path, text: str) -> None:
    """Write a text file so that it is there whole or not at all, whatever stops the writing.

    Raises
    ------
    OSError
        Where the system does not write.
    """
    beside = path.with_name(f"{path.name[:60]}.{os.getpid()}-{threading.get_ident()}.part")
    try:
        beside.write_text(text, encoding="utf-8")
        beside.replace(path)
    except BaseException:
        with contextlib.suppress(OSError):
            beside.unlink()
        raise
