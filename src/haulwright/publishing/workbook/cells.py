"""What is written into the cells of a workbook: whole numbers, texts that stay texts, formulas with their result."""

from __future__ import annotations

import datetime
import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from xlsxwriter.utility import xl_rowcol_to_cell

from haulwright.errors import FileRefusal
from haulwright.publishing.look import PAPER

if TYPE_CHECKING:
    from xlsxwriter.format import Format
    from xlsxwriter.workbook import Workbook
    from xlsxwriter.worksheet import Worksheet

MOST_ROWS = 1_048_576  # of a sheet; ECMA-376 leaves it to programs, all common ones stop there
MOST_TEXT = 32_767  # UTF-16 units of one cell
CREATED = datetime.datetime(1980, 1, 1, tzinfo=datetime.UTC).replace(tzinfo=None)  # no clock time in a file

_LINE_PT, _MOST_LINES, _BOLD = (
    15.0,
    25,
    1.15,
)  # of the face the writer takes; a row is at most 409 points tall
_A4 = 9  # the number of the paper in the file format

LIVE, VALUE, TEXT = "formula", "value", "as written"


@dataclass(frozen=True)
class Formula:
    """A formula and the number the record has for it, which stands in the cell until it is reckoned again."""

    text: str
    value: float


Cell = str | float | int | Formula | None


class Whole(float):
    """A number that is written with every figure it has.

    The writer formats numbers with sixteen figures; a double may need seventeen to be the same number again.
    """

    def __format__(self, spec: str) -> str:
        """Return the shortest text that reads back as the same number."""
        return repr(float(self))


@dataclass(frozen=True)
class Column:
    """A column: what stands in it, its unit, where it comes from, how wide it is, how many figures it shows.

    ``origin`` is ``formula``, ``value`` or ``as written``; ``figures`` a number format; the number in the cell is whole.
    """

    head: str
    unit: str = ""
    origin: str = VALUE
    width: float = 12.0
    figures: str = "General"


class Looks:
    """The few ways cells look: black on white, hairlines, blue for what the reader may change."""

    def __init__(self, book: Workbook) -> None:
        self._book = book
        self._made: dict[tuple[tuple[str, Any], ...], Format] = {}

    def __call__(self, **how: Any) -> Format:
        """Return a format, each made once."""
        key = tuple(sorted(how.items()))
        if key not in self._made:
            self._made[key] = self._book.add_format({"valign": "top", **how})
        return self._made[key]

    head: Mapping[str, Any] = MappingProxyType({"bold": True, "text_wrap": True, "top": 1})
    unit: Mapping[str, Any] = MappingProxyType({"font_color": PAPER.ink_2})
    kind: Mapping[str, Any] = MappingProxyType({"font_color": PAPER.ink_2, "italic": True, "bottom": 1})

    @property
    def title(self) -> Format:
        """Name of a sheet."""
        return self(bold=True, font_size=16)

    @property
    def words(self) -> Format:
        """Sentences."""
        return self(text_wrap=True)

    def of(self, column: Column) -> Format:
        """Return how the cells of a column look."""
        if column.origin == TEXT:
            return self(text_wrap=True, indent=1, align="left")
        return self(num_format=column.figures)


