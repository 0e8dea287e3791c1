"""The run sheet ``runs.csv``: one line for each logged run, checked for headers, names and logs."""

from __future__ import annotations

import csv
import datetime as dt
import difflib
import os
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from haulwright.errors import UNPRINTABLE
from haulwright.files import conditions
from haulwright.files.conditions import Conditions, Reading, read_conditions, read_reading
from haulwright.files.faults import nearest, refusal

HEADERS = (
    "run",
    "date",
    "rig",
    "devices",
    "line_log",
    "line_column",
    "line_cell",
    "anchor_log",
    "anchor_column",
    "anchor_cell",
    "repeat",
    "notes",
)
OPTIONAL = ("line_at", "anchor_at", "line_reading", "anchor_reading", "tugs", *conditions.COLUMNS)
TUGS = ("both", "start", "end", "none")
KNOWN = (*HEADERS, *OPTIONAL)
NEEDED = ("run", "rig")
_CHANNEL = re.compile(r"(.+)_(log|column|cell|reading)")


@dataclass(frozen=True)
class ChannelEntry:
    """Where one channel of a run comes from.

    Attributes
    ----------
    log : Path or None
        None for a force typed from the display.
    column, cell : str
        Column in the log and load cell; empty if not told.
    reading : Reading or None
        The force typed from the display.
    """

    log: Path | None
    column: str = ""
    cell: str = ""
    reading: Reading | None = None


@dataclass(frozen=True)
class RunEntry:
    """One line of the run sheet.

    Attributes
    ----------
    run : str
        Unique name.
    rig : str
        Name of a rig, or its one-line path.
    devices : tuple of str
        In the order the lines meet them from the drum.
    channels : mapping place -> ChannelEntry
        ``line``, ``anchor`` and any further places, line first.
    date : date or None
    repeat : int
        Number of the repeat, from 1.
    notes : str
    line : int
        Line in the file, from 1.
    at : mapping channel -> place
        Place in the rig of the ``line`` and the ``anchor`` cell, where it is not the fall and the whole load.
    conditions : Conditions
        Temperatures, rope, travel and whatever else was noted.
    unread : tuple of str
        Columns kept as notes only.
    tugs : str
        Tugs made as clock marks: ``both``, ``start``, ``end``, ``none``; empty if not told.
    row : mapping column -> text
        The cells of its row as they stand, the empty ones left out.
    """

    run: str
    rig: str
    devices: tuple[str, ...]
    channels: Mapping[str, ChannelEntry]
    date: dt.date | None = None
    repeat: int = 1
    notes: str = ""
    line: int = 0
    at: Mapping[str, str] = field(default_factory=dict)
    conditions: Conditions = field(default_factory=Conditions)
    unread: tuple[str, ...] = ()
    tugs: str = ""
    row: Mapping[str, str] = field(default_factory=dict)

    @property
    def logs(self) -> tuple[Path, ...]:
        """The log files, each once, the line's first; none if the forces were typed."""
        return tuple(dict.fromkeys(one.log for one in self.channels.values() if one.log is not None))

    @property
    def typed(self) -> bool:
        """Whether the forces were typed from the displays."""
        return self.channels["line"].reading is not None


def read_run_sheet(path: Path, logs: Path, *, logs_needed: bool = True) -> tuple[RunEntry, ...]:
    """Read ``runs.csv``; columns separated by commas (or by semicolons, as some spreadsheets save it).

    Parameters
    ----------
    path : path
    logs : path
        Folder that the ``_log`` columns count from.
    logs_needed : bool
        False for a sheet whose pulls are not all done: a log that is not there is no fault.

    Raises
    ------
    FileRefusal
        Missing file, missing header or one that looks misspelt, a row with too many columns, a run named twice, a
        wrong date, repeat number or condition, a log that is not there.
    """
    entries: list[RunEntry] = []
    for line, row in _rows(path):
        entry = _entry(path.name, line, row, logs, logs_needed)
        twin = next((one for one in entries if one.run == entry.run), None)
        if twin:
            text = f"run {entry.run!r} stands in line {twin.line} already. Give each run its own name."
            raise refusal("DUPLICATE_RUN", path.name, line, text, (entry.run,))
        _own_logs(path.name, entry, entries)
        entries.append(entry)
    if not entries:
        raise refusal("EMPTY", path.name, None, "no runs: expected one line for each run below the header.")
    return tuple(entries)


