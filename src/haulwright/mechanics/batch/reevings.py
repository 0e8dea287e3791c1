"""Every distinct reeving of a parallel-line tackle, with its motion; advantages of all of them at once.

What is listed: one anchor, one load, up to two moving blocks between them, as many lines as there are freedoms, the
winch at the anchor, on the load or behind it, up to six sheaves. Every sheave turns the line back (a line straight
through a block is no sheave there), every line but the winch line turns at least once, the motion is determinate and
every line is taut. Two reevings are one if they differ only in the end a line is read from, in the order the lines are
written, or in which of two moving blocks, not joined by a part, stands nearer to the anchor.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from haulwright.errors import RigRefusal
from haulwright.mechanics.batch.reeving import (
    Path,
    beyond,
    exchanged,
    falls,
    load_at,
    plain_lines,
    smaller_end_first,
)

MOST_SHEAVES = 6
MOST_MOVING = 2
_ZERO = 1e-9

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Flags = NDArray[np.bool_]


@dataclass(frozen=True, eq=False)
class _Lines:
    """Paths of one kind of line, with what the equations need of each.

    ``rates[i, p, c]`` is the length rate of part p of path i per unit speed of freedom c; parts beyond its end are 0.
    """

    paths: tuple[Path, ...]
    rates: NDArray[np.int8]
    sheaves: Ints
    turns: Ints  # sheaves of each path on each freedom, the load last
    exchanged: Ints  # path with the two moving blocks exchanged, -1 where that is none

    @property
    def totals(self) -> Floats:
        """Length rate of each whole line per unit speed of each freedom."""
        return np.asarray(self.rates.sum(axis=1), dtype=np.float64)


@dataclass(frozen=True, eq=False)
class Reevings:
    """Distinct reevings with one number of moving blocks, one row each.

    Attributes
    ----------
    moving : int
        Moving blocks; there is one line more.
    combinations, determinate : int
        Combinations of lines looked at, and those that are determinate and taut, before equal ones are struck out.
    rows : array of int (reevings, lines)
        Index of the winch line's path, then of the others.
    sheaves : array of int
    speeds : array (reevings, freedoms)
        Speed of each moving block and of the load, per unit speed of the drum.
    powers : array of int (reevings, lines, parts)
        Tension of a part is that of the line's standing part times the ratio to this power.
    still : array of bool
        True where the line does not run over some sheave.
    idle : array of bool
        True where a moving block carries no sheave: lines knotted together, not a block.
    """

    moving: int
    combinations: int
    determinate: int
    rows: Ints
    sheaves: Ints
    speeds: Floats
    powers: NDArray[np.int8]
    still: Flags
    idle: Flags
    _falls: _Lines
    _lines: _Lines

    def __len__(self) -> int:
        return len(self.rows)

    @property
    def ideal(self) -> Floats:
        """Ideal advantage of each: metres of line taken in per metre of load travel."""
        return np.asarray(1.0 / self.speeds[:, -1])

    @property
    def on_load(self) -> Flags:
        """True where the winch stands on the load."""
        load = load_at(self.moving)
        on = np.array([path[-1] == load for path in self._falls.paths])
        return np.asarray(on[self.rows[:, 0]])

    @property
    def behind(self) -> Flags:
        """True where the winch stands behind the load."""
        there = beyond(self.moving)
        on = np.array([path[-1] == there for path in self._falls.paths])
        return np.asarray(on[self.rows[:, 0]])

    def paths(self, row: int) -> tuple[Path, tuple[Path, ...]]:
        """Return the path of the winch line, drum last, and of the others."""
        first, *others = self.rows[row]
        return self._falls.paths[first], tuple(self._lines.paths[i] for i in others)

    def find(self, fall: Path, lines: tuple[Path, ...]) -> int | None:
        """Return the row of a reeving however it is written, None if it is not listed."""
        by_fall, by_line = self._falls.paths, self._lines.paths
        smaller = [smaller_end_first(path) for path in lines]
        if fall not in by_fall or any(path not in by_line for path in smaller):
            return None
        row = np.array([[by_fall.index(fall), *(by_line.index(path) for path in smaller)]])
        hits = np.flatnonzero((self.rows == _canonical(row, self._falls, self._lines)).all(axis=1))
        return int(hits[0]) if hits.size else None

    def advantages(self, ratio: float) -> Floats:
        """Return the advantage of each with one ratio at every sheave that moves; not a number where it jams.

        Parameters
        ----------
        ratio : float
            Tension ratio k of every contact, 1 or more.

        Raises
        ------
        RigRefusal
            RATIO.
        """
        if not 1.0 <= ratio < float("inf"):
            raise RigRefusal(
                "RATIO", f"k = {ratio:g}: a sheave cannot give back more than it gets. Give 1 or more."
            )
        grown = (ratio ** np.arange(-MOST_SHEAVES, MOST_SHEAVES + 1.0))[self.powers + MOST_SHEAVES]
        rates = _gather(self.rows, self._falls.rates, self._lines.rates)
        balance = -np.einsum("nrp,nrpc->ncr", grown, rates)
        pull = np.zeros((*balance.shape[:2], 1))
        pull[:, -1] = 1.0
        base = np.linalg.solve(balance, pull)[:, :, 0]
        last = self._falls.sheaves[self.rows[:, 0]]
        effort = base[:, 0] * grown[np.arange(len(self)), 0, last]
        taut = (base > -_ZERO).all(axis=1) & (effort > 0.0)
        return np.where(taut, 1.0 / np.where(taut, effort, 1.0), np.nan)


@lru_cache(maxsize=4 * (MOST_MOVING + 1))
def reevings(moving: int, most: int = MOST_SHEAVES) -> Reevings:
    """Return every distinct reeving with ``moving`` moving blocks and up to six sheaves.

    Parameters
    ----------
    moving : int
        0, 1 or 2; one line more than that.
    most : int
        Sheaves at most, up to six: fewer are found much sooner.

    Returns
    -------
    Reevings
        Kept in memory: the second call costs nothing.

    Raises
    ------
    RigRefusal
        INPUT for another number of moving blocks.

    Notes
    -----
    With J[r, c] the length rate of line r per speed of freedom c, the determinant of J must not vanish; then
    v = −J⁻¹ e₁ is the motion and −J⁻ᵀ e_load are the tensions without friction, which must all pull.

    Examples
    --------
    >>> len(reevings(0)), len(reevings(1))
    (20, 1362)
    """
    if moving not in range(MOST_MOVING + 1):
        raise RigRefusal("INPUT", f"{moving} moving blocks: give 0 to {MOST_MOVING}.", ("moving",))
    if most not in range(MOST_SHEAVES + 1):
        raise RigRefusal("INPUT", f"{most} sheaves: give 0 to {MOST_SHEAVES}.", ("sheaves",))
    winch = _lines(falls(moving, most), moving)
    plain = _lines(plain_lines(moving, most), moving)
    looked_at, kept = 0, []
    for rows in _combinations(winch, plain, moving, most):
        looked_at += len(rows)
        kept.append(rows[_taut(_gather(rows, winch.totals, plain.totals))])
    rows = np.concatenate(kept)
    distinct = rows[(rows == _canonical(rows, winch, plain)).all(axis=1)]
    sheaves = _sheaves(distinct, winch, plain)
    distinct = distinct[np.lexsort((*distinct.T[::-1], sheaves))]
    return _with_motion(moving, looked_at, len(rows), distinct, winch, plain)


def _lines(paths: list[Path], moving: int) -> _Lines:
    free = moving + 1
    rates = np.zeros((len(paths), MOST_SHEAVES + 1, free), dtype=np.int8)
    turns = np.zeros((len(paths), free), dtype=np.int64)
    for i, path in enumerate(paths):
        for p, (a, b) in enumerate(pairwise(path)):
            away = 1 if a > b else -1  # the load moves towards the anchor, station 0
            for station, sign in ((b, away), (a, -away)):
                if 1 <= station <= free:
                    rates[i, p, station - 1] += sign
        for station in path[1:-1]:
            if 1 <= station <= free:
                turns[i, station - 1] += 1
    index = {path: i for i, path in enumerate(paths)}
    other = [_other(path, index) for path in paths] if moving == 2 else list(range(len(paths)))
    sheaves = np.array([len(path) - 2 for path in paths])
    return _Lines(tuple(paths), rates, sheaves, turns, np.array(other, dtype=np.int64))


def _other(path: Path, index: dict[Path, int]) -> int:
    found = exchanged(path)
    if found is None:
        return -1
    return index[found] if found in index else index[smaller_end_first(found)]


def _combinations(winch: _Lines, plain: _Lines, moving: int, most: int) -> Iterator[Ints]:
    """Yield rows of indices, grouped by the sheaves of the winch line; the other lines in rising order."""
    n = len(plain.paths)
    others = (
        np.empty((1, 0), dtype=np.int64),
        np.arange(n)[:, None],
        np.stack(np.triu_indices(n), axis=1),
    )[moving]
    count = plain.sheaves[others].sum(axis=1)
    for sheaves in range(most + 1):
        first = np.flatnonzero(winch.sheaves == sheaves)
        rest = others[count <= most - sheaves]
        yield np.column_stack((np.repeat(first, len(rest)), np.tile(rest, (len(first), 1))))


def _gather(rows: Ints, of_winch: NDArray[np.generic], of_plain: NDArray[np.generic]) -> Floats:
    """Return what belongs to each line of each row, the winch line's first."""
    parts = [of_winch[rows[:, :1]], of_plain[rows[:, 1:]]]
    return np.concatenate(parts, axis=1).astype(np.float64)


