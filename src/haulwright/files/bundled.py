"""Which files of a campaign folder are handed out, and what in them had better not be."""

from __future__ import annotations

import posixpath
import re
from collections.abc import Iterator
from pathlib import Path

from haulwright.files.campaign import CampaignFolder
from haulwright.files.kept_bytes import FoundFile, found_file

_RIG_FILES = (".yaml", ".yml")
_LOOKED_AT = 200_000  # characters of a file; paths stand in the head of a log
_PATH = re.compile(
    r"(?:(?<![\w./])/(?:home|Users|mnt|media|root|tmp|var|srv)/[^\s,;\"']+|\b[A-Za-z]:\\[^\s,;\"']+)"
)


def campaign_files(folder: CampaignFolder) -> tuple[FoundFile, ...]:
    """Return the files a campaign is measured from: its own three, and the logs and rig files the run sheet names.

    Raises
    ------
    FileRefusal
        LINK, TOO_LARGE, NO_FILE.
    """
    names = ["campaign.yaml", "runs.csv"]
    names += ["decisions.yaml"] if (folder.path / "decisions.yaml").exists() else []
    names += [
        one.rig for one in folder.runs if one.rig.endswith(_RIG_FILES) and _inside(folder.path, one.rig)
    ]
    names += [log.relative_to(folder.path).as_posix() for entry in folder.runs for log in entry.logs]
    return tuple(found_file(folder.path, name) for name in sorted({posixpath.normpath(one) for one in names}))


def _inside(folder: Path, name: str) -> bool:
    """Return whether a file of that name is there and lies in the folder; a run whose rig does not gives no number."""
    path = folder / name
    return path.resolve().is_relative_to(folder.resolve()) and path.is_file()


def machine_paths(folder: CampaignFolder) -> Iterator[tuple[str, str]]:
    """Yield each file that names a path of a machine, and the first such path."""
    for one in campaign_files(folder):
        text = one.read()[:_LOOKED_AT].decode("utf-8", errors="replace")
        if found := _PATH.search(text):
            yield one.path, found[0]
