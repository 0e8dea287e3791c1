"""Reading logs: any layout, separator, decimal mark, unit and clock, each decided once per file and recorded."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np

from haulwright.errors import TrialRefusal
from haulwright.notices import Code, Notice
from haulwright.trials.log import Channel, ForceLog
from haulwright.trials.readers._raw import RawChannel, Tally, stated_unit, to_channel
from haulwright.trials.readers._roles import assign
from haulwright.trials.readers._text import Sheet, read_sheet
from haulwright.trials.readers._units import newtons_per, unit_name
from haulwright.trials.readers.long import read_long, sensor_column
from haulwright.trials.readers.wide import read_wide

__all__ = ["read_log"]

_SEPARATORS = {"\t": "tab", ";": "semicolon", ",": "comma", "|": "bar", " ": "space"}
_DAY = 86400.0
_FATES = ("used", "blank", "overload", "unparsable", "duplicate", "backwards", "spike")


def read_log(
    paths: Sequence[Path],
    *,
    line_column: str | None = None,
    anchor_column: str | None = None,
    unit: str | None = None,
    date_order: str | None = None,
) -> ForceLog:
    """Read the log or logs of one run.

    Parameters
    ----------
    paths : sequence of Path
        One file with both cells, or one file each; the line's first unless headers say otherwise. Opened for
        reading only.
    line_column, anchor_column : str, optional
        Names of the columns or sensors, where the headers do not tell or tell wrongly.
    unit : str, optional
        Unit of the readings (kgf, t, kN, N, lbf), where the log does not state it.
    date_order : {"day-first", "month-first"}, optional
        Settles dates that can be read both ways.

    Returns
    -------
    ForceLog

    Raises
    ------
    TrialRefusal
        If a file cannot be understood in one way only; the message names file and line.
    """
    if unit is not None and newtons_per(unit) is None:
        raise TrialRefusal("UNIT", f"{unit!r} is no unit of force: expected kgf, t, kN, N or lbf.", (unit,))
    if date_order not in (None, "day-first", "month-first"):
        message = f"date order {date_order!r} is not known: give day-first or month-first."
        raise TrialRefusal("DATES", message, (str(date_order),))
    unique = list(dict.fromkeys(Path(path) for path in paths))
    if not unique:
        raise TrialRefusal("NO_FILE", "No log is given: name one file with both cells, or one for each.")
    sheets = [read_sheet(path) for path in unique]
    raws = [raw for sheet in sheets for raw in _channels_of(sheet, date_order)]
    chosen, notices = assign(raws, line_column, anchor_column)
    tally = Tally()
    channels: dict[str, Channel] = {}
    for place in ("line", "anchor", *[p for p in chosen if p not in ("line", "anchor")]):
        raw = chosen[place]
        stated = stated_unit(raw)
        used = unit or stated
        if used is None:
            message = f"{raw.file}: no unit of force is stated for {raw.label}: give it (--unit kgf, t, kN, N or lbf)."
            raise TrialRefusal("UNIT", message, (raw.file, raw.label))
        if stated and unit and unit_name(stated) != unit_name(unit):
            text = (
                f"{raw.label}: the log says {unit_name(stated)}, but {unit_name(unit)} was given and is used."
            )
            notices.append(Code.UNIT_ASSUMED.notice((place,), text=text))
            raw = replace(raw, units=None)
        channels[place] = to_channel(raw, place, used, tally)
    channels, clock_words = _common_origin(channels, chosen)
    return ForceLog(
        files=tuple({"path": sheet.path, "sha256": sheet.sha256} for sheet in sheets),
        format=_format(sheets, chosen, channels),
        channels=channels,
        rows=_rows(sheets, tally),
        notices=(*notices, *_tally_notices(tally, clock_words)),
    )


def _channels_of(sheet: Sheet, date_order: str | None) -> list[RawChannel]:
    sensor = sensor_column(sheet)
    if sensor is not None:
        found = read_long(sheet, sensor, date_order=date_order)
        if found:
            return found
    return read_wide(sheet, date_order=date_order)


def _common_origin(
    channels: Mapping[str, Channel], chosen: Mapping[str, RawChannel]
) -> tuple[dict[str, Channel], list[str]]:
    """Count seconds from the first stamp of the line's file, on each cell's own clock."""
    line = chosen["line"]
    joint = [raw for raw in chosen.values() if raw.file == line.file]
    origin = min(
        (int(raw.numbers[at]), float(raw.clock.time_s[at]))
        for raw in joint
        if (at := _first(raw)) is not None
    )[1]
    span = float(channels["line"].time_s[-1] - channels["line"].time_s[0])
    shifted, words = {}, []
    for place, channel in channels.items():
        first = float(channel.time_s[0])
        if chosen[place].file == line.file:
            # between the first stamps of two channels midnight may pass as well
            start = origin + (round((first - origin) / _DAY) * _DAY if line.clock.of_day else 0.0)
        else:
            comparable = (chosen[place].clock.dated, chosen[place].clock.of_day) == (
                line.clock.dated,
                line.clock.of_day,
            )
            start = _other_origin(first, comparable and (line.clock.dated or line.clock.of_day), origin, span)
            if start != origin:
                words.append(
                    f"{place}: its clock stands {start - origin:+.0f} s from the line's; the two logs were laid together first"
                )
        shifted[place] = replace(channel, time_s=channel.time_s - start)
    return shifted, words


def _first(raw: RawChannel) -> int | None:
    good = np.flatnonzero(np.isfinite(raw.clock.time_s))
    return int(good[0]) if good.size else None


def _other_origin(first: float, comparable: bool, origin: float, span: float) -> float:
    """Return the origin of a second file: the same instant, unless the two clocks are hours apart."""
    if abs(first - origin) < 0.5 * span:
        return origin
    quarters = round((first - origin) / 900.0) * 900.0
    if comparable and abs(first - origin - quarters) < min(60.0, 0.5 * span):
        return origin + quarters
    return first


def _format(
    sheets: Sequence[Sheet], chosen: Mapping[str, RawChannel], channels: Mapping[str, Channel]
) -> dict[str, str]:
    def joined(values: Sequence[str]) -> str:
        return " / ".join(dict.fromkeys(values))

    return {
        "layout": joined([raw.layout for raw in chosen.values()])
        + (", one file each" if len(sheets) > 1 else ""),
        "separator": joined([_SEPARATORS[sheet.separator] for sheet in sheets]),
        "decimal_mark": joined([sheet.decimal for sheet in sheets]),
        "encoding": joined([sheet.encoding for sheet in sheets]),
        "unit": joined([channel.unit_read for channel in channels.values()]),
        "clock": joined([raw.clock.style for raw in chosen.values()]),
    }


def _rows(sheets: Sequence[Sheet], tally: Tally) -> dict[str, int]:
    rows = {fate: tally.rows.get(fate, 0) for fate in _FATES}
    rows["blank_line"] = sum(sheet.blank for sheet in sheets)
    rows["preamble_line"] = sum(len(sheet.preamble) for sheet in sheets)
    return rows


def _tally_notices(tally: Tally, clock_words: Sequence[str]) -> list[Notice]:
    told = [
        Code.CLOCK.notice((), text=f"{text[0].upper()}{text[1:]}.") for text in (*tally.clock, *clock_words)
    ]
    lost = {
        fate: n
        for fate, n in tally.rows.items()
        if n and fate in ("overload", "unparsable", "duplicate", "backwards")
    }
    if lost:
        counts = ", ".join(f"{n} {fate}" for fate, n in lost.items())
        detail = "".join(f"; {text}" for text in tally.unreadable)
        told.append(Code.ROWS.notice((), text=f"Readings not used: {counts}{detail}."))
    return told
