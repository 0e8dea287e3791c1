"""A table of a page, and the few ways in which cells of many tables are written."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

from haulwright.quantities.numerals import UNKNOWN

T = TypeVar("T")
SHORT = 18  # figures up to this many letters are not broken over lines
LONG = 12  # tables of more rows may break over pages


@dataclass(frozen=True)
class Table:
    """A table of a page: caption, heads, rows; the first ``words`` columns hold words, the others figures.

    ``slim`` has many columns, and a first one of short names; ``same`` is what is the same in every row, said once.
    """

    caption: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    words: int = 1
    slim: bool = False
    same: str = ""

    @property
    def classes(self) -> str:
        """What the style sheet has to know of the whole table."""
        return " ".join(["slim"] * self.slim + ["long"] * (len(self.rows) > LONG))

    def style(self, column: int, cell: str) -> str:
        """What the style sheet has to know of a cell: a figure, one to be kept in one line, nothing known."""
        figure = column >= self.words
        return " ".join(
            ["n"] * figure + ["short"] * (figure and len(cell) <= SHORT) + ["unknown"] * (cell == UNKNOWN)
        )

    def without_empty(self) -> Table:
        """Return the table without the columns in which no row says anything.

        Examples
        --------
        >>> Table("", ("Run", "Air", "Layer"), (("a", "", "1"), ("b", "", ""))).without_empty().rows
        (('a', '1'), ('b', '–'))
        """
        return self._only([i for i in range(len(self.head)) if i == 0 or any(row[i] for row in self.rows)])

    def with_same_said_once(self, *heads: str) -> Table:
        """Return the table with those columns that hold one text in every row taken out and said in ``same``.

        Examples
        --------
        >>> table = Table("", ("Run", "Air", "Layer"), (("a", "12 °C", "1"), ("b", "12 °C", "2")))
        >>> table.with_same_said_once("Air", "Layer").same
        'air 12 °C'
        """
        if len(self.rows) < 2:
            return self
        once = [
            i for i, head in enumerate(self.head) if head in heads and len({row[i] for row in self.rows}) == 1
        ]
        said = "; ".join(f"{self.head[i].lower()} {self.rows[0][i]}" for i in once)
        return replace(self._only([i for i in range(len(self.head)) if i not in once]), same=said)

    def _only(self, kept: Sequence[int]) -> Table:
        return replace(
            self,
            head=tuple(self.head[i] for i in kept),
            rows=tuple(tuple(row[i] or UNKNOWN for i in kept) for row in self.rows),
            words=sum(i < self.words for i in kept),
        )


def or_dash(value: T | None, written: Callable[[T], str]) -> str:
    """Return a value as written, or the dash of what is not known."""
    return UNKNOWN if value is None else written(value)


def or_empty(value: T | None, written: Callable[[T], str]) -> str:
    """Return a value as written, or nothing."""
    return "" if value is None else written(value)


def several(names: Iterable[str]) -> str:
    """Return names in words.

    Examples
    --------
    >>> several(["a"]), several(["a", "b", "c"])
    ('a', 'a, b and c')
    """
    found: Sequence[str] = list(names)
    return f"{', '.join(found[:-1])} and {found[-1]}" if len(found) > 1 else "".join(found)
