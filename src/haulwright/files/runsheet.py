"""The run sheet ``runs.csv``: one line for each logged run, checked for headers, names and logs."""

from __future__ import annotations

import csv
import datetime as dt
import os
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from haulwright.errors import UNPRINTABLE
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
NEEDED = ("run", "rig", "line_log")
_CHANNEL = re.compile(r"(.+)_(log|column|cell)")


@dataclass(frozen=True)
class ChannelEntry:
    """Where one channel of a run comes from: log, column in it, load cell; empty text if not told."""

    log: Path
    column: str = ""
    cell: str = ""


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
    """

    run: str
    rig: str
    devices: tuple[str, ...]
    channels: Mapping[str, ChannelEntry]
    date: dt.date | None = None
    repeat: int = 1
    notes: str = ""
    line: int = 0

    @property
    def logs(self) -> tuple[Path, ...]:
        """The log files, each once, the line's first."""
        return tuple(dict.fromkeys(channel.log for channel in self.channels.values()))


def read_run_sheet(path: Path, logs: Path) -> tuple[RunEntry, ...]:
    """Read ``runs.csv``; columns separated by commas (or by semicolons, as some spreadsheets save it).

    Parameters
    ----------
    path : path
    logs : path
        Folder that the ``_log`` columns count from.

    Raises
    ------
    FileRefusal
        Missing file, unknown or missing header, a row with too many columns, a run named twice, a wrong date
        or repeat number, a log that is not there.
    """
    entries: list[RunEntry] = []
    for line, row in _rows(path):
        entry = _entry(path.name, line, row, logs)
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
        if column not in HEADERS and not _CHANNEL.fullmatch(column):
            raise refusal(
                "UNKNOWN_HEADER", name, 1, f"unknown header {column!r}: {nearest(column, HEADERS)}", (column,)
            )
        if header.count(column) > 1:
            raise refusal(
                "DUPLICATE_HEADER", name, 1, f"header {column!r} stands twice. Keep one.", (column,)
            )
    places = {match[1] for column in header if (match := _CHANNEL.fullmatch(column))}
    for column in (*NEEDED, *(f"{place}_log" for place in sorted(places - {"line", "anchor"}))):
        if column not in header:
            raise refusal("MISSING_HEADER", name, 1, f"header {column!r} is missing.", (column,))


def _entry(name: str, line: int, row: Mapping[str, str], logs: Path) -> RunEntry:
    for column in NEEDED:
        if not row.get(column):
            raise refusal("MISSING_VALUE", name, line, f"{column} is empty: give it a value.", (column,))
    return RunEntry(
        run=row["run"],
        rig=row["rig"],
        devices=tuple(part.strip() for part in row.get("devices", "").split(";") if part.strip()),
        channels=_channels(name, line, row, logs),
        date=_date(name, line, row.get("date", "")),
        repeat=_repeat(name, line, row.get("repeat", "")),
        notes=row.get("notes", ""),
        line=line,
    )


def _channels(name: str, line: int, row: Mapping[str, str], logs: Path) -> dict[str, ChannelEntry]:
    """Return the channels of a row; the anchor's log is the line's if it is not told (a joint log)."""
    places = dict.fromkeys(["line", "anchor", *(m[1] for column in row if (m := _CHANNEL.fullmatch(column)))])
    channels: dict[str, ChannelEntry] = {}
    for place in places:
        log = row.get(f"{place}_log") or (row["line_log"] if place == "anchor" else "")
        if log:
            column, cell = row.get(f"{place}_column", ""), row.get(f"{place}_cell", "")
            channels[place] = ChannelEntry(_log(name, line, f"{place}_log", log, logs), column, cell)
    return channels


def _log(name: str, line: int, column: str, log: str, logs: Path) -> Path:
    """Return the path of a log; it must lie in the logs folder."""
    path = logs / log.removeprefix("logs/")
    inside = path.resolve().is_relative_to(logs.resolve())
    if inside and os.path.isfile(path):  # noqa: PTH113 - also False for a name longer than any system takes
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
