"""Campaigns of a book: which there are, the run sheet, one more run, one more decision."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, ClassVar

from haulwright.book.document_result import DocumentKept
from haulwright.book.documents import runs_of_campaigns
from haulwright.errors import FileRefusal
from haulwright.files.campaign import CampaignFolder, read_campaign
from haulwright.files.deciding import FILE, SECTIONS, decided, today, withdrawn
from haulwright.files.kept_facts import campaign_facts
from haulwright.files.runsheet import HEADERS
from haulwright.files.sheet_edit import changed_row, rows_of
from haulwright.kept.documents import change_document, list_documents, terms_of
from haulwright.kept.where import Where, book_of
from haulwright.records import Made, Record

SHEET = "runs.csv"


@dataclass(frozen=True)
class ListedCampaign:
    """A campaign that may be asked for: where it comes from, ``folder`` or ``book``; its version where a book has it.

    ``runs`` are those of its run sheet, ``pulled`` those of them whose readings are all there; None for a folder.
    """

    name: str
    from_: str
    version: int | None = None
    changed_at: str = ""
    invented: bool = False
    runs: int | None = None
    pulled: int | None = None


@dataclass(frozen=True)
class DecisionOfRun:
    """What was decided by hand about one run, with who, when, why; ``what`` as the book's decisions have it."""

    run: str
    what: str
    who: str
    day: str
    why: str
    channel: str
    values: Mapping[str, float]


@dataclass(frozen=True, kw_only=True)
class RunSheet(Record):
    """The run sheet of a campaign as it stands, with the logs that are there and what was decided by hand.

    Attributes
    ----------
    campaign : str
    columns : tuple of str
    rows : tuple of mapping column -> text
    logs : tuple of str
        Files of ``logs/``, from the campaign's folder.
    missing : tuple of str
        Logs that the sheet names and that are not there yet.
    decisions : tuple of DecisionOfRun
    """

    kind: ClassVar[str] = "run-sheet"
    campaign: str
    columns: tuple[str, ...]
    rows: tuple[Mapping[str, str], ...]
    logs: tuple[str, ...]
    missing: tuple[str, ...]
    decisions: tuple[DecisionOfRun, ...]


def list_campaigns(where: Where) -> tuple[ListedCampaign, ...]:
    """Return the campaigns a book holds."""
    with book_of(where) as book:
        runs_of = runs_of_campaigns(book)
    return tuple(
        ListedCampaign(
            one.name, "book", one.version, one.changed_at, one.invented, *runs_of.get(one.name, (0, 0))
        )
        for one in list_documents(where, "campaign").documents
    )


def run_sheet(folder: str | Path) -> RunSheet:
    """Return the run sheet of a campaign folder.

    Raises
    ------
    FileRefusal
        What the reader of the campaign refuses; logs and runs may still be to come.
    """
    read = read_campaign(folder, logs_needed=False, runs_needed=False)
    path = read.path / SHEET
    text = path.read_text(encoding="utf-8-sig") if path.exists() else ""
    header = next(csv.reader(io.StringIO(text), delimiter=_separator(text)), [])
    logs = read.path / "logs"
    there = sorted(one.relative_to(read.path).as_posix() for one in logs.rglob("*") if one.is_file())
    named = dict.fromkeys(log.relative_to(read.path).as_posix() for entry in read.runs for log in entry.logs)
    return RunSheet(
        campaign=read.spec.name,
        columns=tuple(name.strip() for name in header) or HEADERS,
        rows=tuple(rows_of(text)) if text.strip() else (),
        logs=tuple(there),
        missing=tuple(path for path in named if path not in there),
        decisions=_decisions(read),
        made=Made("read from the campaign's folder", {"campaign": read.spec.name}),
    )


def _separator(text: str) -> str:
    first = text.partition("\n")[0]
    return ";" if first.count(";") > first.count(",") else ","


def _decisions(read: CampaignFolder) -> tuple[DecisionOfRun, ...]:
    values = ("start_s", "end_s", "offset_s", "zero_N")
    return tuple(
        DecisionOfRun(
            run=row["run"],
            what=row["kind"],
            who=row["who"],
            day=row["day"].isoformat(),
            why=row["why"],
            channel=row["channel"],
            values={name: row[name] for name in values if row[name] is not None},
        )
        for row in campaign_facts(read)["decisions"]
    )


