"""What stands beside the averaged rows of a run: its results as formulas, its stretches, its chart, its channels."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from haulwright.publishing.look import PAPER
from haulwright.publishing.workbook.cells import LIVE, TEXT, VALUE, Cell, Column, Formula, Sheet, head_lines
from haulwright.publishing.workbook.charts import ChartCells, trace_chart_of
from haulwright.publishing.workbook.run_words import told_of, where
from haulwright.quantities.measured import Measured
from haulwright.trials.channels.result import RunChannels
from haulwright.trials.result import TrialResult

if TYPE_CHECKING:
    from xlsxwriter.format import Format

Placed = tuple[int, Cell, "Format | None"]
_CHART_ROWS = 22
_NEAR = "1E-9"  # seconds: an end of a stretch that is an instant of the rows belongs to it
_RESULT = (
    Column("Quantity", "", TEXT, 26),
    Column("Reckoned here", "see Unit", LIVE, 14),
    Column("In the record", "see Unit", VALUE, 14),
    Column("Standard uncertainty", "see Unit", VALUE, 21),
    Column("95 % from", "see Unit", VALUE, 13),
    Column("95 % to", "see Unit", VALUE, 13),
    Column("Unit", "", TEXT, 11),
    Column("Where from", "", TEXT, 46),
)
_STRETCH = (
    Column("From, on the line's clock", "s", VALUE),
    Column("To", "s", VALUE),
    Column("Mean line", "N", LIVE),
    Column("and at To", "N", LIVE),
    Column("Mean anchor", "N", LIVE),
    Column("and at To", "N", LIVE),
    Column("Chosen by", "", TEXT),
    Column("Why", "", TEXT),
)


@dataclass(frozen=True)
class Heads:
    """First row of the heads, first row of the data; from 0."""

    first: int
    data: int


@dataclass(frozen=True)
class _Line:
    """One line of the results."""

    what: str
    here: Cell
    record: Measured | float | None
    unit: str
    source: str
    figures: str = "0.0000"


class Beside:
    """The block beside the rows of a run, whose cells other sheets point to.

    Parameters
    ----------
    sheet : Sheet
    run : TrialResult
    channels : RunChannels
    heads : Heads
    column : int
        Its first, from 0.
    """

    def __init__(
        self, sheet: Sheet, run: TrialResult, channels: RunChannels, heads: Heads, column: int
    ) -> None:
        self.sheet, self.run, self.channels, self.data, self.column = sheet, run, channels, heads.data, column
        self.places = list(channels.rows.force_N) if channels.rows is not None else list(run.mean_N)
        self.lines = self._lines()
        self.steady = self.data + 3 + len(self.lines) + 2  # head of the stretches, two rows of words above

    def address(self, what: str) -> str:
        """Return where a line of the results is reckoned: ``line``, ``anchor``, ``ratio``, ``advantage``, ``share``."""
        return self.sheet.at(self._row(what), self.column + 1)

    def widths(self) -> None:
        """Set the widths of its columns."""
        self.sheet.widths(_RESULT, self.column)

    def flag(self, row: int) -> str:
        """Return the formula that tells whether a row is averaged: in a stretch, and both forces known."""
        first, last = self.stretch_rows
        start, end = (self.sheet.range(first, last, self.column + n).split("!")[1] for n in (0, 1))
        time, line, anchor = (f"{letter}{row + 1}" for letter in "ABC")
        inside = f"SUMPRODUCT(({time}>={start}-{_NEAR})*({time}<={end}+{_NEAR}))"
        return f"=IF(AND(ISNUMBER({line}),ISNUMBER({anchor})),MIN(1,{inside}),0)"

    @property
    def stretch_rows(self) -> tuple[int, int]:
        """First and last row of the stretches."""
        return self.steady + 3, self.steady + 2 + len(self.run.steady)

    def column_of(self, n: int) -> str:
        """Return the cells of a column of the rows, n from 0."""
        rows = self.channels.rows
        count = 0 if rows is None else rows.time_s.size
        return self.sheet.range(self.data, self.data + count - 1, n)

    def chart(self) -> None:
        """Put the chart of the traces below the stretches."""
        if self.channels.rows is None:
            return
        first, last = self.stretch_rows
        pairs = [
            [self._pair(row, at) for at in (0, 2, 4)] for row in range(first, last + 1)
        ]  # both ends, both means of the line, both of the anchor
        cells = ChartCells(
            self.column_of(0), {p: self.column_of(n) for n, p in enumerate(self.places, 1)}, pairs
        )
        self.sheet.sheet.insert_chart(
            last + 2,
            self.column,
            trace_chart_of(self.sheet.book, cells, f"Run {self.run.run}: {self.run.rig}"),
        )

    def stretch_cells(self, start_s: float, end_s: float) -> list[Cell]:
        """Return the cells of a stretch: its ends, and the means at both ends of it for the chart."""
        means = [Formula(f"={self._here(p)}", self.run.mean_N[p].value) for p in ("line", "anchor")]
        return [start_s, end_s, means[0], means[0], means[1], means[1]]

    def _pair(self, row: int, at: int) -> str:
        one, other = (self.sheet.at(row, self.column + at + n) for n in (0, 1))
        return f"={one}:{other.split('!')[1]}"

    def _row(self, what: str) -> int:
        order = ["n", *self.places, "ratio", *(["gain"] if self.run.gain else []), "advantage", "share"]
        return self.data + 3 + order.index(what) - (0 if self.channels.rows is not None else 1)

    def _here(self, what: str) -> str:
        return self.address(what).split("!")[1]

    def _lines(self) -> list[_Line]:
        run, rows = self.run, self.channels.rows
        found: list[_Line] = []
        if rows is not None:
            flags = self.column_of(len(self.places) + 1)
            n = float(rows.inside.sum())
            found.append(
                _Line("Rows averaged", Formula(f"=SUM({flags})", n), n, "rows", "sum of the last column", "0")
            )
        for place in self.places:
            found.append(self._mean(place))
        ratio = Formula(f"={self._here('anchor')}/{self._here('line')}", run.ratio.value)
        found.append(
            _Line("Anchor ÷ line, as read", ratio, run.ratio, "1", "mean of the anchor ÷ mean of the line")
        )
        if run.gain:
            told = "gains of the cells, from series and swap checks and classes: anchor ÷ line"
            found.append(_Line("Gain taken off", run.gain.value, run.gain, "1", f"value; {told}"))
        found.append(self._advantage())
        share = Formula(f"=1/{self._here('advantage')}", run.winch_share.value)
        found.append(
            _Line("Winch share, effort ÷ load", share, run.winch_share, "%", "1 ÷ advantage", "0.00%")
        )
        return found

    def _mean(self, place: str) -> _Line:
        mean, what = self.run.mean_N.get(place), f"Mean force {where(place)}"
        if self.channels.rows is None:
            told = "value; typed from the display, calibration factor applied"
            return _Line(what, mean.value if mean else None, mean, "N", told, "0.0")
        if mean is None:
            return _Line(what, None, None, "N", "too little of it in the steady stretch", "0.0")
        n = 1 + self.places.index(place)
        formula = f"=AVERAGEIFS({self.column_of(n)},{self.column_of(len(self.places) + 1)},1)"
        told = "mean of the rows averaged; uncertainty: scatter, zero, class"
        return _Line(what, Formula(formula, mean.value), mean, "N", told, "0.0")

    def _advantage(self) -> _Line:
        run = self.run
        what = "Advantage, load ÷ effort"
        if not self.channels.direct:
            told = (
                "value; the rig's solver turns the ratio into it, as the cells sit at other places of the rig"
            )
            return _Line(what, run.advantage.value, run.advantage, "1", told)
        by = f"/{self._here('gain')}" if run.gain else ""
        told = "ratio ÷ gain of the cells" if by else "the ratio itself; no gain was taken off"
        return _Line(
            what, Formula(f"={self._here('ratio')}{by}", run.advantage.value), run.advantage, "1", told
        )


def beside_rows(beside: Beside) -> Iterator[list[Placed]]:
    """Yield the rows of the block, from the first row of data down; an empty list is an empty row."""
    yield from _heads(beside, _RESULT)
    for line in beside.lines:
        yield _line(beside, line)
    yield []
    if beside.run.steady:
        yield from _stretches(beside)
    if beside.channels.rows is not None:
        yield from ([] for _ in range(_CHART_ROWS + 2))
    bold, words = beside.sheet.looks(bold=True), beside.sheet.looks(indent=1, align="left")
    yield [(beside.column, "How it was read, chosen and noted", bold)]
    for what, text in told_of(beside.run, beside.channels):
        yield [(beside.column, what, words), (beside.column + 1, text, words)]


def _stretches(beside: Beside) -> Iterator[list[Placed]]:
    yield [(beside.column, "Steady stretches", beside.sheet.looks(bold=True))]
    yield from _heads(beside, _STRETCH)
    looks = beside.sheet.looks
    pencil, force = looks(font_color=PAPER.pencil, bottom=4, num_format="0.000"), looks(num_format="0.0")
    for one in beside.run.steady:
        cells = [*beside.stretch_cells(one.start_s, one.end_s), one.chosen_by, one.why]
        yield [
            (beside.column + n, cell, pencil if n < 2 else force if n < 6 else looks(indent=1, align="left"))
            for n, cell in enumerate(cells)
        ]


def _heads(beside: Beside, columns: Sequence[Column]) -> Iterator[list[Placed]]:
    for line in head_lines(columns, beside.sheet.looks):
        yield [(beside.column + n, text, look) for n, (text, look) in enumerate(line)]


def _line(beside: Beside, line: _Line) -> list[Placed]:
    looks = beside.sheet.looks
    figures, words = looks(num_format=line.figures), looks(indent=1, align="left")
    record = line.record
    known: list[Cell] = [record, None, None, None] if not isinstance(record, Measured) else []
    if isinstance(record, Measured):
        known = [record.value, record.u, record.lo, record.hi]
    cells = [line.what, line.here, *known, line.unit, line.source]
    return [
        (beside.column + n, cell, words if isinstance(cell, str) else figures) for n, cell in enumerate(cells)
    ]
