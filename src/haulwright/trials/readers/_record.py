"""What is said of a log: the decisions taken, the fate of every line and reading."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import PurePath

from haulwright.notices import Code, Notice
from haulwright.trials.log import Channel
from haulwright.trials.readers._fields import CELLS
from haulwright.trials.readers._raw import RawChannel, Tally
from haulwright.trials.readers._table import Table
from haulwright.trials.readers.choices import Choices

_SEPARATORS = {"\t": "tab", ";": "semicolon", ",": "comma", "|": "bar", " ": "space", CELLS: "cells"}
_FATES = ("used", "blank", "overload", "formula", "unparsable", "duplicate", "backwards", "held", "spike")
_LINES = (
    "data_line",
    "header_line",
    "repeated_header_line",
    "preamble_line",
    "trailing_line",
    "text_line",
    "broken_line",
    "blank_line",
)
_TOLD = ("overload", "formula", "unparsable", "duplicate", "backwards", "held")


def format_of(
    tables: Sequence[Table],
    chosen: Mapping[str, RawChannel],
    channels: Mapping[str, Channel],
    given: Sequence[Choices],
) -> dict[str, str]:
    """Return every decision taken on the format, in words."""

    def joined(values: Sequence[str]) -> str:
        return " / ".join(dict.fromkeys(values))

    units = [f"{place} {channel.unit_read}" for place, channel in channels.items()]
    same = len({channel.unit_read for channel in channels.values()}) == 1
    found = {
        "layout": joined([raw.layout for raw in chosen.values()])
        + (", one file each" if len(tables) > 1 else ""),
        "separator": joined([_SEPARATORS.get(t.layout.separator, t.layout.separator) for t in tables]),
        "decimal_mark": joined([table.layout.decimal for table in tables]),
        "encoding": joined([table.encoding for table in tables]),
        "header": joined([_header_words(table) for table in tables]),
        "columns": ", ".join(f"{place} from {_column_words(raw)}" for place, raw in chosen.items()),
        "unit": next(iter(channels.values())).unit_read if same else ", ".join(units),
        "clock": joined([raw.clock.style for raw in chosen.values()]),
    }
    sheets = joined([table.sheet for table in tables if table.sheet])
    if sheets:
        found["sheet"] = sheets
    if any(one.words() for one in given):
        found["given"] = _given_words(tables, given)
    return found


def _given_words(tables: Sequence[Table], given: Sequence[Choices]) -> str:
    """Return what was decided by the caller: once if it is the same for all files, else for each."""
    words = [one.words() or "nothing" for one in given]
    if len(set(words)) == 1:
        return words[0]
    return "; ".join(
        f"{PurePath(table.name).name}: {text}" for table, text in zip(tables, words, strict=True)
    )


def _header_words(table: Table) -> str:
    count = len(table.layout.header_lines)
    if not count:
        return "none"
    last = table.layout.first - 1
    return f"line {last}" if count == 1 else f"lines {last - 1} and {last}"


def _column_words(raw: RawChannel) -> str:
    if raw.layout == "long":
        return f"sensor {raw.label}"
    label = raw.table.header[raw.column]
    return f"column {raw.column + 1}" + (f" ({label})" if label else "")


def rows_of(tables: Sequence[Table], chosen: Mapping[str, RawChannel], tally: Tally) -> dict[str, int]:
    """Return the fate of every reading, and the kind of every line.

    The fates of readings add up to the readings of the data lines; the kinds of lines to the lines of the files.
    """
    fates = {fate: tally.rows.get(fate, 0) for fate in _FATES}
    kinds = dict.fromkeys(_LINES, 0)
    for table in tables:
        for kind, count in table.counts.items():
            kinds["broken_line" if kind == "broken_row" else kind] += count
        kinds["data_line"] += table.size
    return {**fates, **kinds}


def tally_notices(tables: Sequence[Table], tally: Tally) -> list[Notice]:
    """Return what the reader has to say of clocks and of readings that were not used."""
    told = [Code.CLOCK.notice((), text=f"{text[0].upper()}{text[1:]}.") for text in tally.clock]
    lost = {fate: tally.rows[fate] for fate in _TOLD if tally.rows.get(fate)}
    broken = sum(table.counts["broken_row"] for table in tables)
    details = [
        *tally.unreadable,
        *tally.held,
        *[table.first_broken for table in tables if table.first_broken],
    ]
    counts = [f"{n} {fate}" for fate, n in lost.items()] + ([f"{broken} broken lines"] if broken else [])
    if counts:
        text = f"Readings not used: {', '.join(counts)}{''.join(f'; {detail}' for detail in details)}."
        told.append(Code.ROWS.notice((), text=text))
    return told
