"""The day of a campaign: what changes in its files when a run is noted, gets its logs, or is pulled again.

Each function returns the files that change, whole, by their path in the campaign's folder; nothing is written here.
"""

from __future__ import annotations

import datetime as dt
import re
from collections import Counter
from collections.abc import Mapping
from pathlib import Path, PurePath

from haulwright.errors import FileRefusal
from haulwright.files.conditions import COLUMNS
from haulwright.files.deciding import FILE as DECISIONS
from haulwright.files.deciding import decided
from haulwright.files.faults import refusal
from haulwright.files.sheet_edit import (
    SHEET,
    again_name,
    changed_row,
    rows_of,
    with_rows_below,
    with_run_again,
)

Changes = dict[str, bytes]
NOTED = ("date", "notes", "time", *COLUMNS)
CHANNELS = tuple(f"{place}_{what}" for place in ("line", "anchor") for what in ("column", "cell", "reading"))
PLACES = ("line", "anchor", "both")
CAME_AS = "came_as"  # the name a log had when it came
_OF_THE_DAY = (*NOTED, CAME_AS, "line_reading", "anchor_reading")
_MOST_WORDS = 2000
_ENDING = re.compile(r"\.[a-z0-9]{1,5}")


def noted(folder: Path, run: str, cells: Mapping[str, str]) -> Changes:
    """Return the run sheet with what was noted of a run.

    Parameters
    ----------
    folder : Path
        Of the campaign.
    run : str
    cells : mapping column -> text
        Of :data:`NOTED` or :data:`CHANNELS`; empty clears one.

    Raises
    ------
    FileRefusal
        UNKNOWN_HEADER for another column; UNKNOWN_RUN; VALUE for a text that is too long.
    """
    for column, text in cells.items():
        if column not in (*NOTED, *CHANNELS):
            known = ", ".join((*NOTED, *CHANNELS))
            raise refusal("UNKNOWN_HEADER", SHEET, None, f"{column!r}: expected one of {known}.", (column,))
        if len(text) > _MOST_WORDS:
            raise refusal("VALUE", SHEET, None, f"{column}: more than {_MOST_WORDS} signs.", (column,))
    plain = {column: " ".join(text.split()) for column, text in cells.items()}
    sheet = sheet_of(folder)
    if plain.get("line_reading"):
        plain = {**_without_logs(folder, sheet, run), **plain}
    return {SHEET: changed_row(sheet, run, plain).encode()}


def _without_logs(folder: Path, sheet: str, run: str) -> dict[str, str]:
    """Return the log columns of a run emptied, as a run typed from the displays has no log.

    Raises
    ------
    FileRefusal
        EXISTS: a log of it is there.
    """
    row = next((row for row in rows_of(sheet) if row.get("run") == run), {})
    logs = {column: cell for column, cell in row.items() if column.endswith("_log") and cell}
    there = [cell for cell in logs.values() if (folder / "logs" / cell.removeprefix("logs/")).is_file()]
    if there:
        text = f"run {run} has its log {there[0]}: it is measured from that, not from typed forces."
        raise FileRefusal("EXISTS", text, (run, there[0]))
    return dict.fromkeys(logs, "")


def attached(folder: Path, run: str, place: str, name: str, data: bytes, *, instead: bool = False) -> Changes:
    """Return a log under the name the sheet gives it, and the sheet where that changes.

    Parameters
    ----------
    folder : Path
        Of the campaign.
    run : str
    place : str
        ``line``, ``anchor``, or ``both`` for one log that holds both cells.
    name : str
        The file's own name; its ending is kept, the name noted.
    data : bytes
    instead : bool
        Put it in the place of a log that is there.

    Raises
    ------
    FileRefusal
        EXISTS: another log of that run is there; DUPLICATE_LOG: that of another run, to the byte; UNKNOWN_RUN, PLACE,
        EMPTY.
    """
    if place not in PLACES:
        raise refusal("PLACE", SHEET, None, f"place = {place!r}: expected {', '.join(PLACES)}.", (place,))
    if not data:
        raise FileRefusal("EMPTY", f"{name} is empty: there is nothing in it to attach.", (name,))
    text = sheet_of(folder)
    row = next((row for row in rows_of(text) if row.get("run") == run), {})
    cells = _cells(run, row, place, _ending(name))
    log = cells["line_log" if place == "both" else f"{place}_log"]
    path = f"logs/{log.removeprefix('logs/')}"
    _free(folder, path, name, data, instead)
    told = [one for one in (row.get(CAME_AS, ""), name) if one]
    cells[CAME_AS] = "; ".join(dict.fromkeys(told)) if name != PurePath(log).name else row.get(CAME_AS, "")
    changes = {column: cell for column, cell in cells.items() if cell != row.get(column, "")}
    sheet = changed_row(text, run, changes) if changes or not row else text
    return {path: data} if sheet == text else {path: data, SHEET: sheet.encode()}


