"""The tightest margin of a rig in every drawn condition: winch against its line pull, each rated piece against its limit.

As everywhere in a plan, friction never excuses smaller gear: a load is the greater of that without friction and that
with the friction drawn. The effort keeps its friction.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property

from haulwright.planning.expanded import At, Expanded
from haulwright.planning.quadratic import Quadratic, Row
from haulwright.planning.wound import Wound

WINCH = "winch"


@dataclass(frozen=True)
class Piece:
    """One rated piece of a rig.

    Attributes
    ----------
    name : str
    number : int
        Its place among the uses of the rig.
    limit_N : callable
        Its limit where the stuck vehicle is pulled so far from its axis [rad] -> [N], never greater for more.
    """

    name: str
    number: int
    limit_N: Callable[[float], float]


@dataclass(frozen=True)
class Drawn:
    """Drawn conditions.

    Attributes
    ----------
    deviations : tuple of list of float
        Of every input that moves the rig, from its centre.
    resistance_N, scatter, stall_factor : list of float
        Resistance, its share that is added from set-up to set-up, stall over rated pull.
    """

    deviations: tuple[Row, ...]
    resistance_N: Row
    scatter: Row
    stall_factor: Row

    @property
    def cases(self) -> int:
        """Return how many there are."""
        return len(self.resistance_N)

    @cached_property
    def reach(self) -> list[tuple[float, float]]:
        """Return the least and greatest deviation of every input."""
        return [(min(column), max(column)) for column in self.deviations]


@dataclass(frozen=True)
class Margins:
    """Demand ÷ limit in every case.

    Attributes
    ----------
    worst : list of float
        The greatest, of the winch and every rated piece, at the drawn resistance.
    tightest : list of str
        Whose it is.
    holds : list of bool
        Whether the line is long enough and every piece pulled, none pushed: a leg of a bridle may hang slack.
    at_stall : list of float
        The greatest of every rated piece at winch stall.
    """

    worst: Row
    tightest: list[str]
    holds: list[bool]
    at_stall: Row


def margins(expanded: Expanded, pieces: Sequence[Piece], wound: Wound, drawn: Drawn) -> Margins:
    """Return the margins of a rig in drawn conditions.

    Parameters
    ----------
    expanded : Expanded
    pieces : sequence of Piece
        All that are rated.
    wound : Wound
        The drum in the same conditions.
    drawn : Drawn
    """
    work = _Work(expanded, pieces, wound, drawn)
    names, cases = work.by_name()
    worst = [max(case) for case in cases]
    tightest = [names[case.index(most)] for case, most in zip(cases, worst, strict=True)]
    stalls = [work.stall_utilisation(piece) for piece in work.near_at_stall]
    at_stall = [max(case) for case in zip(*stalls, strict=True)] if stalls else [0.0] * drawn.cases
    holds = [a and b for a, b in zip(wound.reaches, work.taut, strict=True)]
    return Margins(worst, tightest, holds, at_stall)


def worst_of(expanded: Expanded, pieces: Sequence[Piece], wound: Wound, drawn: Drawn) -> Row:
    """Return the greatest demand ÷ limit in every case, of the winch and every rated piece at the drawn resistance."""
    return [max(case) for case in _Work(expanded, pieces, wound, drawn).by_name()[1]]


class _Work:
    """What is worked out once for all pieces of a rig."""

    def __init__(self, expanded: Expanded, pieces: Sequence[Piece], wound: Wound, drawn: Drawn) -> None:
        self.places = expanded.places
        self.pieces, self.wound, self.drawn = pieces, wound, drawn
        self.free = [self._exp(place.free) for place in self.places]
        self.held = [self._exp(place.held) for place in self.places]
        self.angles = self._angles()

    def by_name(self) -> tuple[list[str], list[tuple[float, ...]]]:
        """Return what may have the least margin, and demand ÷ limit of each of them, case by case."""
        rows = {WINCH: self.winch, **{piece.name: self.utilisation(piece) for piece in self.near}}
        return list(rows), list(zip(*rows.values(), strict=True))

    @cached_property
    def winch(self) -> Row:
        """Return effort ÷ line pull on the last layer."""
        shares = self.held[0] if len(self.held) == 1 else [max(case) for case in zip(*self.held, strict=True)]
        given = zip(shares, self.drawn.resistance_N, self.drawn.scatter, self.wound.last_N, strict=True)
        return [share * force * more / limit for share, force, more, limit in given]

    def utilisation(self, piece: Piece) -> Row:
        """Return load ÷ limit at the drawn resistance."""
        return self._over_limit(piece, self.drawn.resistance_N, self.free, self.held)

    def stall_utilisation(self, piece: Piece) -> Row:
        """Return load ÷ limit at winch stall."""
        given = zip(self.wound.first_N, self.drawn.stall_factor, strict=True)
        stall_N = [pull * factor for pull, factor in given]
        return self._over_limit(piece, stall_N, None, None)

    def _over_limit(self, piece: Piece, force_N: Row, free: list[Row] | None, held: list[Row] | None) -> Row:
        most = [-math.inf] * self.drawn.cases
        for n, place in enumerate(self.places):
            for shares, load in zip((free, held), place.loads[piece.number], strict=True):
                row = self._over(load)
                if shares is not None:
                    row = [a * b for a, b in zip(shares[n], row, strict=True)]
                most = [a if a > b else b for a, b in zip(most, row, strict=True)]
        limits = self._limits(piece)
        return [a * force / limit for a, force, limit in zip(most, force_N, limits, strict=True)]

    def _limits(self, piece: Piece) -> Row:
        if piece.limit_N(max(self.angles)) == piece.limit_N(0.0):
            return [piece.limit_N(0.0)] * self.drawn.cases
        return [piece.limit_N(angle) for angle in self.angles]

    @cached_property
    def near(self) -> list[Piece]:
        """Return the pieces that may have the least margin in some case."""
        limit = max(self.wound.last_N)
        floor = max(min(row) for row in self.held) * min(self.drawn.scatter) / limit
        spans = [self._span(piece, at_stall=False) for piece in self.pieces]
        floor = max([floor, *(low for low, _ in spans)])
        return [piece for piece, (_, high) in zip(self.pieces, spans, strict=True) if high >= floor]

    @cached_property
    def near_at_stall(self) -> list[Piece]:
        """Return the same at winch stall."""
        spans = [self._span(piece, at_stall=True) for piece in self.pieces]
        floor = max((low for low, _ in spans), default=0.0)
        return [piece for piece, (_, high) in zip(self.pieces, spans, strict=True) if high >= floor]

    def _span(self, piece: Piece, *, at_stall: bool) -> tuple[float, float]:
        """Return the least and greatest a piece's load ÷ limit can be, for a resistance or a stall pull of 1."""
        low = high = 0.0
        for n, place in enumerate(self.places):
            for shares, load in zip((self.free[n], self.held[n]), place.loads[piece.number], strict=True):
                least, most = load.bounds(self.drawn.reach)
                a, b = (1.0, 1.0) if at_stall else (min(shares), max(shares))
                low, high = max(low, a * least), max(high, b * most)
        return low / piece.limit_N(0.0), high / piece.limit_N(max(self.angles))

    @cached_property
    def taut(self) -> list[bool]:
        """Return whether no use is pushed."""
        found = [True] * self.drawn.cases
        for place in self.places:
            for load in (one for both in place.loads for one in both):
                if load.bounds(self.drawn.reach)[0] < 0.0:
                    found = [a and b >= 0.0 for a, b in zip(found, self._over(load), strict=True)]
        return found

    def _angles(self) -> Row:
        rows = [[abs(x) for x in self._over(side)] for place in self.places for side in place.sides]
        return [max(case) for case in zip(*rows, strict=True)]

    def _over(self, number: Quadratic) -> Row:
        return number.over(self.drawn.deviations, self.drawn.cases)

    def _exp(self, number: Quadratic) -> Row:
        return [math.exp(value) for value in self._over(number)]


def lines_out_of(places: Sequence[At], drawn: Drawn, planned_m: Sequence[float]) -> tuple[Row, Row]:
    """Return how much more line lies outside the drum than planned, where the most is out and where the least is [m]."""
    rows = [place.out.over(drawn.deviations, drawn.cases) for place in places]
    most = [max(case) - max(planned_m) for case in zip(*rows, strict=True)]
    least = [min(case) - min(planned_m) for case in zip(*rows, strict=True)]
    return most, least
