"""A run sheet changed cell by cell, run by run: every other row stays to the byte as it was."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from haulwright.files.faults import nearest, refusal

SHEET = "runs.csv"
AGAIN = "again"


@dataclass(frozen=True)
class _Row:
    """One row of the file: its cells, and its text with the end of its line."""

    cells: tuple[str, ...]
    text: str


@dataclass(frozen=True)
class _Sheet:
    separator: str
    header: tuple[str, ...]
    rows: tuple[_Row, ...]  # the header's first
    mark: str  # a byte order mark stays

    def cell(self, row: _Row, column: str) -> str:
        """Return a cell of a row; empty where the row is too short or there is no such column."""
        place = self.header.index(column) if column in self.header else len(row.cells)
        return row.cells[place].strip() if place < len(row.cells) else ""

    def place(self, run: str) -> int:
        """Return where the row of a run stands.

        Raises
        ------
        FileRefusal
            UNKNOWN_RUN.
        """
        names = [self.cell(row, "run") for row in self.rows]
        for place, name in enumerate(names):
            if place and name == run:
                return place
        raise refusal(
            "UNKNOWN_RUN", SHEET, None, f"no run {run!r}: {nearest(run, [n for n in names[1:] if n])}", (run,)
        )

    def line(self, cells: Sequence[str]) -> str:
        """Return cells as a line of this file."""
        out = io.StringIO()
        ending = "\r\n" if self.rows[0].text.endswith("\r\n") else "\n"
        csv.writer(out, delimiter=self.separator, lineterminator=ending).writerow(cells)
        return out.getvalue()


def changed_row(text: str, run: str, changes: Mapping[str, str]) -> str:
    """Return a run sheet with some cells of one run changed; a column that is not there yet is added.

    Parameters
    ----------
    text : str
        ``runs.csv``.
    run : str
    changes : mapping column -> text
        As it is to stand in the cell; empty to clear it.

    Raises
    ------
    FileRefusal
        UNKNOWN_RUN; SYNTAX: not readable as CSV.

    Examples
    --------
    >>> changed_row("run,rig,line_log\\n1,two-part,a.csv\\n2,two-part,b.csv\\n", "2", {"notes": "warm"})
    'run,rig,line_log,notes\\n1,two-part,a.csv\\n2,two-part,b.csv,warm\\n'
    """
    sheet = _with_columns(_read(text), [name for name, cell in changes.items() if cell])
    place = sheet.place(run)
    rows = list(sheet.rows)
    rows[place] = _changed(sheet, rows[place], changes)
    return _text(sheet, rows)


def again_name(text: str, run: str) -> str:
    """Return the name that a run gets when it is pulled again.

    Examples
    --------
    >>> again_name("run,rig,line_log\\n1,two-part,a.csv\\n1-again,two-part,b.csv\\n", "1")
    '1-again2'
    """
    sheet = _read(text)
    taken = {sheet.cell(row, "run") for row in sheet.rows[1:]}
    first, _, number = run.rpartition(f"-{AGAIN}")
    stem = first if first and (not number or number.isdigit()) else run
    names = [f"{stem}-{AGAIN}", *(f"{stem}-{AGAIN}{n}" for n in range(2, len(taken) + 3))]
    return next(name for name in names if name not in taken)


def with_run_again(text: str, run: str, changes: Mapping[str, str]) -> str:
    """Return a run sheet with a run to be pulled again below the one it stands for, which stays.

    Parameters
    ----------
    text : str
        ``runs.csv``.
    run : str
        The one whose row is copied.
    changes : mapping column -> text
        What differs in the new row.

    Raises
    ------
    FileRefusal
        UNKNOWN_RUN; SYNTAX.
    """
    sheet = _with_columns(_read(text), [name for name, cell in changes.items() if cell])
    place = sheet.place(run)
    rows = list(sheet.rows)
    if not rows[place].text.endswith("\n"):
        rows[place] = _Row(rows[place].cells, sheet.line(rows[place].cells))
    rows.insert(place + 1, _changed(sheet, rows[place], changes))
    return _text(sheet, rows)


def with_rows_below(text: str, rows: Sequence[Mapping[str, str]]) -> str:
    """Return a run sheet with more rows at its end; columns that are not there yet are added.

    Examples
    --------
    >>> with_rows_below("run,rig,line_log\\n1,two-part,a.csv\\n", [{"run": "2", "rig": "two-part", "line_log": "b.csv"}])
    'run,rig,line_log\\n1,two-part,a.csv\\n2,two-part,b.csv\\n'
    """
    wanted = [column for row in rows for column, cell in row.items() if cell]
    sheet = _with_columns(_read(text), wanted)
    had = list(sheet.rows)
    if not had[-1].text.endswith("\n"):
        had[-1] = _Row(had[-1].cells, sheet.line(had[-1].cells))
    empty = _Row((), "")
    return _text(sheet, [*had, *(_changed(sheet, empty, row) for row in rows)])


def rows_of(text: str) -> list[dict[str, str]]:
    """Return the rows of a run sheet as they stand, by column.

    Examples
    --------
    >>> rows_of("run,rig,line_log\\n1,two-part,a.csv\\n")
    [{'run': '1', 'rig': 'two-part', 'line_log': 'a.csv'}]
    """
    sheet = _read(text)
    return [
        {column: sheet.cell(row, column) for column in sheet.header}
        for row in sheet.rows[1:]
        if any(row.cells)
    ]


def _changed(sheet: _Sheet, row: _Row, changes: Mapping[str, str]) -> _Row:
    cells = [*row.cells, *[""] * (len(sheet.header) - len(row.cells))]
    for column, cell in changes.items():
        if column in sheet.header:
            cells[sheet.header.index(column)] = cell
    return _Row(tuple(cells), sheet.line(cells))


def _with_columns(sheet: _Sheet, wanted: Sequence[str]) -> _Sheet:
    new = [column for column in dict.fromkeys(wanted) if column not in sheet.header]
    if not new:
        return sheet
    header = (*sheet.header, *new)
    first = _Row(header, sheet.line(header))
    return _Sheet(sheet.separator, header, (first, *sheet.rows[1:]), sheet.mark)


def _text(sheet: _Sheet, rows: Sequence[_Row]) -> str:
    return sheet.mark + "".join(row.text for row in rows)


def _read(text: str) -> _Sheet:
    """Return a sheet by rows, each with the lines it was written in; a cell may hold line ends."""
    mark = "\ufeff" if text.startswith("\ufeff") else ""
    lines = text[len(mark) :].splitlines(keepends=True)
    first = lines[0] if lines else ""
    separator = ";" if first.count(";") > first.count(",") else ","
    reader = csv.reader(lines, delimiter=separator, strict=True)
    rows: list[_Row] = []
    start = 0
    try:
        for cells in reader:
            rows.append(_Row(tuple(cells), "".join(lines[start : reader.line_num])))
            start = reader.line_num
    except csv.Error as err:
        raise refusal("SYNTAX", SHEET, reader.line_num, f"not readable as CSV ({err}).") from None
    if not rows:
        raise refusal("EMPTY", SHEET, None, "no runs: expected one line for each run below the header.")
    return _Sheet(separator, tuple(name.strip() for name in rows[0].cells), tuple(rows), mark)
