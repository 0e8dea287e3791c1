"""Logs that were sent once and are asked about again and again, kept by their content until the server ends."""

from __future__ import annotations

import hashlib
import shutil
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import ClassVar

from haulwright.errors import UsageRefusal
from haulwright.interfaces.web.answers import PREFIX
from haulwright.records import Record

KEEP = "kept"  # beside the logs: what was made of them
MOST_BYTES = 1_000_000_000
_PIECE = 1 << 20


@dataclass(frozen=True)
class KeptLog:
    """One log: its name, its size [bytes], the hash of its bytes."""

    name: str
    size: int
    sha256: str


@dataclass(frozen=True, kw_only=True)
class KeptLogs(Record):
    """The logs of one run as they are kept; ``key`` is what they are asked for by."""

    kind: ClassVar[str] = "kept-logs"
    key: str
    logs: tuple[KeptLog, ...]


@dataclass
class Tray:
    """A folder for each set of logs, named by its content; those not asked for the longest go when it is full.

    Attributes
    ----------
    most_bytes : int
        Of all logs together.
    """

    most_bytes: int = MOST_BYTES
    sets: dict[str, KeptLogs] = field(default_factory=dict)
    root: Path | None = None

    def keep(self, folder: Path, names: Sequence[str]) -> KeptLogs:
        """Take the logs over from a folder and return what they are kept as.

        Parameters
        ----------
        folder : Path
            Holds them; they are moved out of it.
        names : sequence of str
            In their order: of two the line's comes first.
        """
        logs = tuple(KeptLog(name, (folder / name).stat().st_size, _sha256(folder / name)) for name in names)
        key = hashlib.sha256("\n".join(f"{one.sha256} {one.name}" for one in logs).encode()).hexdigest()
        if key in self.sets:
            return self.find(key)
        if self.root is None:
            self.root = Path(tempfile.mkdtemp(prefix=PREFIX))
        place = self.root / key
        place.mkdir()
        for name in names:
            shutil.move(folder / name, place / name)
        self.sets[key] = KeptLogs(key=key, logs=logs)
        self._make_room()
        return self.sets[key]

    def find(self, key: str) -> KeptLogs:
        """Return a set of logs; it counts as asked for now.

        Raises
        ------
        UsageRefusal
            NOT_FOUND: it is not here, or no longer.
        """
        found = self.sets.pop(key, None)
        if found is None:
            words = "These logs are not here any more: the server was started anew, or others took their place. Send them again."
            raise UsageRefusal("NOT_FOUND", words, (key[:12],))
        self.sets[key] = found
        return found

    def place(self, key: str) -> str:
        """Return the folder of a set of logs.

        Raises
        ------
        UsageRefusal
            NOT_FOUND.
        """
        self.find(key)
        return str(Path(self.root or "", key))

    def close(self) -> None:
        """Take all of it away."""
        if self.root is not None:
            shutil.rmtree(self.root, ignore_errors=True)
        self.root = None
        self.sets.clear()

    def _make_room(self) -> None:
        """Take away the sets asked for longest ago until the rest fits; the newest stays whatever its size."""
        sizes = {key: sum(log.size for log in one.logs) for key, one in self.sets.items()}
        for key in [*sizes][:-1]:
            if sum(sizes.values()) <= self.most_bytes:
                return
            del sizes[key], self.sets[key]
            shutil.rmtree(Path(self.root or "", key), ignore_errors=True)


def _sha256(path: Path) -> str:
    digest = hashlib.sha256()
    with path.open("rb") as file:
        while piece := file.read(_PIECE):
            digest.update(piece)
    return digest.hexdigest()
