"""Newton's method on the equations of a rig with free blocks: limited steps, halved while they make things worse."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from haulwright.mechanics import linear
from haulwright.mechanics.ground.equations import Equations, Friction, assemble
from haulwright.mechanics.ground.net import Net, steps
from haulwright.mechanics.rig import Vec

CLOSED = 1e-12  # residual, in shares of the resistance and of the length of the net
GOOD = 1e-10  # where rounding allows no better
PASSES = 60
SLACK = 1e-6  # a line with less than this share of the resistance hangs slack
LEAST_PIVOT = 1e-7  # below this share of the greatest pivot a block can slide


@dataclass(frozen=True)
class State:
    """A balanced place: where every body is, the tension of each line's first part, and the equations there.

    ``gives`` tells which lines stretch; whether those hang slack is judged when all friction is in.
    """

    where: tuple[Vec, ...]
    bases: tuple[float, ...]
    equations: Equations
    pivot: float
    gives: tuple[bool, ...]

    @property
    def slides(self) -> bool:
        """Whether something can move here without any line changing its length or pull."""
        return self.pivot < LEAST_PIVOT

    @property
    def taut(self) -> bool:
        """Whether every line pulls that does not stretch."""
        return all(t >= SLACK or gives for t, gives in zip(self.bases, self.gives, strict=True))


def balance(net: Net, where: Sequence[Vec], bases: Sequence[float], friction: Friction) -> State | None:
    """Return the balanced state found from a start, None if there is none to be found.

    Parameters
    ----------
    net : Net
    where : sequence of Vec
    bases : sequence of float
    friction : Friction

    Returns
    -------
    State or None
        Tensions may be negative: whether every line pulls is for the caller to judge.
    """
    places, tensions = list(where), list(bases)
    now = assemble(net, places, tensions, friction)
    worst, pivot = _worst(now), 0.0
    for _ in range(PASSES):
        solved, pivot, _ = linear.solve_many(now.jacobian, [[-x for x in now.residual]])
        if worst < CLOSED or not solved:
            break
        step = solved[0]
        share = min(1.0, _step_limit(net, places, step))
        for _ in range(12):
            there = net.moved(places, step, share)
            pulls = [t + share * step[net.coordinates + r] for r, t in enumerate(tensions)]
            then = assemble(net, there, pulls, friction)
            if _worst(then) < worst:
                break
            share /= 2.0
        else:
            break
        places, tensions, now, worst = there, pulls, then, _worst(then)
    if not worst < GOOD:
        return None
    return State(tuple(places), tuple(tensions), now, pivot, _gives(net))


def look(net: Net, where: Sequence[Vec], bases: Sequence[float], friction: Friction) -> State:
    """Return the equations at a place that need not balance, with how nearly singular they are."""
    now = assemble(net, where, bases, friction)
    return State(tuple(where), tuple(bases), now, linear.solve_many(now.jacobian, [])[1], _gives(net))


def _gives(net: Net) -> tuple[bool, ...]:
    return tuple(line.EA is not None for line in net.lines)


def _worst(equations: Equations) -> float:
    return max(abs(x) for x in equations.residual)


def _step_limit(net: Net, where: Sequence[Vec], step: Sequence[float]) -> float:
    """Return the share of a step in which no block moves further than half the shortest part."""
    shortest = min(length for line in net.lines for _, length in steps(line, where))
    longest = max(sum(step[c] * step[c] for c, _ in net.moves[body]) ** 0.5 for body in range(len(net.free)))
    return 0.5 * shortest / longest if longest > 0.0 else 1.0


def loose_bodies(net: Net, state: State) -> tuple[str, ...]:
    """Return the free blocks that can slide at a state whose equations are singular."""
    vector = linear.null_vector(state.equations.jacobian)
    amount = [max(abs(vector[c]) for c, _ in net.moves[body]) for body in range(len(net.free))]
    return tuple(name for name, x in zip(net.free, amount, strict=True) if x > 0.01 * max(amount)) or net.free