def _taut(rates: Floats) -> Flags:
    """Return whether the motion is determinate and every line pulls without friction; rates are small whole numbers."""
    regular = np.abs(np.linalg.det(rates)) > 0.5
    taut = np.zeros(len(rates), dtype=bool)
    taut[regular] = (-np.linalg.inv(rates[regular])[:, -1, :] > _ZERO).all(axis=1)
    return taut


def _canonical(rows: Ints, winch: _Lines, plain: _Lines) -> Ints:
    """Return each row in its canonical form: other lines in rising order, the smaller over exchanging moving blocks."""
    rows = np.column_stack((rows[:, :1], np.sort(rows[:, 1:], axis=1)))
    other = np.column_stack((winch.exchanged[rows[:, :1]], np.sort(plain.exchanged[rows[:, 1:]], axis=1)))
    size = max(len(winch.paths), len(plain.paths))
    weights = size ** np.arange(rows.shape[1] - 1, -1, -1)
    smaller = (other >= 0).all(axis=1) & (other @ weights < rows @ weights)
    return np.where(smaller[:, None], other, rows)


def _sheaves(rows: Ints, winch: _Lines, plain: _Lines) -> Ints:
    return np.asarray(winch.sheaves[rows[:, 0]] + plain.sheaves[rows[:, 1:]].sum(axis=1))


