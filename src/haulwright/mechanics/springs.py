"""Lines that share a load: more lines than the rig has freedoms, so that stretch decides what each of them carries.

The load is held at its place while the drum takes in s of line and the floating blocks move by x. Line r, of parts with
lengths l_i and tensions t_i = T_r g_i, is pulled out by as much as its ends part, and it is slack until it is drawn
straight::

    T_r f_r = (J x + C s)_r - slack_r        f_r = sum over parts of  g_i l_i / EA
    B T = F                                  balance of every freedom, friction included

A line whose T would be negative hangs slack: T_r = 0 and (J x + C s)_r <= slack_r.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from haulwright.mechanics import linear

NONE = 1e-9  # a tension, as a share of the greatest force, or a stretch, as one of the greatest stretch, that counts as none
SOFT = 1e-9  # stiffness left to a slack line in the search, so that what hangs loose on it still has a place


@dataclass(frozen=True)
class Spring:
    """One line as a spring: EA [N], length of every part without tension [m] (None where not known), and slack [m].

    ``slack_m`` is how much longer the line is than its path as drawn; below 0 it is shorter.
    """

    EA_N: float | None
    lengths_m: tuple[float, ...] | None
    slack_m: float = 0.0

    @property
    def known(self) -> bool:
        """Whether its stretch can be told."""
        return self.EA_N is not None and self.lengths_m is not None

    def longer(self, by_m: float) -> Spring:
        """Return the same line longer by ``by_m`` [m]."""
        lengths = self.lengths_m or ()
        grows = 1.0 + by_m / (math.fsum(lengths) or 1.0)
        return replace(self, lengths_m=tuple(x * grows for x in lengths), slack_m=self.slack_m + by_m)

    def give(self, grown: Sequence[float]) -> float:
        """Return stretch per tension of the first part [m/N]; 0 where it is not known."""
        if self.EA_N is None or self.lengths_m is None:
            return 0.0
        return math.fsum(g * x for g, x in zip(grown, self.lengths_m, strict=True)) / self.EA_N


@dataclass(frozen=True)
class Shares:
    """What each line carries.

    Attributes
    ----------
    bases : mapping line -> float
        Tension of its first part [N].
    gaps_m : mapping line -> float
        The lines that hang slack, with how much further they could part before they are drawn straight [m].
    taken_in_m : float
        Line the drum takes in before the load moves [m].
    """

    bases: Mapping[str, float]
    gaps_m: Mapping[str, float]
    taken_in_m: float


@dataclass(frozen=True)
class Sharing:
    """A rig with more lines than freedoms, as springs.

    Attributes
    ----------
    lines : tuple of str
        The lines whose tensions balance alone does not tell.
    springs : mapping line -> Spring
        Of every line of the rig.
    rates : mapping line -> tuple of float
        How far the ends of a line part per metre each floating block moves, and per metre the drum takes in.
    """

    lines: tuple[str, ...]
    springs: Mapping[str, Spring]
    rates: Mapping[str, tuple[float, ...]]

    @property
    def fits(self) -> bool:
        """Whether no line is longer or shorter than drawn, so that the shares are the same at any load."""
        return all(self.springs[name].slack_m == 0.0 for name in self.lines)

    def longer(self, name: str, by_m: float) -> Sharing:
        """Return the same rig with one line longer by ``by_m`` [m]."""
        return replace(self, springs={**self.springs, name: self.springs[name].longer(by_m)})

    def share_out(
        self,
        columns: Mapping[str, Sequence[float]],
        rhs: Sequence[float],
        grown: Mapping[str, Sequence[float]],
    ) -> Shares | None:
        """Return what each line carries, None where the lines cannot balance the load.

        Parameters
        ----------
        columns : mapping line -> sequence of float
            What a tension of 1 in the first part of a line pulls each freedom with.
        rhs : sequence of float
            What each freedom is to be pulled with [N].
        grown : mapping line -> sequence of float
            Tension of every part over that of the first.

        Notes
        -----
        Lines are taken out that would have to push, and put back that would be stretched, all at once; if that comes
        round in a circle, the first of them only (Murty's least-index rule, finite without friction).

        References
        ----------
        K. G. Murty, Note on a Bard-type scheme for solving the complementarity problem, Opsearch 11 (1974) (from memory).
        """
        force = max(abs(x) for x in rhs)
        give = {name: self.springs[name].give(grown[name]) for name in columns}
        unit = force * max(give.values())  # the greatest stretch there can be; lengths are counted in it
        system = _System(
            list(columns),
            [[columns[name][c] for name in columns] for c in range(len(rhs))],
            [x / force for x in rhs],
            {name: x * force / unit for name, x in give.items()},
            {name: self.rates[name] for name in columns},
            {name: self.springs[name].slack_m / unit for name in columns},
        )
        hanging = _hanging(system, self.lines)
        if hanging is None:
            return None
        loose, moved = hanging
        exact = system.exact(loose)
        if exact is None:
            return None
        tensions, moved = exact[0], exact[1] or moved
        slack = [
            name for name in self.lines if name in loose or tensions[system.names.index(name)] < NONE
        ]  # in neither list by rounding
        return Shares(
            {name: force * t for name, t in zip(columns, tensions, strict=True)},
            {name: unit * max(system.slack[name] - system.parted(name, moved), 0.0) for name in slack},
            unit * moved[-1],
        )


@dataclass(frozen=True)
class _System:
    """The equations, forces as shares of the greatest and lengths as shares of the greatest stretch."""

    names: list[str]
    balances: list[list[float]]
    rhs: list[float]
    give: dict[str, float]
    rates: dict[str, tuple[float, ...]]
    slack: dict[str, float]

    def parted(self, name: str, moved: Sequence[float]) -> float:
        """Return how far the ends of a line part."""
        return sum(a * x for a, x in zip(self.rates[name], moved, strict=True))

    def _rows(self, loose: frozenset[str], left: float) -> tuple[list[list[float]], list[float]]:
        """Return all equations; a loose line keeps the share ``left`` of its stiffness."""
        none = [0.0] * len(next(iter(self.rates.values())))
        rows, rhs = [], []
        for i, name in enumerate(self.names):
            stiff = left if name in loose else 1.0
            own = self.give[name] or 1.0 if name in loose else self.give[name]
            row = [0.0] * len(self.names)
            row[i] = own
            rows.append([*row, *(-stiff * a for a in self.rates[name])])
            rhs.append(-stiff * self.slack[name])
        return [*rows, *([*row, *none] for row in self.balances)], [*rhs, *self.rhs]

    def soft(self, loose: frozenset[str]) -> tuple[list[float], list[float]] | None:
        """Return tensions and movements with all but nothing left of the loose lines; None where that is singular."""
        rows, rhs = self._rows(loose, SOFT)
        solved, _, _ = linear.solve_many(rows, [rhs])
        return (solved[0][: len(self.names)], solved[0][len(self.names) :]) if solved else None

    def exact(self, loose: frozenset[str]) -> tuple[list[float], list[float]] | None:
        """Return the tensions with the loose lines taken out, and the movements, none where something hangs loose."""
        rows, rhs, pivots = linear.eliminate(*self._rows(loose, 0.0))
        tensions, rest = range(len(self.names)), rhs[len(pivots) :]
        if pivots[: len(self.names)] != list(tensions) or any(abs(x) > NONE for x in rest):
            return None
        free = [c for c in range(len(rows[0])) if c not in pivots]
        if any(abs(rows[i][c]) > NONE for i in tensions for c in free):
            return None
        taut = [0.0 if name in loose else rhs[i] for i, name in enumerate(self.names)]
        return taut, [] if free else rhs[len(taut) : len(pivots)]


def _hanging(system: _System, lines: Sequence[str]) -> tuple[frozenset[str], list[float]] | None:
    """Return the lines that hang slack, and the movements; None where no choice of them balances."""
    loose, seen, one_by_one = frozenset[str](), set[frozenset[str]](), False
    for _ in range(2 ** len(lines) + len(lines)):
        solved = system.soft(loose)
        if solved is None:
            return None
        tension = dict(zip(system.names, solved[0], strict=True))
        wrong = [
            name
            for name in lines
            if (
                system.parted(name, solved[1]) - system.slack[name] > NONE
                if name in loose
                else tension[name] < -NONE
            )
        ]
        if not wrong:
            return loose, solved[1]
        one_by_one = one_by_one or loose in seen
        seen.add(loose)
        loose ^= frozenset(wrong[:1] if one_by_one else wrong)
    return None
