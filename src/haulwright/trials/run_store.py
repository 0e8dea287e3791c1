"""The measured runs of a campaign, kept by the content of everything they came from.

An entry's name is the hash of what went in; its first line the hash of what is in it. An entry that is not what it
says is measured anew. Entries are written beside their place and moved there whole, so that a stop in the middle
leaves nothing half-written behind.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import platform
from collections.abc import Collection, Mapping
from functools import lru_cache
from pathlib import Path
from typing import Any

import numpy
import scipy

from haulwright.records import plain, write_whole
from haulwright.version import __version__

_BELOW_TRIALS = ("catalogue", "files", "mechanics", "quantities", "trials")
_SUFFIX = ".run"


class RunStore:
    """A folder of measured runs.

    Parameters
    ----------
    folder : Path or None
        Made at the first entry; None keeps nothing.
    write : bool
        False to use what is there and add nothing.
    """

    def __init__(self, folder: Path | None, *, write: bool = True) -> None:
        self.folder = folder
        self.write = write and folder is not None

    def get(self, key: str) -> str | None:
        """Return the text kept under a key; None if there is none, or it is not what was kept."""
        if self.folder is None:
            return None
        try:
            digest, _, text = (self.folder / f"{key}{_SUFFIX}").read_text(encoding="utf-8").partition("\n")
        except (OSError, UnicodeDecodeError):
            return None
        return text if digest == _sha256(text.encode()) else None

    def put(self, key: str, text: str) -> None:
        """Keep a text under a key; a disk that takes nothing more only means that it is measured again next time."""
        if not self.write or self.folder is None:
            return
        with contextlib.suppress(OSError):
            self.folder.mkdir(parents=True, exist_ok=True)
            write_whole(self.folder / f"{key}{_SUFFIX}", f"{_sha256(text.encode())}\n{text}")

    def keep_only(self, keys: Collection[str]) -> None:
        """Take away the entries of inputs that are no more, and what a stop in the middle left."""
        if not self.write or self.folder is None or not self.folder.is_dir():
            return
        wanted = {f"{key}{_SUFFIX}" for key in keys}
        for path in self.folder.iterdir():
            if path.name not in wanted and path.suffix in (_SUFFIX, ".part"):
                with contextlib.suppress(OSError):
                    path.unlink()


def key_of(**inputs: Any) -> str:
    """Return the hash of inputs in plain types, with that of the software they go through.

    Examples
    --------
    >>> key_of(run="two-a1", rig="two-part") == key_of(rig="two-part", run="two-a1")
    True
    >>> key_of(run="two-a1") == key_of(run="two-a2")
    False
    """
    text = json.dumps({"software": software(), **plain(inputs)}, sort_keys=True, ensure_ascii=False)
    return _sha256(text.encode())


@lru_cache(maxsize=1)
def software() -> Mapping[str, str]:
    """Return what the result of a run depends on beside its inputs: versions, and the hash of the package's code."""
    root = Path(__file__).parents[1]
    paths = [*root.glob("*.py"), *(path for name in _BELOW_TRIALS for path in (root / name).rglob("*"))]
    digest = hashlib.sha256()
    for path in sorted(path for path in paths if path.suffix in (".py", ".toml")):
        digest.update(path.relative_to(root).as_posix().encode() + b"\0" + path.read_bytes() + b"\0")
    return {
        "haulwright": __version__,
        "code": digest.hexdigest(),
        "python": platform.python_version(),
        "machine": platform.machine(),
        "numpy": numpy.__version__,
        "scipy": scipy.__version__,
    }


def sha256_of(path: Path) -> str:
    """Return the hash of a file's bytes; empty where it cannot be read, which the reader will tell."""
    try:
        return _sha256(path.read_bytes())
    except OSError:
        return ""


def _sha256(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()
