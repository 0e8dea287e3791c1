"""A book in words and tables."""

from __future__ import annotations

from typing import TYPE_CHECKING

from haulwright.interfaces.cli.output import rows, table

if TYPE_CHECKING:
    from rich.console import Console

    from haulwright.workflows import BookImport, BookState, DueDate, KeptDocument

SOON_days = 60
_THINGS = (
    ("campaigns", "campaign", "campaigns"),
    ("runs", "run", "runs"),
    ("kits", "kit", "kits"),
    ("items", "piece", "pieces"),
    ("winches", "winch", "winches"),
    ("cells", "cell", "cells"),
    ("pulls", "pull", "pulls"),
    ("rigs", "rig", "rigs"),
    ("friction", "friction estimate", "friction estimates"),
)


def show_book(out: Console, record: BookState) -> None:
    """Print where a book lies, what it holds, and what is due."""
    out.print(f"Book {record.book} (schema {record.schema})", style="bold")
    counts = record.counts
    told = [f"{counts[key]} {one if counts[key] == 1 else many}" for key, one, many in _THINGS if counts[key]]
    out.print(f"{', '.join(told) or 'empty'}; {counts['files']} files, {_bytes(record.bytes)}.")
    if record.last_import is not None:
        by = f" by {record.last_import.who}" if record.last_import.who else ""
        out.print(f"Last import: {record.last_import.what}, {_time(record.last_import.at)}{by}.")
    if record.verified is not None:
        bad = len(record.verified.damaged)
        words = f"{bad} are not what they were" if bad else "all as they came in"
        out.print(f"{record.verified.files} files read back: {words}.")
    if record.documents:
        grid = table("kept", "name<", "version", "files", "size", "last change<")
        out.print(
            rows(
                grid,
                (
                    (one.kind, one.name, one.version, one.files, _bytes(one.bytes), _time(one.last_at))
                    for one in record.documents
                ),
            )
        )
    _due(out, record)
    for held in record.quarantine:
        note = "; ".join(part for part in (held.why, held.note) if part)
        note = f": {note}" if note else ""
        since = f" since {held.since[:10]}" if held.since else ""
        out.print(f"In quarantine{since}: {held.item} of {held.kit}{note}")


def _due(out: Console, record: BookState) -> None:
    """Print what is overdue or due soon; what comes later is counted."""
    near = [one for one in record.due if one.days <= SOON_days]
    if near:
        grid = table("due", "what<", "name<", "of<", "in days")
        lines = ((_day(one), one.what, one.name, one.of, one.days) for one in near)
        out.print(rows(grid, lines))
    if later := len(record.due) - len(near):
        out.print(f"Due after {SOON_days} days: {later}; the next on {record.due[len(near)].due}.")


def _day(one: DueDate) -> str:
    return f"{one.due}{' OVERDUE' if one.overdue else ''}"


def show_import(out: Console, record: BookImport) -> None:
    """Print what an import did with each document."""
    for one in record.documents:
        out.print(f"{one.kind} {one.name}: {_outcome(one)}")
    out.print(f"Kept in {record.book}.")


def _outcome(one: KeptDocument) -> str:
    if one.outcome == "unchanged":
        return f"nothing new, version {one.version} is the same ({one.files} files)."
    if one.outcome == "new":
        return f"new, {one.files} files, {_bytes(one.bytes_new)} the book had not."
    parts = (("new", one.files_new), ("changed", one.files_changed), ("gone", one.files_gone))
    told = "; ".join(f"{word}: {_names(paths)}" for word, paths in parts if paths)
    return f"version {one.version}. {told or 'an older version again'}. Version {one.version - 1} stays."


def _names(paths: tuple[str, ...]) -> str:
    more = f" and {len(paths) - 5} more" if len(paths) > 5 else ""
    return ", ".join(paths[:5]) + more


def _bytes(size: int) -> str:
    for unit, step in (("GB", 10**9), ("MB", 10**6), ("kB", 10**3)):
        if size >= step:
            return f"{size / step:.1f} {unit}"
    return f"{size} bytes"


def _time(at: str) -> str:
    return at[:16].replace("T", " ") + " UTC"
