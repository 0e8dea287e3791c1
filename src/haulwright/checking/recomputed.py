"""Results that were handed out, beside the same reckoned again: number by number."""

from __future__ import annotations

import csv
import io
import itertools
import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, ClassVar

from haulwright.records import Record

LAST_BITS = 1e-9
"""Relative: below it two numbers differ by how a processor or library rounds (house number)."""
MOST_NAMED = 20
_OF_SOFTWARE = ("haulwright", "version")


@dataclass(frozen=True)
class Difference:
    """One thing that is not the same: where, what was handed out, what is reckoned here."""

    where: str
    handed_out: str
    here: str


@dataclass(frozen=True)
class Counted:
    """Numbers compared: all of them, those equal to the last digit, those equal but for the last bits."""

    numbers: int = 0
    same: int = 0
    last_bits: int = 0
    differences: tuple[Difference, ...] = ()

    def __add__(self, other: Counted) -> Counted:
        """Return both counts together."""
        return Counted(
            self.numbers + other.numbers,
            self.same + other.same,
            self.last_bits + other.last_bits,
            self.differences + other.differences,
        )


@dataclass(frozen=True, kw_only=True)
class Recomputed(Record):
    """A campaign's open data reckoned again.

    Attributes
    ----------
    title : str
    files : int
        Files compared with their hash; each is what the descriptor says.
    software : mapping of str to str
        What the results were reckoned with; ``here`` is what they were reckoned with now.
    here : mapping of str to str
    numbers, same, last_bits : int
        Numbers compared; of these equal to the last digit, and equal but for less than one part in 10⁹.
    different : int
        Numbers and texts that differ; ``differences`` names the first of them.
    differences : tuple of Difference
    """

    kind: ClassVar[str] = "recomputed"
    title: str
    files: int
    software: Mapping[str, str]
    here: Mapping[str, str]
    numbers: int
    same: int
    last_bits: int
    different: int
    differences: tuple[Difference, ...]

    @property
    def ok(self) -> bool:
        """Whether nothing differs but in the last bits."""
        return not self.different


def compare_trees(handed_out: Any, here: Any, where: str = "") -> Counted:
    """Return how two records in plain JSON types compare, but for the versions of the software in them.

    Parameters
    ----------
    handed_out, here : JSON types
    where : str
        Name of the file, for what differs.

    Examples
    --------
    >>> compare_trees({"a": [1.0, 2.0]}, {"a": [1.0, 2.5]}, "x.json").differences
    (Difference(where='x.json: a[1]', handed_out='2.0', here='2.5'),)
    """
    counted = Counted()
    for path, one, other in _leaves(handed_out, here, ""):
        counted += _leaf(f"{where}: {path.lstrip('.')}", one, other)
    return counted


def compare_tables(handed_out: str, here: str, where: str) -> Counted:
    """Return how two tables in CSV compare, cell by cell.

    Examples
    --------
    >>> compare_tables("run,k\\na,1.25\\n", "run,k\\na,1.26\\n", "k.csv").differences[0].where
    'k.csv: row 1, k'
    """
    counted, rows = Counted(), (list(csv.reader(io.StringIO(text))) for text in (handed_out, here))
    ours, theirs = next(rows), next(rows)
    head = theirs[0] if theirs else []
    nothing: list[str] = []
    for n, (one, other) in enumerate(itertools.zip_longest(ours, theirs, fillvalue=nothing)):
        for at, (cell, again) in enumerate(itertools.zip_longest(one, other)):
            name = head[at] if at < len(head) else f"column {at + 1}"
            counted += _leaf(
                f"{where}: row {n}, {name}" if n else f"{where}: head", _number(cell), _number(again)
            )
    return counted


def _number(cell: str | None) -> Any:
    try:
        return cell if cell is None else float(cell)
    except ValueError:
        return cell


def _leaves(one: Any, other: Any, path: str) -> Iterator[tuple[str, Any, Any]]:
    if isinstance(one, dict) and isinstance(other, dict):
        for key in dict.fromkeys([*one, *other]):
            if key not in _OF_SOFTWARE:
                yield from _leaves(one.get(key), other.get(key), f"{path}.{key}")
    elif isinstance(one, list) and isinstance(other, list):
        for n, (a, b) in enumerate(itertools.zip_longest(one, other)):
            yield from _leaves(a, b, f"{path}[{n}]")
    else:
        yield path, one, other


def _leaf(where: str, one: Any, other: Any) -> Counted:
    numbers = _is_number(one) and _is_number(other)
    if one == other and isinstance(one, bool) == isinstance(other, bool):
        return Counted(int(numbers), int(numbers))
    if numbers and math.isclose(one, other, rel_tol=LAST_BITS, abs_tol=1e-300):
        return Counted(1, 0, 1)
    return Counted(int(numbers), 0, 0, (Difference(where, _shown(one), _shown(other)),))


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _shown(value: Any) -> str:
    text = "nothing" if value is None else str(value)
    return text if len(text) <= 120 else f"{text[:117]}…"