def _own_logs(name: str, entry: RunEntry, before: list[RunEntry]) -> None:
    """Refuse a log that is another run's already: one pull counted twice looks like a repeat."""
    for other in before:
        if shared := set(entry.logs) & set(other.logs):
            log = min(path.name for path in shared)
            text = f"log {log!r} is that of run {other.run!r} in line {other.line} already. Give each run its own log."
            raise refusal("DUPLICATE_LOG", name, entry.line, text, (entry.run, other.run))


def _rows(path: Path) -> Iterator[tuple[int, dict[str, str]]]:
    """Yield (line, row by header) for every row that is not blank."""
    try:
        text = path.read_text(encoding="utf-8-sig")
    except FileNotFoundError:
        raise refusal(
            "NO_FILE", str(path), None, f"there is no such file. Its header is {','.join(HEADERS)}"
        ) from None
    except (UnicodeDecodeError, OSError):
        raise refusal(
            "ENCODING", path.name, None, "cannot be read as UTF-8 text: save it as CSV, UTF-8."
        ) from None
    if control := UNPRINTABLE.search(text.replace("\r", "")):
        line = text.count("\n", 0, control.start()) + 1
        raise refusal(
            "ENCODING", path.name, line, f"holds the control character {control[0]!r}: save it as CSV, UTF-8."
        )
    first = text.partition("\n")[0]
    reader = csv.reader(
        text.splitlines(keepends=True),
        delimiter=";" if first.count(";") > first.count(",") else ",",
        strict=True,  # an open quote would swallow the runs below it
    )
    try:
        header = [name.strip() for name in next(reader, [])]
        _check_header(path.name, header)
        for row in reader:
            cells = [value.strip() for value in row]
            if not any(cells):
                continue
            if len(cells) > len(header) and any(cells[len(header) :]):
                text = (
                    f"{len(cells)} columns, but the header has {len(header)}. Quote notes that hold commas."
                )
                raise refusal("COLUMNS", path.name, reader.line_num, text)
            yield reader.line_num, dict(zip(header, cells, strict=False))
    except csv.Error as err:
        raise refusal("SYNTAX", path.name, reader.line_num, f"not readable as CSV ({err}).") from None


def _check_header(name: str, header: list[str]) -> None:
    for column in header:
        if _unread(column) and (
            not column or difflib.get_close_matches(column.lower(), KNOWN, n=1, cutoff=0.6)
        ):
            raise refusal(
                "UNKNOWN_HEADER", name, 1, f"unknown header {column!r}: {nearest(column, KNOWN)}", (column,)
            )
        if header.count(column) > 1:
            raise refusal(
                "DUPLICATE_HEADER", name, 1, f"header {column!r} stands twice. Keep one.", (column,)
            )
    places = {match[1] for column in header if (match := _CHANNEL.fullmatch(column))}
    if "line_log" not in header and "line_reading" not in header:
        raise refusal(
            "MISSING_HEADER", name, 1, "header 'line_log' (or 'line_reading') is missing.", ("line_log",)
        )
    for column in NEEDED:
        if column not in header:
            raise refusal("MISSING_HEADER", name, 1, f"header {column!r} is missing.", (column,))
    for place in sorted(places - {"line", "anchor"}):
        if f"{place}_log" not in header and f"{place}_reading" not in header:
            column = f"{place}_log"
            raise refusal("MISSING_HEADER", name, 1, f"header {column!r} is missing.", (column,))


def _unread(column: str) -> bool:
    """Return whether nothing reads a column: it is kept as a note."""
    return column not in KNOWN and not _CHANNEL.fullmatch(column)


