"""A file's body as columns: where each field lies in the text, read as numbers, stamps or names when asked for.

Regular lines are never split into Python objects; a field that is not regular is read with care by itself.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from haulwright.trials.readers import _fast
from haulwright.trials.readers._fast import STEP, Bytes, Floats, Index, Mask
from haulwright.trials.readers._fields import Layout, is_reading
from haulwright.trials.readers._header import judge_text
from haulwright.trials.readers._number import to_number
from haulwright.trials.readers._stamp import Reading, match_stamp, seconds_of

_MOST_REMARKS = 20_000  # rows without a time that are looked at one by one
_NO_FAST_WAY = False  # tests set this to read everything with care


@dataclass
class Table:
    """The body of one file.

    Attributes
    ----------
    name, sha256, encoding : str
        The file, the hash of its raw bytes, its encoding.
    layout : Layout
        The one decision taken for it.
    buffer : array of bytes
        The text, and behind it lines that had to be written anew (quotes).
    starts : array
        Where each row starts.
    cuts : array, rows × columns
        Where each field ends.
    lines : array
        Line number of each row, counted from 1.
    counts : Counter
        Fates of the lines that are no rows.
    sheet : str
        Sheet of a workbook.
    first_broken : str
        The first row that has not the right number of fields, in words.
    """

    name: str
    sha256: str
    encoding: str
    layout: Layout
    buffer: Bytes
    starts: NDArray[np.uint32]
    cuts: NDArray[np.uint32]
    lines: NDArray[np.uint32]
    counts: Counter[str]
    sheet: str = ""
    first_broken: str = ""
    _numbers: dict[int, tuple[Floats, Index]] = field(default_factory=dict)

    @property
    def header(self) -> tuple[str, ...]:
        """Labels of the columns."""
        return self.layout.header

    @property
    def size(self) -> int:
        """Rows of the body."""
        return int(self.starts.size)

    def bounds(self, column: int, rows: slice | Index) -> tuple[Index, Index]:
        """Return where the fields of a column start and end."""
        before = (
            self.starts[rows].astype(np.int64)
            if column == 0
            else self.cuts[rows, column - 1].astype(np.int64) + 1
        )
        return before, self.cuts[rows, column].astype(np.int64)

    def text(self, row: int, column: int) -> str:
        """Return one field."""
        start, end = self.bounds(column, np.array([row]))
        return bytes(self.buffer[int(start[0]) : int(end[0])]).decode("utf-8", "replace").strip()

    def row(self, row: int) -> list[str]:
        """Return the fields of one row."""
        return [self.text(row, column) for column in range(self.layout.width)]

    def texts(self, column: int, rows: Index) -> list[str]:
        """Return the fields of some rows."""
        start, end = self.bounds(column, rows)
        data = self.buffer
        return [
            bytes(data[a:b]).decode("utf-8", "replace").strip()
            for a, b in zip(start.tolist(), end.tolist(), strict=True)
        ]

    def sample(self, most: int = 2000) -> Index:
        """Return rows to decide on: all of a small file, else as many from the head and spread over the rest."""
        if self.size <= most:
            return np.arange(self.size)
        return np.unique(
            np.concatenate((np.arange(most // 2), np.linspace(0, self.size - 1, most // 2).astype(np.int64)))
        )

    def numbers(self, column: int) -> tuple[Floats, Index]:
        """Return a column's numbers, not-a-number where a field is none, and the rows of those fields."""
        if column not in self._numbers:
            decimal = self.layout.decimal

            def careful(text: str) -> float:
                value = to_number(text, decimal)
                return float("nan") if value is None else value

            def quick(start: Index, end: Index) -> tuple[Floats, Mask]:
                return _fast.numbers(self.buffer, start, end, decimal)

            self._numbers[column] = self._convert(column, quick, careful)
        return self._numbers[column]

    def seconds(self, column: int, reading: Reading) -> Floats:
        """Return a column's stamps in seconds, not-a-number where a field is none."""

        def careful(text: str) -> float:
            match = match_stamp(text)
            value = seconds_of(match, reading) if match else None
            return float("nan") if value is None else value

        def quick(start: Index, end: Index) -> tuple[Floats, Mask]:
            return _fast.stamps(self.buffer, start, end, reading)

        return self._convert(column, quick, careful)[0]

    def codes(self, column: int, names: Sequence[str]) -> NDArray[np.int16]:
        """Return the place of each field of a column in a list of names, −1 for others."""
        codes = np.full(self.size, -1, dtype=np.int16)
        for at in range(0, self.size, STEP):
            rows = slice(at, min(at + STEP, self.size))
            start, end = _fast.trim(self.buffer, *self.bounds(column, rows))
            for code, name in enumerate(names):
                codes[rows][_fast.same_text(self.buffer, start, end, name.encode())] = code
        return codes

    def names(self, column: int, most: int) -> list[str] | None:
        """Return the distinct texts of a column in the order they appear, None if there are more than ``most``."""
        found = list(dict.fromkeys(self.texts(column, self.sample())))
        while len(found) <= most:
            strange = np.flatnonzero(self.codes(column, found) < 0)[:STEP]
            if strange.size == 0:
                return found
            new = [t for t in dict.fromkeys(self.texts(column, strange)) if t not in found]
            if not new:  # differs by blanks only
                return found
            found.extend(new[: most + 1])
        return None

    def _keep(self, keep: Mask) -> None:
        self.starts, self.cuts, self.lines = self.starts[keep], self.cuts[keep], self.lines[keep]
        self._numbers.clear()

    def some_numbers(self, column: int, rows: Index) -> Floats:
        """Return the numbers in some fields of a column, those left out that are none."""
        values = [to_number(text, self.layout.decimal) for text in self.texts(column, rows)]
        return np.array([value for value in values if value is not None], dtype=np.float64)

    def drop_text(self, column: int, known: Mask) -> bool:
        """Take out the rows that tell no time: the header again after a reconnect, remarks, sums at the end.

        Parameters
        ----------
        column : int
            Column of the time.
        known : array
            The rows whose time is known already.

        Returns
        -------
        bool
            True if there were any.
        """
        unknown = np.flatnonzero(~known)
        texts = self.texts(column, unknown[:_MOST_REMARKS])
        timeless = unknown[:_MOST_REMARKS][[not is_reading(text) for text in texts]]
        if timeless.size == 0:
            return False
        told = np.ones(self.size, dtype=np.bool_)
        told[timeless] = False
        last = int(np.flatnonzero(told)[-1]) if bool(told.any()) else -1
        kinds: dict[str, list[int]] = {}
        for row in timeless.tolist():
            fields = self.row(row)
            readings = sum(map(is_reading, fields))
            if row > last:
                kinds.setdefault("trailing_line", []).append(row)
            elif readings == 0:
                line = " ".join(fields)
                kind = (
                    judge_text(fields, self.line(row), self.layout, self.name, int(self.lines[row]))
                    if line
                    else ""
                )
                kinds.setdefault(kind or "text_line", []).append(row)
        gone = np.zeros(self.size, dtype=np.bool_)
        for kind, rows in kinds.items():
            self.counts[kind] += len(rows)
            gone[rows] = True
        self._keep(~gone)
        return bool(gone.any())

    def drop_last(self, kind: str) -> None:
        """Take out the last row and count what its line is."""
        self.counts[kind] += 1
        self._keep(np.arange(self.size) < self.size - 1)

    def line(self, row: int) -> str:
        """Return a row as it stands in the file."""
        return bytes(self.buffer[int(self.starts[row]) : int(self.cuts[row, -1])]).decode("utf-8", "replace")

    def _convert(
        self,
        column: int,
        quick: Callable[[Index, Index], tuple[Floats, Mask]],
        careful: Callable[[str], float],
    ) -> tuple[Floats, Index]:
        values = np.full(self.size, np.nan)
        odd: list[Index] = []
        for at in range(0, self.size, STEP):
            rows = slice(at, min(at + STEP, self.size))
            start, end = self.bounds(column, rows)
            if _NO_FAST_WAY:
                good = np.zeros(start.size, dtype=np.bool_)
            else:
                found, good = quick(start, end)
                values[rows] = np.where(good, found, np.nan)
            rest = np.flatnonzero(~good) + at
            if rest.size:
                values[rest] = [careful(text) for text in self.texts(column, rest)]
                odd.append(rest[np.isnan(values[rest])])
        return values, np.concatenate(odd) if odd else np.empty(0, dtype=np.int64)
