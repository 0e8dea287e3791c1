"""What is due, what is in quarantine, and where two documents say different things of one piece."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict

import sqlalchemy as sa

from haulwright.book import schema as t
from haulwright.book.result import DueDate, Inspection, Quarantined
from haulwright.book.terms import quarantine_of
from haulwright.notices import Code, Notice


def _current(table: sa.Table) -> sa.Select[tuple[object, ...]]:
    """Return the query for the facts of all current versions, with the document they are of."""
    newest = sa.select(sa.func.max(t.versions.c.id)).group_by(t.versions.c.document_id)
    name = t.documents.c.name.label("document")
    chosen = sa.select(table, name, t.documents.c.id.label("document_id"))
    joined = chosen.join_from(table, t.versions, t.versions.c.id == table.c.version_id).join(t.documents)
    return joined.where(table.c.version_id.in_(newest)).order_by(t.documents.c.id)


def due_dates(connection: sa.Connection, day: dt.date) -> tuple[DueDate, ...]:
    """Return every inspection and calibration with its day, the earliest first.

    Of a cell that several campaigns name, the certificate that runs longest counts.
    """
    found = [
        DueDate(
            what="inspection",
            name=row["item"],
            of=row["document"],
            due=row["due"],
            days=(row["due"] - day).days,
            overdue=row["due"] < day,
            last=row["inspected"],
        )
        for row in connection.execute(_current(t.items)).mappings()
        if row["due"] is not None
    ]
    longest: dict[str, sa.RowMapping] = {}
    for row in connection.execute(_current(t.cells)).mappings():
        had = longest.get(row["cell"])
        if row["due"] is not None and (had is None or row["due"] > had["due"]):
            longest[row["cell"]] = row
    found += [
        DueDate(
            what="calibration",
            name=cell,
            of=row["document"],
            due=row["due"],
            days=(row["due"] - day).days,
            overdue=row["due"] < day,
            last=row["calibrated"],
            certificate=row["certificate"],
        )
        for cell, row in longest.items()
    ]
    return tuple(sorted(found, key=lambda one: (one.due, one.what, one.name)))


def quarantine(connection: sa.Connection) -> tuple[Quarantined, ...]:
    """Return every piece that a current kit has in quarantine, since which import, and the reason given last."""
    since: dict[tuple[int, str], tuple[str, str, str]] = {}
    later = _reasons(connection)
    for row in connection.execute(_told(t.quarantines)).mappings():
        piece = (row["document_id"], row["item"])
        number, why = later.get((row["document_id"], quarantine_of(row["item"])), (0, ""))
        since[piece] = (row["at"], row["who"], why if number > row["import_id"] else row["why"] or "")
    return tuple(
        Quarantined(
            row["item"],
            row["name"],
            row["document"],
            *since.get((row["document_id"], row["item"]), ("", "", "")),
            condition=row["condition"],
            note=row["note"],
        )
        for row in connection.execute(_current(t.items)).mappings()
        if row["quarantined"]
    )


def _reasons(connection: sa.Connection) -> dict[tuple[int, str], tuple[int, str]]:
    """Return the last reason told for each deed done to a document, with its import: it may come after the deed."""
    chosen = sa.select(t.versions.c.document_id, t.imports.c.what, t.imports.c.id, t.reasons.c.why)
    joined = chosen.join_from(t.versions, t.imports, t.imports.c.id == t.versions.c.import_id)
    told = joined.join(t.reasons, t.reasons.c.import_id == t.imports.c.id).order_by(t.imports.c.id)
    return {(row.document_id, row.what): (row.id, row.why) for row in connection.execute(told)}


def _told(table: sa.Table) -> sa.Select[tuple[object, ...]]:
    """Return the query for the rows of a history, oldest first, each with when, by whom and why it came in."""
    chosen = sa.select(
        table, t.documents.c.name.label("kit"), t.imports.c.at, t.imports.c.who, t.reasons.c.why
    )
    joined = chosen.join_from(table, t.documents).join(t.imports, t.imports.c.id == table.c.import_id)
    return joined.join(t.reasons, t.reasons.c.import_id == t.imports.c.id, isouter=True).order_by(table.c.id)


def inspections(connection: sa.Connection) -> tuple[Inspection, ...]:
    """Return every state of every piece that its kit ever told, oldest first."""
    return tuple(
        Inspection(
            item=row["item"],
            kit=row["kit"],
            inspected=row["inspected"],
            due=row["due"],
            condition=row["condition"],
            noted_at=row["at"],
            by=row["who"],
            note=row["why"] or "",
        )
        for row in connection.execute(_told(t.inspections)).mappings()
    )


def conflicts(connection: sa.Connection) -> list[Notice]:
    """Return what two documents tell differently of one piece or one certificate."""
    return [*_two_kits(connection), *_two_campaigns(connection)]


def _two_kits(connection: sa.Connection) -> list[Notice]:
    pieces: dict[tuple[str, str], list[sa.RowMapping]] = defaultdict(list)
    for row in connection.execute(_current(t.items)).mappings():
        pieces[row["item"], row["kind"]].append(row)
    found = []
    for (item, kind), rows in pieces.items():
        held = [row["document"] for row in rows if row["quarantined"]]
        free = [row["document"] for row in rows if not row["quarantined"]]
        if held and free:
            text = (
                f"{kind} {item} is in quarantine in {', '.join(held)}, and not in {', '.join(free)}: if it is one piece, it "
                "is not to be used."
            )
            found.append(Code.BOOK_CONFLICT.notice((item,), text=text))
    return found


def _two_campaigns(connection: sa.Connection) -> list[Notice]:
    told: dict[tuple[str, str], dict[tuple[object, ...], str]] = defaultdict(dict)
    for row in connection.execute(_current(t.cells)).mappings():
        if row["certificate"]:
            facts = (row["capacity_N"], row["factor"], row["due"])
            told[row["cell"], row["certificate"]].setdefault(facts, row["document"])
    found = []
    for (cell, certificate), said in told.items():
        if len(said) > 1:
            text = (
                f"Cell {cell}: capacity, factor or due date of certificate {certificate} differ between "
                f"{' and '.join(said.values())}. One of them is a slip of the pen; each campaign is measured with its own."
            )
            found.append(Code.BOOK_CONFLICT.notice((cell, certificate), text=text))
    return found