def _cells(run: str, row: Mapping[str, str], place: str, ending: str) -> dict[str, str]:
    """Return the log columns of a run for a log of that ending."""
    if place == "both":
        had = PurePath(row.get("line_log", "") or run)
        stem = had.stem.removesuffix("_line")
        return {"line_log": f"{_beside(had, stem)}{ending}", "anchor_log": ""}
    had = PurePath(row.get(f"{place}_log", "") or f"{run}_{place}{ending}")
    return {f"{place}_log": f"{_beside(had, had.stem)}{ending}"}


def _ending(name: str) -> str:
    """Return the ending of a log's name, small; ``.csv`` where it has none or a strange one."""
    ending = PurePath(name).suffix.lower()
    return ending if _ENDING.fullmatch(ending) else ".csv"


def _beside(had: PurePath, stem: str) -> str:
    return (had.parent / stem).as_posix()


def _free(folder: Path, path: str, name: str, data: bytes, instead: bool) -> None:
    """Refuse a log that would stand in the place of another, or that is another run's."""
    there = folder / path
    if there.is_file() and there.read_bytes() != data and not instead:
        text = f"{path} is there already. Say that {name} is to stand in its place; the earlier one stays in the book."
        raise FileRefusal("EXISTS", text, (path,))
    logs = folder / "logs"
    for other in sorted(logs.rglob("*")) if logs.is_dir() else ():
        if (
            other != there
            and other.is_file()
            and other.stat().st_size == len(data)
            and other.read_bytes() == data
        ):
            twin = other.relative_to(folder).as_posix()
            text = f"{name} is {twin} to the byte: one pull counted twice looks like a repeat. Give this run its own log."
            raise FileRefusal("DUPLICATE_LOG", text, (twin,))


def pulled_again(folder: Path, run: str, *, who: str, why: str, when: dt.date) -> tuple[str, Changes]:
    """Return the name of a run that is pulled again, and the files that change: its row, and why the first is left out.

    Parameters
    ----------
    folder : Path
        Of the campaign.
    run : str
        The one to be pulled again; it stays on the sheet with its logs, and is left out by decision.
    who, why : str
    when : date

    Raises
    ------
    FileRefusal
        UNKNOWN_RUN; VALUE: nobody named, or no reason.
    """
    for what, text in (("who", who), ("why", why)):
        if not text.strip():
            raise refusal(
                "VALUE", DECISIONS, None, f"{what} is empty: every decision has a name and a reason."
            )
    text = sheet_of(folder)
    row = next((row for row in rows_of(text) if row.get("run") == run), {})
    name = again_name(text, run)
    logs = {
        column: _again_log(row[column], run, name)
        for column in row
        if column.endswith("_log") and row[column]
    }
    cleared = {column: "" for column in _OF_THE_DAY if row.get(column)}
    sheet = with_run_again(text, run, {**cleared, **logs, "run": name})
    path = folder / DECISIONS
    had = path.read_text(encoding="utf-8") if path.is_file() else None
    entry = {"run": run, "who": who.strip(), "when": when.isoformat(), "why": " ".join(why.split())}
    return name, {SHEET: sheet.encode(), DECISIONS: decided(had, "exclusion", entry).encode()}


def _again_log(log: str, run: str, name: str) -> str:
    """Return the name of a log of the run that is pulled again."""
    path = PurePath(log)
    stem = path.stem.replace(run, name) if run in path.stem else f"{path.stem}-{name.rpartition('-')[2]}"
    return (path.parent / f"{stem}{path.suffix}").as_posix()


def below(folder: Path, sheet: str) -> Changes:
    """Return the run sheet with the runs of another below its own: new names, new log names, repeats counted on.

    Parameters
    ----------
    folder : Path
        Of the campaign.
    sheet : str
        Run sheet with the runs to come, each named by its number and what it is.
    """
    text = sheet_of(folder)
    had = rows_of(text)
    taken = {row.get("run", "") for row in had}
    pulled = Counter((row.get("rig", ""), row.get("devices", "")) for row in had)
    rows = []
    for number, row in enumerate(rows_of(sheet), len(had) + 1):
        name = _free_name(row["run"], number, taken)
        taken.add(name)
        logs = {key: cell.replace(row["run"], name) for key, cell in row.items() if key.endswith("_log")}
        repeat = str(pulled[row["rig"], row["devices"]] + int(row["repeat"]))
        rows.append({**row, **logs, "run": name, "repeat": repeat})
    return {SHEET: with_rows_below(text, rows).encode()}


def _free_name(name: str, number: int, taken: set[str]) -> str:
    """Return the name of a planned run with the number it has on this sheet."""
    what = name.partition("-")[2] or name
    every = (f"{number:02d}-{what}", *(f"{number:02d}-{what}-{n}" for n in range(2, len(taken) + 3)))
    return next(one for one in every if one not in taken)


def sheet_of(folder: Path) -> str:
    """Return the text of a campaign's run sheet.

    Raises
    ------
    FileRefusal
        NO_FILE, ENCODING.
    """
    try:
        return (folder / SHEET).read_bytes().decode("utf-8")
    except FileNotFoundError:
        text = "there is no run sheet yet: design one first."
        raise refusal("NO_FILE", SHEET, None, text) from None
    except UnicodeDecodeError:
        raise refusal(
            "ENCODING", SHEET, None, "cannot be read as UTF-8 text: save it as CSV, UTF-8."
        ) from None
