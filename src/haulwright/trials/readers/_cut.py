"""Where each field of each line lies; every line of the file counted, irregular ones looked at one by one."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from haulwright.errors import TrialRefusal
from haulwright.trials.readers import _fast
from haulwright.trials.readers._fast import Bytes, Index, Mask
from haulwright.trials.readers._fields import CELLS, Layout, is_reading, looks_like_data, split_line
from haulwright.trials.readers._header import judge_text
from haulwright.trials.readers._table import Table

_NEWLINE, _QUOTE, _SPACE = 10, 34, 32
_TOLERATED = 0.02  # share of rows that may be broken before the log is refused
_LONGEST_LINE = 20_000
Cuts = NDArray[np.uint32]


def build(data: bytes, layout: Layout, name: str, sha256: str, encoding: str, sheet: str = "") -> Table:
    """Return the table of a file's text, every line of it counted.

    Raises
    ------
    TrialRefusal
        BROKEN_ROW if more than 2 % of the rows have another number of columns; COLUMNS if the header changes.
    """
    if layout.separator == " ":
        data = re.sub(rb"[ \t]+", b" ", data).replace(b"\n ", b"\n").replace(b" \n", b"\n").strip(b" ")
    buffer = np.frombuffer(data, dtype=np.uint8)
    ends = np.flatnonzero(buffer == _NEWLINE)
    if not data.endswith(b"\n"):
        ends = np.append(ends, len(data))
    begins = np.concatenate(([0], ends[:-1] + 1))
    head = layout.first - 1
    body = _Body(data, buffer, begins[head:], ends[head:], layout, name, head)
    body.counts.update(
        header_line=len(layout.header_lines),
        preamble_line=len(layout.preamble),
        blank_line=head - len(layout.header_lines) - len(layout.preamble),
    )
    starts, cuts, lines = body.rows()
    if body.anew:
        buffer = np.concatenate((buffer, np.frombuffer(bytes(body.anew), dtype=np.uint8)))
    table = Table(
        name, sha256, encoding, layout, buffer, starts, cuts, lines, body.counts, sheet, body.first_broken
    )
    if not data.endswith(b"\n"):
        _drop_cut_number(table)
    return table


def _drop_cut_number(table: Table) -> None:
    """Drop a last row that breaks off inside its last number: it has fewer decimals than all rows before it."""
    mark, last = table.layout.decimal, table.layout.width - 1
    texts = table.texts(last, np.arange(max(0, table.size - 60), table.size))
    decimals = [len(text.partition(mark)[2]) for text in texts]
    if len(decimals) < 20 or not texts[-1] or len(set(decimals[:-1])) > 1 or decimals[-1] >= decimals[0]:
        return
    number = int(table.lines[-1])
    table.first_broken = (
        table.first_broken or f"{table.name}, line {number}: the log breaks off at {texts[-1]!r}"
    )
    table.drop_last("broken_row")


@dataclass
class _Body:
    """The lines of the body and what became of them."""

    data: bytes
    buffer: Bytes
    begins: Index
    ends: Index
    layout: Layout
    name: str
    head: int
    counts: Counter[str] = field(default_factory=Counter)
    anew: bytearray = field(default_factory=bytearray)
    first_broken: str = ""

    def rows(self) -> tuple[Cuts, Cuts, Cuts]:
        """Return starts, cuts and line numbers of the rows."""
        width, usual = self.layout.width, self.layout.fields
        marks = self._marks()
        quoted = self._quoted()
        even = marks.size == (usual - 1) * self.begins.size and usual > 1 and not bool(quoted.any())
        table = marks.reshape(self.begins.size, -1) if even else None
        if table is not None and bool(
            (table[:, 0] >= self.begins).all() and (table[:, -1] < self.ends).all()
        ):
            regular = np.ones(
                self.begins.size, dtype=np.bool_
            )  # each line holds its own separators, no more, no less
            cuts = np.empty((self.begins.size, width), dtype=np.uint32)
            cuts[:, : usual - 1] = table[:, :width]
            if width == usual:
                cuts[:, -1] = self.ends
        else:
            regular, cuts = self._regular(marks, quoted)
        starts = self.begins[regular].astype(np.uint32)
        places = np.flatnonzero(regular)
        surplus = self.ends[regular] - cuts[:, -1] > max(0, self.layout.fields - width)
        blank = self._blank(starts, cuts)
        self.counts["blank_line"] += int(np.count_nonzero(blank & ~surplus))
        keep = ~(surplus | blank)
        others = np.concatenate((np.flatnonzero(~regular), places[surplus]))
        return self._with_others(np.sort(others), starts[keep], cuts[keep], places[keep])

    def _regular(self, marks: Index, quoted: Mask) -> tuple[Mask, Cuts]:
        """Return which lines have the usual number of fields, and the cuts of those."""
        upto = np.searchsorted(marks, self.ends)
        fields = np.diff(upto, prepend=0) + 1
        regular = (fields == self.layout.fields) & ~quoted
        first_mark = upto - (fields - 1)
        cuts = np.empty((int(np.count_nonzero(regular)), self.layout.width), dtype=np.uint32)
        for column in range(self.layout.width):
            last = column == self.layout.fields - 1
            cuts[:, column] = self.ends[regular] if last else marks[first_mark[regular] + column]
        return regular, cuts

    def _marks(self) -> Index:
        """Return the places of the separators in the body."""
        first = int(self.begins[0])
        marks = np.flatnonzero(self.buffer[first:] == ord(self.layout.separator))
        marks += first
        return marks

    def _quoted(self) -> Mask:
        quoted = np.zeros(self.begins.size, dtype=np.bool_)
        if self.layout.separator != CELLS and b'"' in self.data:
            quotes = np.flatnonzero(self.buffer == _QUOTE)
            at = np.searchsorted(self.begins, quotes, side="right") - 1
            quoted[at[at >= 0]] = True
        return quoted

    def _blank(self, starts: Cuts, cuts: Cuts) -> Mask:
        """Tell which lines hold nothing but separators and blanks."""
        blank = np.zeros(starts.size, dtype=np.bool_)
        left = np.flatnonzero(
            (starts == cuts[:, 0]) | (self.buffer[np.minimum(starts, self.buffer.size - 1)] == _SPACE)
        )
        begin = starts[left].astype(np.int64)
        empty = np.ones(left.size, dtype=np.bool_)
        for column in range(self.layout.width):
            end = cuts[left, column].astype(np.int64)
            from_, to = _fast.trim(self.buffer, begin, end)
            empty &= from_ == to
            begin = end + 1
        blank[left] = empty
        return blank

    def _with_others(self, others: Index, starts: Cuts, cuts: Cuts, places: Index) -> tuple[Cuts, Cuts, Cuts]:
        """Join the regular rows with those found among the other lines, in the order of the file."""
        empty = self.begins[others] == self.ends[others]
        self.counts["blank_line"] += int(np.count_nonzero(empty))
        others = others[~empty]
        last = int(places[-1]) if places.size else -1
        more: list[tuple[int, int, list[int]]] = []
        limit = max(20.0, _TOLERATED * (places.size + others.size))
        for place in others.tolist():
            found = self._one(place, last)
            if found is not None:
                more.append((place, *found))
            elif self.counts["broken_row"] > limit:
                self._refuse(place)
        if more:
            starts = np.concatenate((starts, np.array([m[1] for m in more], dtype=np.uint32)))
            cuts = np.concatenate((cuts, np.array([m[2] for m in more], dtype=np.uint32)))
            places = np.concatenate((places, np.array([m[0] for m in more])))
            order = np.argsort(places, kind="stable")
            starts, cuts, places = starts[order], cuts[order], places[order]
        count = self.counts["broken_row"]
        if count > max(3.0, _TOLERATED * (places.size + count)):
            self._refuse(0)
        return starts, cuts, (places + self.head + 1).astype(np.uint32)

    def _one(self, place: int, last: int) -> tuple[int, list[int]] | None:
        """Return start and cuts of a line that is a row after all; count what it is otherwise."""
        begin, end = int(self.begins[place]), int(self.ends[place])
        number = place + self.head + 1
        if end - begin > _LONGEST_LINE:
            message = (
                f"{self.name}, line {number}: a line of over {_LONGEST_LINE} characters is no row of a log."
            )
            raise TrialRefusal("BROKEN_ROW", message, (self.name,), number)
        text = self.data[begin:end].decode("utf-8", "replace")
        fields = split_line(text, self.layout.separator)
        width = self.layout.width
        if not any(fields):
            self.counts["blank_line"] += 1
        elif len(fields) >= width and not any(fields[width:]) and any(map(is_reading, fields)):
            return self._write_anew(fields[:width])
        elif looks_like_data(fields) or (len(fields) == 1 and is_reading(fields[0])):
            self.counts["broken_row"] += 1
            self.first_broken = self.first_broken or (
                f"{self.name}, line {number}: {text.strip()[:60]!r} has {len(fields)} fields, not {width}"
            )
        else:
            kind = judge_text(fields, text, self.layout, self.name, number)
            self.counts["trailing_line" if kind == "text_line" and place > last else kind] += 1
        return None

    def _write_anew(self, fields: list[str]) -> tuple[int, list[int]]:
        start = len(self.data) + len(self.anew)
        cuts = []
        for one in fields:
            self.anew += one.encode()
            cuts.append(len(self.data) + len(self.anew))
            self.anew += b"\n"
        return start, cuts

    def _refuse(self, place: int) -> None:
        message = (
            f"{self.first_broken}, and {self.counts['broken_row'] - 1} more like it: the columns cannot be told apart. "
            "Export the log again, or state the separator (--separator)."
        )
        raise TrialRefusal("BROKEN_ROW", message, (self.name,), place + self.head + 1)
