"""What a server is told when it is started, and how much it takes."""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from haulwright.errors import FileRefusal
from haulwright.publishing.writing import file_name

MEGABYTE = 1_000_000


@dataclass(frozen=True)
class Settings:
    """How a server runs.

    Attributes
    ----------
    campaigns : mapping name -> Path
        Folders the user named at the start; no other folder is ever read.
    open_to_network : bool
        Whether devices on the local network may ask; each must then hold a session.
    book : str or None
        Where the user's book lies, a file or an address; None: as the command line finds it.
    photo_bytes, json_bytes, log_bytes, campaign_bytes : int
        Greatest photograph, and body of a question in JSON, of the logs of one run, of a whole campaign.
    most_files : int
        In one upload.
    body_s : float
        Within which a body must have arrived [s].
    quick_s, long_s : float
        Within which an answer must be found, for a rig and for all else [s].
    """

    campaigns: Mapping[str, Path] = field(default_factory=dict)
    open_to_network: bool = False
    book: str | None = None
    photo_bytes: int = 8 * MEGABYTE
    json_bytes: int = 2 * MEGABYTE
    log_bytes: int = 100 * MEGABYTE
    campaign_bytes: int = 400 * MEGABYTE
    most_files: int = 500
    body_s: float = 120.0
    quick_s: float = 30.0
    long_s: float = 900.0

    def greatest_body(self, path: str) -> int:
        """Return the greatest body that a path takes [bytes]."""
        if path.startswith("/api/book/"):
            return self._of_book(path)
        attached = path.startswith("/api/campaigns/") and path.endswith("/attach")
        if path.startswith("/api/trial/") or attached:
            return self.log_bytes
        return self.campaign_bytes if path.startswith("/api/campaign/") else self.json_bytes

    def _of_book(self, path: str) -> int:
        parts = path.split("/")[3:]
        if parts[0] == "import":
            return self.campaign_bytes
        if parts[0] == "kit" and "photos" in parts[3:]:
            return self.photo_bytes
        return self.log_bytes if parts[0] == "documents" and parts[-1] == "file" else self.json_bytes


def book_place(given: str | None) -> str | None:
    """Return where a book lies, whatever folder the work is done in.

    Examples
    --------
    >>> book_place("postgresql://club@host/book")
    'postgresql://club@host/book'
    """
    if not given or "://" in given:
        return given
    return str(Path(given).absolute())


def named_campaigns(folders: Sequence[Path]) -> dict[str, Path]:
    """Return campaign folders by the name they are asked for by.

    Raises
    ------
    FileRefusal
        CAMPAIGN: no folder with a ``campaign.yaml``.
    """
    found: dict[str, Path] = {}
    for given in folders:
        if not os.path.isfile(given / "campaign.yaml"):  # noqa: PTH113 - also False for a path no system takes
            raise FileRefusal(
                "CAMPAIGN",
                f"--campaign {given}: there is no campaign.yaml. Give a campaign's folder.",
                (str(given),),
            )
        folder = given.resolve()
        stem = name = file_name(folder.name)
        number = 2
        while name in found and found[name] != folder:
            name, number = f"{stem}-{number}", number + 1
        found[name] = folder
    return found