class Sheet:
    """One sheet, written from the top row down; what was written is never gone back to."""

    def __init__(self, book: Workbook, name: str, looks: Looks) -> None:
        self.book, self.looks, self.name = book, looks, name
        self.sheet: Worksheet = book.add_worksheet(name)
        self.sheet.set_landscape()
        self.sheet.set_paper(_A4)
        self.sheet.fit_to_pages(1, 0)
        self.sheet.set_footer("&L&A&RPage &P of &N")

    def put(self, row: int, column: int, cell: Cell, look: Format | None = None) -> None:
        """Write one cell; a text is never read as a formula, a link or a number.

        Raises
        ------
        FileRefusal
            TOO_LONG: a row beyond the last of a sheet.
        """
        if row >= MOST_ROWS:
            raise FileRefusal("TOO_LONG", f"{self.name}: more than {MOST_ROWS} rows.", (self.name,))
        if cell is None:
            return
        if isinstance(cell, Formula):
            self.sheet.write_formula(row, column, cell.text, look, Whole(cell.value))
        elif isinstance(cell, str):
            self.sheet.write_string(row, column, fitting(cell), look)
        elif math.isfinite(cell):
            self.sheet.write_number(row, column, Whole(cell), look)

    def at(self, row: int, column: int) -> str:
        """Return the address of a cell as formulas on any sheet name it."""
        return f"'{self.name}'!{xl_rowcol_to_cell(row, column, row_abs=True, col_abs=True)}"

    def range(self, first: int, last: int, column: int) -> str:
        """Return the address of a column of cells."""
        ends = (xl_rowcol_to_cell(row, column, row_abs=True, col_abs=True) for row in (first, last))
        return f"'{self.name}'!{':'.join(ends)}"

    def widths(self, columns: Sequence[Column], start: int = 0) -> None:
        """Set the widths of columns."""
        for at, column in enumerate(columns, start):
            self.sheet.set_column(at, at, column.width)

    def title(self, text: str, *sentences: str) -> None:
        """Write the name of a sheet and what is to be said of all of it."""
        self.sheet.set_row(0, 24)
        self.put(0, 0, text, self.looks.title)
        for row, sentence in enumerate(sentences, 1):
            self.put(row, 0, sentence, self.looks())

    def heads(self, row: int, columns: Sequence[Column], start: int = 0) -> int:
        """Write the three lines of a head; return the row below."""
        self.tall(row, [(one.head, one.width / _BOLD) for one in columns])
        for n, line in enumerate(head_lines(columns, self.looks)):
            for at, (text, look) in enumerate(line, start):
                self.put(row + n, at, text, look)
        return row + 3

    def tall(self, row: int, texts: Iterable[tuple[str, float]]) -> None:
        """Make a row tall enough for texts that break within their widths; rows do not grow by themselves."""
        lines = max((_lines(text, width) for text, width in texts), default=1)
        if lines > 1:
            self.sheet.set_row(row, _LINE_PT * min(lines, _MOST_LINES))

    def rows(
        self, row: int, columns: Sequence[Column], rows: Iterable[Sequence[Cell]], start: int = 0
    ) -> int:
        """Write rows of cells; return the row below."""
        looks = [self.looks.of(one) for one in columns]
        words = [(n, one.width) for n, one in enumerate(columns) if one.origin == TEXT]
        for cells in rows:
            self.tall(row, [(str(cells[n] or ""), width) for n, width in words])
            for at, (cell, look) in enumerate(zip(cells, looks, strict=True), start):
                self.put(row, at, cell, look)
            row += 1
        return row

    def table(
        self, row: int, columns: Sequence[Column], rows: Iterable[Sequence[Cell]], start: int = 0
    ) -> int:
        """Write a head and its rows; return the row below."""
        return self.rows(self.heads(row, columns, start), columns, rows, start)


def head_lines(columns: Sequence[Column], looks: Looks) -> list[list[tuple[str, Format]]]:
    """Return the three lines of a head, each cell with its look: name, unit, where it comes from."""
    sides = [{"indent": 1, "align": "left"} if one.origin == TEXT else {"align": "right"} for one in columns]
    return [
        [(one.head, looks(**looks.head, **side)) for one, side in zip(columns, sides, strict=True)],
        [(_unit_words(one), looks(**looks.unit, **side)) for one, side in zip(columns, sides, strict=True)],
        [(one.origin, looks(**looks.kind, **side)) for one, side in zip(columns, sides, strict=True)],
    ]


def _lines(text: str, width: float) -> int:
    return sum(math.ceil(max(len(line), 1) / max(width - 1.0, 1.0)) for line in text.split("\n"))


def _unit_words(column: Column) -> str:
    return column.unit if column.origin == TEXT else f"[{column.unit or '1'}]"


def fitting(text: str) -> str:
    """Return a text as one cell can hold it, and say in it where it was cut.

    Examples
    --------
    >>> fitting("short"), len(fitting("x" * 40_000))
    ('short', 32071)
    """
    if len(text.encode("utf-16-le")) // 2 <= MOST_TEXT:
        return text
    kept = text[:16_000] if any(ord(sign) > 0xFFFF for sign in text) else text[:32_000]
    return f"{kept} … (cut here: {len(text)} signs; the whole stands in the campaign's own file)"


def sheet_name(number: int, text: str, taken: Mapping[str, object]) -> str:
    """Return the name of a run's sheet: its number and what of its own name every program takes.

    Examples
    --------
    >>> sheet_name(3, "two-part: ring/a [2]", {}), sheet_name(4, "='x'!A1", {})
    ('03 two-part ring a 2', '04 x A1')
    """
    kept = "".join(sign if sign.isalnum() or sign in "-_." else " " for sign in text)
    name = f"{number:02d} {' '.join(kept.split())}"[:28].rstrip()
    return name if name.casefold() not in taken else f"{number:02d}"
