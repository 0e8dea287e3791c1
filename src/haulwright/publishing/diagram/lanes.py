"""Which part lies where across the pull: a small exact search over half lanes.

Parallel parts are drawn apart. Parts that overlap along the pull lie at least one lane apart, a part that passes a
body stays clear of it and of what hangs on it, and parts of one contact lie as close as the rest allows. Only where no
such arrangement is found may a part pass over the strap of another body.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

from haulwright.errors import RigRefusal

_STEPS = (1.0, -1.0, 1.5, -1.5, 2.0, -2.0, 2.5, -2.5, 3.0, -3.0)
_TRIES = 400_000
CROSSED = 40.0  # a strap that passes under a part of another body, where nothing else is possible


@dataclass(frozen=True)
class Span:
    """One part for the search: its line, the bodies at its two ends, the stations between which it runs.

    ``free`` are the bodies on which an end is made fast or wound up (not turned round); ``drum`` the one with the
    drum.
    """

    line: str
    ends: tuple[str, str]
    low: float
    high: float
    free: tuple[str, ...] = ()
    drum: str = ""


@dataclass(frozen=True)
class Column:
    """One body for the search: its station, half its height in lanes, and whether it floats."""

    station: float
    half: float
    floating: bool


def assign_lanes(spans: Sequence[Span], columns: Mapping[str, Column]) -> list[float]:
    """Return the lane of each part, the least one 0.

    Raises
    ------
    RigRefusal
        ``TOO_COMPLEX`` if no arrangement without a crossing is found.
    """
    best = _search(tuple(spans), tuple(columns.items())) or _search(
        tuple(spans), tuple(columns.items()), False
    )
    if best is None:
        raise RigRefusal(
            "TOO_COMPLEX",
            f"These {len(spans)} parts cannot be drawn side by side without crossing a body or each other. "
            "The forces stand; read them in the table, or draw one line at a time.",
        )
    low = min(best)
    return [lane - low for lane in best]


@lru_cache(maxsize=64)
def _search(
    spans: tuple[Span, ...], columns: tuple[tuple[str, Column], ...], strict: bool = True
) -> tuple[float, ...] | None:
    """Search once for a rig: a crowded sheet is laid out several times."""
    search = _Search(spans, dict(columns), strict)
    search.go([])
    return None if search.best is None else tuple(search.best)


class _Search:
    """Branch and bound over the lanes of the parts in their order."""

    def __init__(self, spans: Sequence[Span], columns: Mapping[str, Column], strict: bool) -> None:
        self.spans, self.columns, self.strict = spans, columns, strict
        self.best: list[float] | None = None
        self.cost = float("inf")
        self.tries = 0
        self.bends = [b for b in (_bend(spans, k, columns) for k in range(len(spans) - 1)) if b is not None]
        self.room = [k / 2.0 for k in range(-2 * len(spans) - 2, 2 * len(spans) + 3)]

    def go(self, lanes: list[float]) -> None:
        """Place the next part every possible way."""
        i = len(lanes)
        if i == len(self.spans):
            self._weigh(lanes)
            return
        self.tries += 1
        if self.tries > _TRIES:
            return
        for lane in self._choices(i, lanes):
            if self._clear(i, lane, lanes) and self._bound([*lanes, lane]) < self.cost - 1e-9:
                self.go([*lanes, lane])

    def _choices(self, i: int, lanes: list[float]) -> list[float]:
        if i == 0:
            return [0.0]
        if self.spans[i].line == self.spans[i - 1].line:
            return [lanes[-1] + step for step in _STEPS]
        middle = sum(lanes) / len(lanes)
        return sorted(self.room, key=lambda lane: (abs(lane - middle), lane))

    def _clear(self, i: int, lane: float, lanes: list[float]) -> bool:
        a = self.spans[i]
        for j, other in enumerate(lanes):
            b = self.spans[j]
            if min(a.high, b.high) - max(a.low, b.low) > 1e-9 and abs(lane - other) < 1.0:
                return False
        return not self._in_a_bend([*lanes, lane])

    def _in_a_bend(self, lanes: Sequence[float]) -> bool:
        """Tell whether a part runs into the bend between two others, where their block is."""
        for k, low, high in self.bends:
            if k + 1 >= len(lanes):
                continue
            inner, outer = sorted((lanes[k], lanes[k + 1]))
            for j, lane in enumerate(lanes):
                span = self.spans[j]
                if (
                    j not in (k, k + 1)
                    and inner < lane < outer
                    and min(span.high, high) - max(span.low, low) > 1e-9
                ):
                    return True
        return False

    def _bound(self, lanes: list[float]) -> float:
        """Cost that can only grow: the height so far and the width of the bends."""
        height = max(lanes) - min(lanes)
        bends = sum(
            abs(lanes[k] - lanes[k - 1]) - 1.0
            for k in range(1, len(lanes))
            if self.spans[k].line == self.spans[k - 1].line
        )
        return 3.0 * height + 2.0 * bends

    def _weigh(self, lanes: list[float]) -> None:
        cost = self._bound(lanes)
        for name, column in self.columns.items():
            at = hub_lane(name, self.spans, lanes, floating=column.floating)
            held = _held(name, self.spans, lanes)
            spread = sum(abs(lane - at) for lane in _ends_on(name, self.spans, lanes))
            cost += (4.0 if column.floating else 0.3) * spread
            cost += self._passing(name, column, at, held, lanes)
            cost += 0.4 * sum(
                abs(lane - at) for s, lane in zip(self.spans, lanes, strict=True) if s.drum == name
            )
        if cost < self.cost:
            self.cost, self.best = cost, list(lanes)

    def _passing(
        self, name: str, column: Column, at: float, held: Sequence[float], lanes: Sequence[float]
    ) -> float:
        low, high = min([at - column.half, *held]), max([at + column.half, *held])
        crossed = 0.0
        for span, lane in zip(self.spans, lanes, strict=True):
            if span.low < column.station < span.high and name not in span.ends and low < lane < high:
                if self.strict or at - column.half < lane < at + column.half:
                    return float("inf")
                crossed += CROSSED
        others = [
            hub_lane(n, self.spans, lanes, floating=c.floating)
            for n, c in self.columns.items()
            if n != name and c.station == column.station
        ]
        return float("inf") if any(abs(at - other) < 2.0 * column.half for other in others) else crossed


def _bend(spans: Sequence[Span], k: int, columns: Mapping[str, Column]) -> tuple[int, float, float] | None:
    """Return the first part of a bend and the stretch along the pull in which its block lies."""
    a, b = spans[k], spans[k + 1]
    if a.line != b.line:
        return None
    station = columns[a.ends[1]].station
    nearest = min(a.high, b.high) if station == a.low else max(a.low, b.low)
    reach = station + 0.5 * (nearest - station)
    return k, min(station, reach), max(station, reach)


def _held(name: str, spans: Sequence[Span], lanes: Sequence[float]) -> list[float]:
    return [lane for span, lane in zip(spans, lanes, strict=True) if name in span.ends]


def _ends_on(name: str, spans: Sequence[Span], lanes: Sequence[float]) -> list[float]:
    return [lane for span, lane in zip(spans, lanes, strict=True) if name in span.free]


def hub_lane(name: str, spans: Sequence[Span], lanes: Sequence[float], *, floating: bool = False) -> float:
    """Return the lane of a body's middle.

    The drum's lane if it has one; for a floating block the middle of its bends; else the middle of all its parts.
    """
    for span, lane in zip(spans, lanes, strict=True):
        if span.drum == name:
            return lane
    turned = [
        lane for span, lane in zip(spans, lanes, strict=True) if name in span.ends and name not in span.free
    ]
    every = turned if floating and turned else _held(name, spans, lanes)
    return sum(every) / len(every)
