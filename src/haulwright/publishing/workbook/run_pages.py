"""The two sheets of a run: the rows that are averaged with what follows from them, and every reading."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import zip_longest

from xlsxwriter.utility import xl_col_to_name

from haulwright.errors import FileRefusal
from haulwright.publishing.look import PAPER
from haulwright.publishing.report_words import run_title, short_path
from haulwright.publishing.workbook.cells import LIVE, MOST_ROWS, VALUE, Cell, Column, Formula, Sheet
from haulwright.publishing.workbook.run_beside import Beside, Heads, beside_rows
from haulwright.publishing.workbook.run_words import where
from haulwright.trials.channels.result import RunChannels
from haulwright.trials.result import TrialResult

HEADS = Heads(first=4, data=7)
_TIME = "0.000"


@dataclass(frozen=True)
class RunSheets:
    """The sheets of a run: its averaged rows, and its readings (none for forces typed from the displays)."""

    rows: Sheet
    readings: Sheet | None


def check_length(channels: RunChannels) -> None:
    """Refuse a run with more readings than a sheet has rows, before anything is written.

    Raises
    ------
    FileRefusal
        TOO_LONG.
    """
    room = MOST_ROWS - HEADS.data
    for place, one in channels.logged.items():
        if one.time_s.size > room:
            text = (
                f"Run {channels.run}: {place} has {one.time_s.size} readings ({one.file}), and a sheet of a workbook holds "
                f"{room}. Take the open data, haulwright publish bundle, which hands out the log as it is; or cut the log."
            )
            raise FileRefusal("TOO_LONG", text, (channels.run, place))


def write_run(sheets: RunSheets, run: TrialResult, channels: RunChannels) -> dict[str, str]:
    """Write both sheets of a run; return the cells of its line, anchor, ratio, advantage and share."""
    sheet, rows = sheets.rows, channels.rows
    columns: list[Column] = []
    told = ["Forces typed from the displays: there is no log, and so no rows to average."]
    if rows is not None:
        told = [
            _told(run),
            "Blue may be changed: with other ends of a steady stretch every formula, the shade and the chart follow.",
        ]
        columns = [
            Column("Time on the line's clock", "s", VALUE, 12, _TIME),
            *(Column(f"Force {where(place)}", "N", VALUE, 12, "0.0") for place in rows.force_N),
            Column("Averaged", "1 = yes", LIVE, 11, "0"),
        ]
    sheet.title(run_title(run), *told)
    beside = Beside(sheet, run, channels, HEADS, column=len(columns) + (1 if columns else 0))
    sheet.heads(HEADS.first, columns)
    sheet.widths(columns)
    beside.widths()
    sheet.sheet.freeze_panes(HEADS.data, 1 if columns else 0)
    _interleaved(sheet, columns, _averaged(channels, beside), beside)
    if rows is not None:
        _wash(sheet, rows.time_s.size, len(columns))
    beside.chart()
    if sheets.readings is not None:
        _readings(sheets.readings, run, channels)
    return {what: beside.address(what) for what in ("line", "anchor", "ratio", "advantage", "share")}


def _wash(sheet: Sheet, count: int, columns: int) -> None:
    """Shade the rows that are averaged, as they are now: the shade follows the formula of the last column."""
    last = HEADS.data + count - 1
    test = f"=${xl_col_to_name(columns - 1)}{HEADS.data + 1}=1"
    shade = sheet.book.add_format({"bg_color": PAPER.pencil_wash})
    sheet.sheet.conditional_format(
        HEADS.data, 0, last, columns - 1, {"type": "formula", "criteria": test, "format": shade}
    )
    sheet.sheet.repeat_rows(HEADS.first, HEADS.data - 1)


def _told(run: TrialResult) -> str:
    logs = ", ".join(short_path(file.get("path", "")) for file in run.files)
    return f"From {logs}. Both forces at common instants: slow readings interpolated, fast ones averaged into a step."


def _averaged(channels: RunChannels, beside: Beside) -> Iterator[tuple[Cell, ...]]:
    """Yield the rows that are averaged, each with the formula that says whether it is."""
    rows = channels.rows
    if rows is None:
        return
    forces = [values.tolist() for values in rows.force_N.values()]
    for n, (time, inside) in enumerate(zip(rows.time_s.tolist(), rows.inside.tolist(), strict=True)):
        yield (time, *(force[n] for force in forces), Formula(beside.flag(HEADS.data + n), float(inside)))


def _interleaved(
    sheet: Sheet, columns: Sequence[Column], rows: Iterator[tuple[Cell, ...]], beside: Beside
) -> None:
    """Write the rows and what stands beside them together: a row is written once, from the top down."""
    looks = [sheet.looks(num_format=one.figures) for one in columns]
    for n, (cells, words) in enumerate(zip_longest(rows, beside_rows(beside)), HEADS.data):
        for at, (cell, look) in enumerate(zip(cells or (), looks, strict=False)):
            sheet.put(n, at, cell, look)
        for at, cell, look in words or ():
            sheet.put(n, at, cell, look)


def _readings(sheet: Sheet, run: TrialResult, channels: RunChannels) -> None:
    """Write every reading of every channel, as logged and as corrected."""
    sheet.title(
        f"{run_title(run)}: every reading",
        "As logged: on the cell's own clock, in the log's unit, zero not taken off, nothing rounded.",
        "As corrected: on the line's clock, calibration factor applied, zero taken off, spikes left out; a log faster than "
        "50 readings a second as means over 20 ms.",
    )
    columns, series = _series(channels)
    sheet.heads(HEADS.first, columns)
    sheet.widths(columns)
    sheet.sheet.freeze_panes(HEADS.data, 0)
    sheet.sheet.repeat_rows(HEADS.first, HEADS.data - 1)
    sheet.rows(HEADS.data, columns, zip_longest(*series))


def _series(channels: RunChannels) -> tuple[list[Column], list[list[float]]]:
    columns: list[Column] = []
    series: list[list[float]] = []
    for place, one in channels.logged.items():
        factor = "" if one.factor == 1.0 else f", factor {one.factor:g}"
        columns += [
            Column(f"{place}: time as logged", "s", VALUE, 14, _TIME),
            Column(f"{place}: {one.file}, {one.label}{factor}", one.unit, VALUE, 20, "General"),
        ]
        series += [one.time_s.tolist(), one.reading.tolist()]
        done = channels.corrected[place]
        columns += [
            Column(f"{place}: time on the line's clock", "s", VALUE, 14, _TIME),
            Column(f"{place}: force corrected", "N", VALUE, 14, "0.00"),
        ]
        series += [done.time_s.tolist(), done.force_N.tolist()]
    return columns, series