def _with_motion(
    moving: int, looked_at: int, determinate: int, rows: Ints, winch: _Lines, plain: _Lines
) -> Reevings:
    """Return the reevings with speeds, and with the side each sheave hauls on."""
    speeds = np.asarray(-np.linalg.inv(_gather(rows, winch.totals, plain.totals))[:, :, 0], dtype=np.float64)
    rates = _gather(rows, winch.rates, plain.rates)
    flows = -np.cumsum(np.einsum("nrpc,nc->nrp", rates, speeds), axis=2)[:, :, :-1]
    count = _gather(rows, winch.sheaves, plain.sheaves)
    sheave = np.arange(MOST_SHEAVES) < count[:, :, None]
    moves = sheave & (np.abs(flows) > _ZERO)
    powers = np.zeros(rates.shape[:3], dtype=np.int8)
    powers[:, :, 1:] = np.cumsum(np.where(moves, np.sign(flows), 0.0), axis=2)
    turns = _gather(rows, winch.turns, plain.turns).sum(axis=1)
    return Reevings(
        moving=moving,
        combinations=looked_at,
        determinate=determinate,
        rows=rows,
        sheaves=_sheaves(rows, winch, plain),
        speeds=speeds,
        powers=powers,
        still=(sheave & ~moves).any(axis=(1, 2)),
        idle=(turns[:, :-1] == 0).any(axis=1),
        _falls=winch,
        _lines=plain,
    )
