"""Reading logs: any layout, separator, decimal mark, unit and clock, each decided once per file and recorded."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from difflib import get_close_matches
from pathlib import Path
from typing import Any

import numpy as np

from haulwright.errors import TrialRefusal
from haulwright.notices import Code, Notice
from haulwright.trials.log import Channel, ForceLog
from haulwright.trials.readers._clock import Clock
from haulwright.trials.readers._open import open_table
from haulwright.trials.readers._raw import RawChannel, Tally, stated_unit, to_channel
from haulwright.trials.readers._record import format_of, rows_of, tally_notices
from haulwright.trials.readers._roles import assign
from haulwright.trials.readers._table import Table
from haulwright.trials.readers._times import find_times
from haulwright.trials.readers._units import unit_name
from haulwright.trials.readers._zone import in_zones
from haulwright.trials.readers.choices import Choices
from haulwright.trials.readers.long import read_long, sensor_column
from haulwright.trials.readers.wide import read_wide

__all__ = ["Choices", "read_log"]

_DAY = 86400.0
_ZONES_APART_S = 14 * 3600.0  # loggers on one lane do not keep zones further apart (house rule)
_UNITS = "--unit kgf, t, kN, N or lbf"


def read_log(
    paths: Sequence[Path],
    *,
    both: bool = True,
    of_file: Mapping[Path, Choices] | None = None,
    **choices: Any,
) -> ForceLog:
    """Read the log or logs of one run.

    Parameters
    ----------
    paths : sequence of Path
        One file with both cells, or one file each; the line's first unless headers say otherwise. CSV or TSV text of
        any kind, or a workbook (XLSX). Opened for reading only.
    both : bool
        True if a line and an anchor are needed; False if a log of one cell will do.
    of_file : mapping path -> Choices, optional
        Decisions about single files; they stand over those for all.
    **choices
        Decisions about the format, as the fields of :class:`Choices`; what is not given is found out.

    Returns
    -------
    ForceLog

    Raises
    ------
    TrialRefusal
        If a file cannot be understood in one way only; the message names file and line.
    """
    given = Choices(**choices).checked()
    unique = list(dict.fromkeys(Path(path) for path in paths))
    if not unique:
        raise TrialRefusal("NO_FILE", "No log is given: name one file with both cells, or one for each.")
    own = [one.checked().over(given) if (one := (of_file or {}).get(path)) else given for path in unique]
    tables = [open_table(path, one) for path, one in zip(unique, own, strict=True)]
    decided = {id(table): one for table, one in zip(tables, own, strict=True)}
    raws = [raw for table in tables for raw in _channels_of(table, decided[id(table)])]
    units = [one.unit for one in own]
    try:
        chosen, notices = assign(raws, given.line_column, given.anchor_column, both=both)
    except TrialRefusal as refused:
        raise _with_units(refused, raws, units) from None
    given_for = {place: decided[id(raw.table)] for place, raw in chosen.items()}
    _check_places(own, chosen)
    chosen, zoned = in_zones(chosen, {place: one.zone_of(place) for place, one in given_for.items()})
    tally = Tally()
    channels: dict[str, Channel] = {}
    for place in sorted(chosen, key=lambda p: ("line", "anchor", p).index(p)):
        channel = _read_channel(chosen[place], place, given_for[place], tally, notices)
        if channel is not None:
            channels[place] = channel
    kept = {place: chosen[place] for place in channels}
    channels, clocks = _common_origin(channels, kept)
    return ForceLog(
        files=tuple({"path": table.name, "sha256": table.sha256} for table in tables),
        format=format_of(tables, kept, channels, own),
        channels=channels,
        rows=rows_of(tables, kept, tally),
        notices=(*notices, *zoned, *clocks, *tally_notices(tables, tally)),
    )


def _with_units(
    refused: TrialRefusal, raws: Sequence[RawChannel], units: Sequence[str | None]
) -> TrialRefusal:
    """Return a question about the columns together with the one about the unit that would come next."""
    if refused.code != "ROLES" or any(units) or any(stated_unit(raw) for raw in raws):
        return refused
    message = f"{refused.message} No unit of force is stated either: give it as well ({_UNITS})."
    return TrialRefusal(refused.code, message, refused.where, refused.line)


def _check_places(own: Sequence[Choices], chosen: Mapping[str, RawChannel]) -> None:
    """Refuse a unit or a zone for a channel there is not."""
    known = dict.fromkeys(("line", "anchor", *chosen))
    for place in sorted({place for one in own for place in one.places()}):
        if place not in known:
            near = get_close_matches(place, known, n=1)
            hint = f"did you mean {near[0]}?" if near else f"there are {', '.join(known)}."
            raise TrialRefusal("NO_CHANNEL", f"A unit or zone is given for {place!r}: {hint}", (place,))


def _channels_of(table: Table, given: Choices) -> list[RawChannel]:
    times, timed = find_times(table, given)
    known = np.any([np.isfinite(one.clock.time_s) for one in times], axis=0)
    if table.drop_text(times[0].columns[-1], known):
        if table.size == 0:
            message = f"{table.name} holds no row with a time that can be read."
            raise TrialRefusal("NO_ROWS", message, (table.name,), table.layout.first)
        times, timed = find_times(table, given)
    sensor = sensor_column(table)
    if sensor is not None:
        found = read_long(table, *sensor, times, timed)
        if found:
            return found
    return read_wide(table, times, timed, given)


def _read_channel(
    raw: RawChannel, place: str, given: Choices, tally: Tally, notices: list[Notice]
) -> Channel | None:
    """Return a channel in newtons; None for a further one that states no unit."""
    stated, wanted = stated_unit(raw), given.unit_of(place)
    used = wanted or stated
    if used is None and place not in ("line", "anchor"):
        text = f"{raw.label} is left out: it states no unit of force."
        notices.append(Code.UNCHECKED.notice((place,), text=text))
        return None
    if used is None:
        message = f"{raw.file}: no unit of force is stated for {raw.label}: give it ({_UNITS})."
        raise TrialRefusal("UNIT", message, (raw.file, raw.label))
    against = bool(stated and wanted and unit_name(stated) != unit_name(wanted))
    if against:
        text = f"{raw.label}: the log says {unit_name(stated or '')}, but {unit_name(used)} was given and is used."
        notices.append(Code.UNIT_ASSUMED.notice((place,), text=text))
    return to_channel(raw, place, used, tally, override=against)


def _common_origin(
    channels: Mapping[str, Channel], chosen: Mapping[str, RawChannel]
) -> tuple[dict[str, Channel], list[Notice]]:
    """Count seconds from the first stamp of the line's file, on each cell's own clock."""
    main = "line" if "line" in chosen else next(iter(chosen))
    line = chosen[main]
    joint = [raw for raw in chosen.values() if raw.file == line.file]
    origin = min(_first(raw) for raw in joint)[1]
    span = float(channels[main].time_s[-1] - channels[main].time_s[0])
    shifted: dict[str, Channel] = {}
    told: list[Notice] = []
    for place, channel in channels.items():
        first = float(channel.time_s[0])
        clock = chosen[place].clock
        if chosen[place].file == line.file and (clock.dated, clock.of_day) == (
            line.clock.dated,
            line.clock.of_day,
        ):
            # between the first stamps of two channels midnight may pass as well
            start = origin + (round((first - origin) / _DAY) * _DAY if line.clock.of_day else 0.0)
        else:
            comparable = (clock.dated, clock.of_day) == (line.clock.dated, line.clock.of_day)
            start, by_quarters = _other_origin(
                first, comparable and (line.clock.dated or line.clock.of_day), origin, span
            )
            if start != origin:
                told.append(_laid_together(place, clock, line.clock, start - origin, by_quarters))
        shifted[place] = replace(channel, time_s=channel.time_s - start)
    return shifted, told


def _laid_together(place: str, clock: Clock, line: Clock, apart_s: float, by_quarters: bool) -> Notice:
    """Tell that two logs were taken for one pull though their clocks are apart; a warning where zones do not explain it."""
    comparable = (clock.dated, clock.of_day) == (line.dated, line.of_day)
    why = ""
    if comparable and not by_quarters:
        why = "no whole quarters of an hour: both logs were laid together at their first readings. One run?"
    elif comparable and clock.dated and abs(apart_s) > _ZONES_APART_S:
        why = "further than zones can: both logs were laid together. One run, and the right day?"
    elif comparable and clock.dated and not (clock.wall or line.wall):
        why = "though both are known in UTC: both logs were laid together. One run, and the right zone?"
    text = f"{place}: its clock stands {apart_s:+.0f} s from the line's"
    if why:
        return Code.UNCHECKED.notice((place,), text=f"{text}, {why}")
    return Code.CLOCK.notice((), text=f"{text[0].upper()}{text[1:]}; the two logs were laid together first.")


def _first(raw: RawChannel) -> tuple[int, float]:
    """Return the line of a channel's first stamp, and the stamp."""
    time = raw.time_s
    at = int(np.argmax(np.isfinite(time)))
    return int(raw.lines[at]), float(time[at])


def _other_origin(first: float, comparable: bool, origin: float, span: float) -> tuple[float, bool]:
    """Return the origin of a second file, and whether it lies whole quarters of an hour from the first's.

    It is the same instant, unless the two clocks are hours apart.
    """
    if abs(first - origin) < 0.5 * span:
        return origin, True
    quarters = round((first - origin) / 900.0) * 900.0
    if comparable and abs(first - origin - quarters) < min(60.0, 0.5 * span):
        return origin + quarters, True
    return first, False
