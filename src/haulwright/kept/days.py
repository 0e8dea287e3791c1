"""The day of a campaign of a book: a run noted, its logs attached, pulled again; each a new version, nothing is lost."""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import date
from pathlib import Path

from haulwright.book.document_result import DocumentKept
from haulwright.book.names import file_name
from haulwright.book.terms import Terms
from haulwright.errors import BookRefusal
from haulwright.files import field_day
from haulwright.kept.documents import PREFIX, change_document, keep_changed
from haulwright.kept.where import Where

Changes = Mapping[str, bytes]
DEVICES = "devices"
TRIES = 4  # as many hands as may change one campaign at the same moment


def change_campaign(
    where: Where, name: str, what: str, changes: Callable[[Path], Changes], *, by: str = "", why: str = ""
) -> DocumentKept:
    """Keep a campaign with some of its files changed as a new version.

    Parameters
    ----------
    where : Where
    name : str
        Of the campaign.
    what : str
        What is done, in words.
    changes : callable
        Is given the campaign's folder; returns the files that change, whole, by their path in it.
    by, why : str

    Raises
    ------
    Refusal
        What the callable or the reader of the campaign refuses: nothing is kept then.

    Notes
    -----
    Where somebody else kept a version meanwhile, the change is made on that one: it speaks of one run only.
    """

    def change(folder: Path, _: str) -> None:
        for path, data in changes(folder).items():
            target = folder / path
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_bytes(data)

    for tries_left in reversed(range(TRIES)):
        try:
            return change_document(where, "campaign", name, Terms(what, by, why, sure=True), change)
        except BookRefusal as refusal:
            if refusal.code != "CHANGED" or not tries_left:
                raise
    raise AssertionError("the last try raises")


def note_run(where: Where, name: str, run: str, cells: Mapping[str, str], *, by: str = "") -> DocumentKept:
    """Keep what was noted of a run; see :func:`haulwright.files.field_day.noted`."""
    return change_campaign(
        where, name, f"noted of run {run}", lambda folder: field_day.noted(folder, run, cells), by=by
    )


def attach_log(
    where: Where,
    name: str,
    run: str,
    place: str,
    log: str,
    sent: Path,
    *,
    by: str = "",
    instead: bool = False,
) -> DocumentKept:
    """Keep a log under the name the sheet gives it; see :func:`haulwright.files.field_day.attached`.

    Parameters
    ----------
    where : Where
    name : str
        Of the campaign.
    run, place : str
    log : str
        The file's own name.
    sent : Path
        Where it lies.
    by : str
    instead : bool
    """
    data = sent.read_bytes()
    return change_campaign(
        where,
        name,
        f"log {log} of run {run}",
        lambda folder: field_day.attached(folder, run, place, log, data, instead=instead),
        by=by,
    )


def pull_again(where: Where, name: str, run: str, *, by: str, why: str) -> DocumentKept:
    """Keep a run as one to be pulled again; see :func:`haulwright.files.field_day.pulled_again`."""
    return change_campaign(
        where,
        name,
        f"run {run} is pulled again",
        lambda folder: field_day.pulled_again(folder, run, who=by, why=why, when=date.today())[1],
        by=by,
        why=why,
    )


def keep_devices(where: Where, name: str, written: Path, *, by: str = "") -> DocumentKept:
    """Keep the friction a campaign found as a document of its own, named as the campaign, for pulls to choose.

    Parameters
    ----------
    where : Where
    name : str
        Of the campaign, and of the devices.
    written : Path
        The devices file in catalogue form.
    by : str
    """
    with tempfile.TemporaryDirectory(prefix=PREFIX, ignore_cleanup_errors=True) as folder:
        given = Path(folder, f"{file_name(name)}.toml")
        given.write_bytes(written.read_bytes())
        terms = Terms(f"friction found by {name}", by, sure=True)
        found = keep_changed(where, DEVICES, name, given, terms)
    return replace(found, text=None)
