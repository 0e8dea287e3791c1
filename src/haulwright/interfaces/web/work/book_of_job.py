"""The book behind a question: its campaigns written out, its kits put into pulls, and where it lies told to nobody.

What needs the database is loaded where it is needed: a question about a rig alone waits for none of it.
"""

from __future__ import annotations

import inspect
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from haulwright.errors import BookRefusal, UsageRefusal
from haulwright.interfaces.web.answers import Answer
from haulwright.interfaces.web.work.job import IN_BOOK, Job

if TYPE_CHECKING:
    from haulwright.kept.where import Where

_NAMED = ("kit", "friction", "own")


class BookOfJob:
    """The book a job is asked of: opened where the job needs it, and never named by where it lies."""

    def __init__(self, job: Job) -> None:
        self.job = job
        self._where: Where | None = None
        self.folder = None if job.folder == IN_BOOK else job.folder
        self.hidden = [self.folder or ""]

    def given(self, verb: Callable[..., Answer]) -> dict[str, Any]:
        """Return what a verb is given, with what it needs of the book.

        Raises
        ------
        Refusal
            A campaign the book does not have; what the book refuses.
        """
        found = dict(self.job.given)
        if "where" in inspect.signature(verb).parameters:
            found["where"] = self._used()
            return found
        if self.job.folder == IN_BOOK:
            folder = self._campaign(str(found["campaign"]))
            self.folder, found["campaign"] = str(folder.parent), folder.name
            self.hidden.append(self.folder)
        if isinstance(found.get("own"), str):
            found["own"] = self._whole({"own": found["own"]}).get("own")
        pull = found.get("pull")
        if isinstance(pull, Mapping):
            found["pull"] = self._whole(pull)
        elif isinstance(pull, list):
            found["pull"] = [self._whole(one) if isinstance(one, Mapping) else one for one in pull]
        return found

    def _whole(self, pull: Mapping[str, Any]) -> Mapping[str, Any]:
        if not any(isinstance(pull.get(key), str) for key in _NAMED):
            return pull
        from haulwright.kept.pulls import whole_pull

        return whole_pull(self._used(), pull)

    def _campaign(self, name: str) -> Path:
        from haulwright.kept.campaigns import list_campaigns
        from haulwright.kept.work_folder import campaign_folder

        try:
            return campaign_folder(self._used(), name)
        except BookRefusal as refusal:
            if refusal.code != "UNKNOWN_DOCUMENT":
                raise
            held = ", ".join(one.name for one in list_campaigns(self._used())) or "none yet"
            text = f"There is no campaign {name!r} here. The book has: {held}. A folder is given at the start: --campaign DIR."
            raise UsageRefusal("NOT_FOUND", text, (name,)) from None

    def _used(self) -> Where:
        """Return the book; from now on no answer may tell where it lies."""
        if self._where is not None:
            return self._where
        from haulwright.kept.where import Where

        where = self._where = Where(self.job.book, self.job.book_at)
        place = where.place
        if place.path is None:
            self.hidden.append(place.shown)
        else:
            self.hidden += [str(where.work), str(place.path.parent), str(place.path.absolute().parent)]
        self.hidden = [one for one in self.hidden if one not in (".", "/")]
        return where