def decide(
    where: Where,
    name: str,
    what: str,
    given: Mapping[str, Any],
    *,
    also: bool = False,
    take_back: bool = False,
    version: int | None = None,
) -> DocumentKept:
    """Keep a decision about a run as a new version of its campaign.

    Parameters
    ----------
    where : Where
    name : str
        Of the campaign.
    what : str
        ``stretch``, ``offset``, ``zero`` or ``exclusion``.
    given : mapping
        ``run``, ``who``, ``why``; ``start`` and ``end``, or ``channel`` with ``offset`` or ``zero``, as text with unit.
    also : bool
        Of a stretch: beside those the run has, not in their place.
    take_back : bool
        Take back what was decided of the kind about the run; it stays to be read.
    version : int or None
        The one that was read; None: the present one, whichever that is.

    Raises
    ------
    Refusal
        CHANGED; NO_DECISION; what the reader of ``decisions.yaml`` refuses, with its line.
    """
    if what not in SECTIONS:
        raise FileRefusal("VALUE", f"what = {what!r}: expected {', '.join(SECTIONS)}.", ("what",))
    told = {"run": given["run"], "who": given.get("who", ""), "when": today(), "why": given.get("why", "")}
    entry = told | {key: value for key, value in given.items() if key not in told and value is not None}

    def change(folder: Path, _: str) -> None:
        path = folder / FILE
        before = path.read_text(encoding="utf-8-sig") if path.exists() else None
        after = withdrawn(before, what, entry) if take_back else decided(before, what, entry, also=also)
        path.write_text(after, encoding="utf-8")

    verb = "taken back" if take_back else "decided"
    return change_document(
        where, "campaign", name, terms_of(f"{what} {verb}", entry["who"], entry["why"], version), change
    )


def add_runs(
    where: Where,
    name: str,
    rows: Sequence[Mapping[str, str]],
    *,
    by: str = "",
    why: str = "",
    version: int | None = None,
) -> DocumentKept:
    """Keep a run sheet with more rows, or with cells of some runs changed; every other row stays as it is.

    Parameters
    ----------
    where : Where
    name : str
        Of the campaign.
    rows : sequence of mapping column -> text
        Each with ``run``: of a run the sheet has, the cells given are changed; any other is added at the end.
    by, why : str
    version : int or None
        The one that was read; None: the present one.

    Raises
    ------
    Refusal
        CHANGED; what the reader of the run sheet refuses, with its line.
    """

    def change(folder: Path, _: str) -> None:
        path = folder / SHEET
        text = path.read_bytes().decode("utf-8") if path.exists() else ""
        path.write_bytes(with_rows(text, rows).encode("utf-8"))

    terms = terms_of("run sheet", by, why, version)
    return change_document(where, "campaign", name, terms, change)


def with_rows(text: str, rows: Sequence[Mapping[str, str]]) -> str:
    """Return a run sheet with cells of some runs changed, and new runs at its end.

    Examples
    --------
    >>> with_rows("run,rig,line_log\\na,two-part,a.csv\\n", [{"run": "b", "rig": "two-part", "line_log": "b.csv"}])
    'run,rig,line_log\\na,two-part,a.csv\\nb,two-part,b.csv\\n'
    """
    text = text if text.strip() else f"{','.join(HEADERS)}\n"
    had = {row.get("run") for row in rows_of(text)}
    for row in rows:
        run = row.get("run", "").strip()
        if not run:
            raise FileRefusal("MISSING_VALUE", f"{SHEET}: run is empty: give it a name.", ("run",))
        if run not in had:
            text = _with_empty_row(text, run)
            had.add(run)
        text = changed_row(text, run, {column: cell for column, cell in row.items() if column != "run"})
    return text


def _with_empty_row(text: str, run: str) -> str:
    """Return a sheet with one row more that holds the name of a run alone."""
    header = [
        name.strip()
        for name in next(csv.reader(io.StringIO(text.lstrip("\ufeff")), delimiter=_separator(text)))
    ]
    out = io.StringIO()
    ending = "\r\n" if "\r\n" in text else "\n"
    cells = [run if name == "run" else "" for name in header]
    csv.writer(out, delimiter=_separator(text), lineterminator=ending).writerow(cells)
    return text.rstrip("\r\n") + ending + out.getvalue()
