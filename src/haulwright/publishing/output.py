"""The folder that files are written into, and the record of what was written."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import ClassVar

from haulwright.errors import FileRefusal
from haulwright.records import Made, Record

Written = tuple[Path, str]
"""A file that was written, and what it is."""


@dataclass(frozen=True)
class WrittenFile:
    """One file that was written: path as given to the verb, hash of its bytes, what it is."""

    path: str
    sha256: str
    what: str


@dataclass(frozen=True, kw_only=True)
class Files(Record):
    """Files that a verb wrote."""

    kind: ClassVar[str] = "files"
    files: tuple[WrittenFile, ...]


@contextmanager
def output_folder(out: str | Path) -> Iterator[Path]:
    """Give the folder of ``out``, made if need be; what the system will not write is refused, not thrown.

    Raises
    ------
    FileRefusal
        OUT: among a campaign's logs, or where the system does not write.
    """
    path = Path(out)
    for folder in (path, *path.parents):
        if folder.name == "logs" and (folder.parent / "campaign.yaml").exists():
            raise FileRefusal(
                "OUT",
                f"--out {out}: nothing is written among a campaign's logs. Give another folder.",
                (str(out),),
            )
    try:
        path.mkdir(parents=True, exist_ok=True)
        yield path
    except OSError as err:
        file = "" if err.filename in (None, str(out)) else f", {Path(str(err.filename)).name}"
        raise FileRefusal(
            "OUT",
            f"--out {out}{file}: cannot write there ({err.strerror}). Give another folder.",
            (str(out),),
        ) from None


def record_of(written: Sequence[Written]) -> Files:
    """Return the record of files that were written, each with the hash of its bytes."""
    return Files(
        files=tuple(
            WrittenFile(str(path), hashlib.sha256(path.read_bytes()).hexdigest(), what)
            for path, what in written
        ),
        made=Made("written from the record", {}),
    )
