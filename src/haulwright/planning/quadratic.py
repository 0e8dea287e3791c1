"""A vector of numbers to second order in small errors of many inputs."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import reduce

Row = list[float]
Span = tuple[float, float]


@dataclass(frozen=True)
class Quadratic:
    """One number: its value at the centre, slope and bend by input, twist by pairs of them.

    Attributes
    ----------
    centre : float
    terms : tuple of (int, float, float)
        Number of the input, slope, bend: x (slope + bend x) for its deviation x from the centre.
    twists : tuple of (int, int, float)
        Numbers of two inputs, twist: x y twist for their deviations.
    """

    centre: float
    terms: tuple[tuple[int, float, float], ...]
    twists: tuple[tuple[int, int, float], ...] = ()

    def over(self, columns: Sequence[Sequence[float]], cases: int) -> Row:
        """Return the number for every case.

        Parameters
        ----------
        columns : sequence of sequence of float
            Deviations, one column for each input.
        cases : int
            Length of every column.
        """

        def add(found: Row, term: tuple[int, float, float]) -> Row:
            column, slope, bend = columns[term[0]], term[1], term[2]
            return [value + x * (slope + bend * x) for value, x in zip(found, column, strict=True)]

        def twist(found: Row, term: tuple[int, int, float]) -> Row:
            one, other, by = columns[term[0]], columns[term[1]], term[2]
            return [value + by * x * y for value, x, y in zip(found, one, other, strict=True)]

        return reduce(twist, self.twists, reduce(add, self.terms, [self.centre] * cases))

    def bounds(self, reach: Sequence[Span]) -> Span:
        """Return numbers it is never below and never above where every deviation stays within its reach."""
        low = high = self.centre
        for n, slope, bend in self.terms:
            tried = [x * (slope + bend * x) for x in (*reach[n], _vertex(slope, bend, reach[n]))]
            low, high = low + min(tried), high + max(tried)
        for n, m, by in self.twists:
            tried = [by * x * y for x in reach[n] for y in reach[m]]
            low, high = low + min(tried), high + max(tried)
        return low, high


def _vertex(slope: float, bend: float, reach: Span) -> float:
    at = -slope / (2.0 * bend) if bend else 0.0
    return at if reach[0] < at < reach[1] else 0.0


@dataclass
class _Found:
    """The terms of one number as they are found."""

    centre: float
    terms: dict[int, tuple[float, float]] = field(default_factory=dict)
    twists: list[tuple[int, int, float]] = field(default_factory=list)

    def done(self) -> Quadratic:
        """Return it without what is nothing."""
        terms = ((n, slope, bend) for n, (slope, bend) in self.terms.items() if slope or bend)
        return Quadratic(self.centre, tuple(terms), tuple(one for one in self.twists if one[2]))


def fitted(
    solve: Callable[[Sequence[float]], Sequence[float]],
    steps: Sequence[Span],
    pairs: Sequence[tuple[int, int]] = (),
) -> list[Quadratic]:
    """Return every number of a vector to second order.

    Parameters
    ----------
    solve : callable
        The vector at given deviations, one of each input.
    steps : sequence of (float, float)
        How far back and how far on each input is moved, both >= 0; one that cannot go back is told from two steps on.
    pairs : sequence of (int, int)
        Inputs whose product counts too.

    Notes
    -----
    A parabola through the centre and two steps of each input; for a pair what both together add beyond that.

    Examples
    --------
    >>> one = fitted(lambda x: [(3.0 + x[0] + 2.0 * x[1]) ** 2], [(0.5, 0.5), (0.5, 0.5)], [(0, 1)])[0]
    >>> one.over([[0.0, 1.0, -2.0], [0.0, 1.0, 3.0]], 3)
    [9.0, 36.0, 49.0]
    """
    inputs = len(steps)
    numbers = [_Found(here) for here in solve([0.0] * inputs)]
    for n, (back, on) in enumerate(steps):
        a, b = (-back, on) if back > 0.0 else (on / 2.0, on)
        ends = (solve(_only(inputs, {n: x})) for x in (a, b))
        for found, first, second in zip(numbers, *ends, strict=True):
            bend = ((second - found.centre) / b - (first - found.centre) / a) / (b - a)
            found.terms[n] = ((first - found.centre) / a - bend * a, bend)
    for n, m in pairs:
        x, y = steps[n][1], steps[m][1]
        for found, there in zip(numbers, solve(_only(inputs, {n: x, m: y})), strict=True):
            alone = sum(at * (found.terms[i][0] + found.terms[i][1] * at) for i, at in ((n, x), (m, y)))
            found.twists.append((n, m, (there - found.centre - alone) / (x * y)))
    return [found.done() for found in numbers]


def _only(inputs: int, moved: dict[int, float]) -> list[float]:
    return [moved.get(n, 0.0) for n in range(inputs)]
