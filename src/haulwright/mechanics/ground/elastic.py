"""Lines that share on the ground: more straps, legs or lines than the blocks have freedoms, told apart by their stretch.

A line of EA whose length without tension is L is as long as its stretched parts::

    sum over parts of  l_i / (1 + t_i / EA)  =  L

A rigid line has 1 / EA = 0. A line that would have to push hangs slack: it is taken out and the rig solved without it.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Protocol, TypeVar

from haulwright.errors import RigRefusal
from haulwright.mechanics.geometry import Course, dot
from haulwright.mechanics.ground.net import Net, NetLine
from haulwright.mechanics.ground.relax import relax
from haulwright.mechanics.rig import Vec
from haulwright.mechanics.tension import Tensions

TIGHT = 1e-9  # of its length: a slack line no longer than this beyond is slack still


class Placed(Protocol):
    """An answer that says where every line runs and what it carries."""

    @property
    def course_of(self) -> dict[str, Course]:
        """Course of every line."""

    @property
    def tensions(self) -> Tensions:
        """Tension of every part."""


@dataclass(frozen=True)
class Settled:
    """No more than that."""

    course_of: dict[str, Course]
    tensions: Tensions


Answer = TypeVar("Answer", bound=Placed)


def add_length(
    net: Net,
    number: int,
    parts: Sequence[tuple[Vec, float]],
    grown: Sequence[tuple[float, Mapping[int, float]]],
    base: float,
    row: list[float],
) -> float:
    """Return by how much a line is longer than its length, and add the derivative of this to a row.

    Parameters
    ----------
    net : Net
    number : int
        Of the line.
    parts : sequence of (unit vector, length)
    grown : sequence of (growth, slope of its logarithm by column)
    base : float
        Tension of its first part, as a share of the resistance.
    row : list of float
        Derivative by every unknown and every way of the load.
    """
    line, at_rest = net.lines[number], 0.0
    give = 1.0 / line.EA if line.EA is not None else 0.0
    for i, ((u, length), (growth, slope)) in enumerate(zip(parts, grown, strict=True)):
        shrunk = 1.0 / (1.0 + base * growth * give)
        at_rest += length * shrunk
        for (body, _), sign in ((line.points[i], -1.0), (line.points[i + 1], 1.0)):
            for c, axis in net.moves[body]:
                row[c] += sign * dot(u, axis) * shrunk
        if give:
            per_tension = -length * shrunk * shrunk * give
            row[net.coordinates + number] += per_tension * growth
            for c, x in slope.items():
                row[c] += per_tension * base * growth * x
    return at_rest - (line.length or 0.0)


def with_stretch(net: Net, sharing: Collection[str], unit_N: float | None) -> Net:
    """Return a net whose sharing lines stretch; ``unit_N`` is the force that counts as 1 [N].

    Raises
    ------
    RigRefusal
        INPUT where no force is given.
    """
    if unit_N is None:
        load = net.rig.load.name
        raise RigRefusal(
            "INPUT",
            f"How {' and '.join(sharing)} share depends on the load: give the resistance of {load}.",
            (load,),
        )
    return replace(net, lines=tuple(_stretching(net, line, sharing, unit_N) for line in net.lines))


def _stretching(net: Net, line: NetLine, sharing: Collection[str], unit_N: float) -> NetLine:
    rope = net.rig.lines[line.name].rope
    if line.name not in sharing or rope is None or rope.EA_N is None:
        return line
    return replace(line, EA=rope.EA_N / unit_N)


def without(net: Net, names: Collection[str]) -> Net:
    """Return a net without some of its lines."""
    kept = tuple(line for line in net.lines if line.name not in names)
    fewer = len(net.lines) - len(kept)
    moves = tuple(
        tuple((c - fewer if c >= net.size else c, axis) for c, axis in columns) for columns in net.moves
    )
    return replace(net, lines=kept, moves=moves)


def first_slack(net: Net) -> frozenset[str]:
    """Return the lines that stretch and hang slack where the rig rests without friction; none where that is not known."""
    if not net.one_hauls:
        return frozenset()
    relaxed = relax(net, net.start)
    return frozenset(
        line.name
        for line, t in zip(net.lines, relaxed.tensions, strict=True)
        if line.EA is not None and t <= 0.0
    )


def settle(net: Net, solve: Callable[[Net], Answer], slack: frozenset[str]) -> tuple[Answer, frozenset[str]]:
    """Return the answer in which every line that stretches either pulls or hangs slack, and those that hang slack.

    Parameters
    ----------
    net : Net
    solve : callable
        Solves a net in which lines that stretch may push as well, or refuses it.
    slack : frozenset of str
        Lines to leave out first.

    Raises
    ------
    RigRefusal
        As ``solve`` does; SLACK where no choice of slack lines fits.
    """
    lengths_m = {line.name: (line.length or 0.0) * net.scale_m for line in net.lines if line.EA is not None}
    seen, one_by_one = set[frozenset[str]](), False
    for _ in range(2 ** len(lengths_m) + len(lengths_m)):
        found = solve(without(net, slack))
        wrong = [name for name, length in lengths_m.items() if _wrong(found, name, length, name in slack)]
        if not wrong:
            return found, slack
        one_by_one = one_by_one or slack in seen
        seen.add(slack)
        slack ^= frozenset(wrong[:1] if one_by_one else wrong)
    raise RigRefusal(
        "SLACK",
        f"No balance is found in which each of {', '.join(lengths_m)} pulls or hangs slack. Change the lengths.",
        tuple(lengths_m),
    )


def _wrong(found: Placed, name: str, length_m: float, slack: bool) -> bool:
    """Return whether a line that was taken for slack is drawn tight, or one taken for taut would push."""
    if not slack:
        return min(found.tensions[name]) < 0.0
    runs_m = math.fsum(x or 0.0 for x in found.course_of[name].lengths_m)
    return runs_m > length_m * (1.0 + TIGHT)