def _entry(name: str, line: int, row: Mapping[str, str], logs: Path, needed: bool = True) -> RunEntry:
    for column in NEEDED:
        if not row.get(column):
            raise refusal("MISSING_VALUE", name, line, f"{column} is empty: give it a value.", (column,))
    devices = tuple(part.strip() for part in row.get("devices", "").split(";") if part.strip())
    unread = tuple(column for column in row if _unread(column))
    return RunEntry(
        run=row["run"],
        rig=row["rig"],
        devices=devices,
        channels=_channels(name, line, row, logs, needed),
        date=_date(name, line, row.get("date", "")),
        repeat=_repeat(name, line, row.get("repeat", "")),
        notes=row.get("notes", ""),
        line=line,
        at={one: row[f"{one}_at"] for one in ("line", "anchor") if row.get(f"{one}_at")},
        conditions=read_conditions(name, line, row, len(devices) or 1, unread),
        unread=unread,
        tugs=_tugs(name, line, row.get("tugs", "")),
        row={column: cell for column, cell in row.items() if cell},
    )


def _tugs(name: str, line: int, text: str) -> str:
    if text and text not in TUGS:
        raise refusal("VALUE", name, line, f"tugs = {text!r}: expected one of {', '.join(TUGS)}.", ("tugs",))
    return text


def _channels(
    name: str, line: int, row: Mapping[str, str], logs: Path, needed: bool
) -> dict[str, ChannelEntry]:
    """Return the channels of a row; the anchor's log is the line's if it is not told (a joint log)."""
    places = dict.fromkeys(["line", "anchor", *(m[1] for column in row if (m := _CHANNEL.fullmatch(column)))])
    if not row.get("line_log") and not row.get("line_reading"):
        raise refusal("MISSING_VALUE", name, line, "line_log is empty: give it a value.", ("line_log",))
    typed = bool(row.get("line_reading"))
    if typed and (not row.get("anchor_reading") or any(row.get(f"{place}_log") for place in places)):
        text = (
            "line_reading: a typed run has an anchor_reading too, and no log. Give both readings, or the log."
        )
        raise refusal("VALUE", name, line, text, ("line_reading",))
    channels: dict[str, ChannelEntry] = {}
    for place in places:
        column, cell = row.get(f"{place}_column", ""), row.get(f"{place}_cell", "")
        if reading := row.get(f"{place}_reading"):
            if not typed:
                text = f"{place}_reading stands beside a log of the line: a run is either logged or typed."
                raise refusal("VALUE", name, line, text, (f"{place}_reading",))
            channels[place] = ChannelEntry(
                None, column, cell, read_reading(name, line, f"{place}_reading", reading)
            )
        elif log := row.get(f"{place}_log") or (row["line_log"] if place == "anchor" else ""):
            channels[place] = ChannelEntry(_log(name, line, f"{place}_log", log, logs, needed), column, cell)
    return channels


def _log(name: str, line: int, column: str, log: str, logs: Path, needed: bool) -> Path:
    """Return the path of a log; it must lie in the logs folder, and be there where it is needed."""
    path = logs / log.removeprefix("logs/")
    inside = path.resolve().is_relative_to(logs.resolve())
    if inside and (not needed or os.path.isfile(path)):  # noqa: PTH113 - also False for a name longer than any system takes
        return path
    found = (
        sorted(p.relative_to(logs).as_posix() for p in logs.rglob("*") if p.is_file())
        if logs.is_dir()
        else []
    )
    why = f"no such file in {logs.name}/" if inside else f"a log must lie in {logs.name}/"
    raise refusal("NO_LOG", name, line, f"{column} = {log!r}: {why}: {nearest(log, found)}", (log,))


def _date(name: str, line: int, text: str) -> dt.date | None:
    try:
        return dt.date.fromisoformat(text) if text else None
    except ValueError:
        raise refusal(
            "VALUE", name, line, f"date = {text!r}: expected year-month-day, as 2025-06-02.", ("date",)
        ) from None


def _repeat(name: str, line: int, text: str) -> int:
    if text and not (text.isascii() and text.isdigit() and int(text) > 0):
        raise refusal("VALUE", name, line, f"repeat = {text!r}: expected a whole number from 1.", ("repeat",))
    return int(text or 1)
