"""Traces of runs kept beside their results, so that a look at a part of a long log need not read the log again.

As with the runs: the name of an entry is the hash of what it came from, an entry that cannot be read is made anew,
and one that cannot be written is only made anew next time.
"""

from __future__ import annotations

import contextlib
import os
import threading
from collections.abc import Callable
from pathlib import Path
from zipfile import BadZipFile

import numpy as np

from haulwright.trials.traces import Series, WholeTraces

MOST_KEPT = 40  # the oldest go first
_SUFFIX = ".npz"
_RATIO = "ratio"


class TraceStore:
    """A folder of traces.

    Parameters
    ----------
    folder : Path or None
        Made at the first entry; None keeps nothing.
    """

    def __init__(self, folder: Path | None) -> None:
        self.folder = folder

    def kept(self, key: str, make: Callable[[], WholeTraces]) -> WholeTraces:
        """Return the traces kept under a key; those made now are kept."""
        found = self._get(key)
        if found is None:
            found = make()
            self._put(key, found)
        return found

    def _get(self, key: str) -> WholeTraces | None:
        if self.folder is None:
            return None
        try:
            with (
                (self.folder / f"{key}{_SUFFIX}").open("rb") as file,
                np.load(file, allow_pickle=False) as held,
            ):
                return _up({name: held[name] for name in held.files})
        except (OSError, ValueError, KeyError, EOFError, BadZipFile):
            return None

    def _put(self, key: str, whole: WholeTraces) -> None:
        if self.folder is None:
            return
        beside = self.folder / f"{key}.{os.getpid()}-{threading.get_ident()}.part"
        with contextlib.suppress(OSError):
            self.folder.mkdir(parents=True, exist_ok=True)
            try:
                with beside.open("wb") as out:
                    np.savez(out, allow_pickle=False, **_down(whole))
                beside.replace(self.folder / f"{key}{_SUFFIX}")
            finally:
                beside.unlink(missing_ok=True)
            self._let_go()

    def _let_go(self) -> None:
        """Take away the oldest entries beyond those that are kept."""
        if self.folder is None:
            return
        by_age = sorted(self.folder.glob(f"*{_SUFFIX}"), key=lambda path: path.stat().st_mtime)
        for path in by_age[:-MOST_KEPT]:
            path.unlink(missing_ok=True)


def _down(whole: WholeTraces) -> dict[str, np.ndarray]:
    held = {}
    every = {
        f"{kind}/{place}": one
        for kind in ("aligned", "logged")
        for place, one in getattr(whole, kind).items()
    }
    if whole.ratio is not None:
        every[_RATIO] = whole.ratio
    for name, one in every.items():
        held[f"{name}/time"], held[f"{name}/value"] = one.time_s, one.value
        held[f"{name}/period"] = np.array(one.period_s)
    return held


def _up(held: dict[str, np.ndarray]) -> WholeTraces:
    def series(name: str) -> Series:
        return Series(held[f"{name}/time"], held[f"{name}/value"], float(held[f"{name}/period"]))

    def places(kind: str) -> dict[str, Series]:
        head, tail = f"{kind}/", "/period"
        names = [
            name[len(head) : -len(tail)] for name in held if name.startswith(head) and name.endswith(tail)
        ]
        return {place: series(f"{head}{place}") for place in names}

    return WholeTraces(
        places("aligned"), places("logged"), series(_RATIO) if f"{_RATIO}/time" in held else None
    )
