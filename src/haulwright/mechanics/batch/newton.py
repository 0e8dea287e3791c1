"""Newton's method for many samples of a rig with free blocks at once, and the path each sample moves on along."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from haulwright.mechanics.batch.equations import Floats, Friction, System, assemble, solve
from haulwright.mechanics.batch.laws import Array, Numbers
from haulwright.mechanics.ground.net import Net
from haulwright.mechanics.ground.newton import CLOSED, GOOD, SLACK
from haulwright.mechanics.ground.path import STILL
from haulwright.mechanics.sheave import Law

PASSES = 25
WELL = 1e-5  # a least pivot under this share of the greatest is left to the solver to judge
Order = Sequence[tuple[int, int]]
Signs = tuple[tuple[float, ...], ...]


@dataclass(frozen=True)
class Samples:
    """What differs from sample to sample: numbers of the laws by row, and the travel of the load in the net's lengths."""

    numbers: Floats
    travel: Floats | None

    @property
    def count(self) -> int:
        """How many samples there are."""
        return int(self.numbers.shape[1])

    def at(self, which: Array) -> Samples:
        """Return some of the samples."""
        return Samples(self.numbers[:, which], None if self.travel is None else self.travel[which])

    @property
    def moved(self) -> Array:
        """Travel of the load, 0.0 where it stands in all samples."""
        return 0.0 if self.travel is None else self.travel


@dataclass(frozen=True)
class Problem:
    """A net, the law of every block, the row of every number, and the order of elimination."""

    net: Net
    laws: dict[str, Law | None]
    rows: tuple[tuple[str, str], ...]
    order: Order

    def friction(self, samples: Samples, signs: Signs, share: float = 1.0) -> Friction:
        """Return the friction of samples, every ratio raised to ``share``."""
        numbers: dict[str, dict[str, Array]] = {}
        for (block, name), values in zip(self.rows, samples.numbers, strict=True):
            numbers.setdefault(block, {})[name] = values
        powers = tuple(tuple(share * x for x in line) for line in signs)
        given: dict[str, Numbers] = dict(numbers)
        return Friction(self.laws, given, powers)


@dataclass(frozen=True)
class Found:
    """States, which of them balance, which of those pull in every line, and the equations at them."""

    state: Floats
    balances: Array
    taut: Array


def newton(problem: Problem, start: Floats, samples: Samples, signs: Signs, share: float = 1.0) -> Found:
    """Return the balanced states found from a start (unknowns, samples), by steps limited as those of the solver.

    Parameters
    ----------
    problem : Problem
    start : array (unknowns, samples)
    samples : Samples
    signs : tuple
        Sign of friction at every contact, the same for all samples.
    share : float
        Every ratio is raised to this power.
    """
    net = problem.net
    state, worst = start.copy(), np.full(start.shape[1], np.inf)
    active = np.arange(start.shape[1])
    now, here = state, samples
    for _ in range(PASSES):
        system = assemble(net, now, here.moved, problem.friction(here, signs, share))
        size = _worst(system, now.shape[1])
        worst[active] = size
        open_ = ~(size < CLOSED) & np.isfinite(size)
        left = int(np.count_nonzero(open_))
        if not left:
            break
        for row in system.rows:
            row.pop(net.size, None)
        step, _ = solve(system.rows, [-x for x in system.residual], problem.order)
        limit = _step_limit(net, system, step)
        now = np.stack([np.where(open_, z + limit * dz, z) for z, dz in zip(now, step, strict=True)])
        state[:, active] = now
        if left <= now.shape[1] // 2:
            active, now, here = active[open_], now[:, open_], here.at(open_)
    balances = worst < GOOD
    return Found(state, balances, np.all(state[net.coordinates :] >= SLACK, axis=0))


def _worst(system: System, count: int) -> Floats:
    worst = np.zeros(count)
    for x in system.residual:
        worst = np.maximum(worst, np.abs(x))
    return worst


def _step_limit(net: Net, system: System, step: Sequence[Array]) -> Array:
    """Return the share of a step in which no block moves further than half the shortest part."""
    shortest: Array = np.inf
    for parts in system.parts:
        for part in parts:
            shortest = np.minimum(shortest, part.length)
    longest: Array = 0.0
    for body in range(len(net.free)):
        longest = np.maximum(longest, sum(step[c] * step[c] for c, _ in net.moves[body]))
    return np.minimum(1.0, 0.5 * shortest / np.maximum(np.sqrt(longest), 1e-300))


@dataclass(frozen=True)
class Along:
    """The path through balanced states: flow past every point by line, line taken in per travel, least pivot."""

    flows: list[list[Array]]
    taken_in: Array
    pivot: Array
    system: System

    def signs(self) -> list[list[Array]]:
        """Return per line and contact +1.0 where the line runs towards its fall, −1.0 away from it, 0.0 still."""
        least = STILL * np.abs(self.taken_in)
        return [[np.where(np.abs(q) <= least, 0.0, np.sign(q)) for q in flows[1:-1]] for flows in self.flows]


def along(problem: Problem, state: Floats, samples: Samples, signs: Signs, share: float = 1.0) -> Along:
    """Return how balanced states move on as the load advances: ``J dz = -dF/dx``, exactly."""
    net = problem.net
    system = assemble(net, state, samples.moved, problem.friction(samples, signs, share))
    sides = [-1.0 * row.pop(net.size, 0.0) for row in system.rows]
    rates, pivot = solve([dict(row) for row in system.rows], sides, problem.order)
    flows, taken_in = [], None
    for line, parts in zip(net.lines, system.parts, strict=True):
        q: list[Array] = [0.0]
        for part in parts:
            grows = 0.0
            for column, side, axis in part.columns:
                speed = 1.0 if column == net.size else rates[column]
                grows = grows + side * sum(x * part.u[k] for k, x in axis) * speed
            q.append(q[-1] - grows)
        flows.append(q)
        taken_in = q[-1] if line.drum else taken_in
    return Along(flows, taken_in, pivot, system)
