"""The manual chain and the counting of parts, as a hand would do them: kept apart from the solver on purpose."""

from __future__ import annotations

import math
from collections.abc import Mapping
from itertools import pairwise

from haulwright.errors import PlanRefusal
from haulwright.mechanics.rig import FLOATING, Line, Rig
from haulwright.planning.sibling_result import ManualStep

PER_SHEAVE = 0.10
MOST = 24  # beyond it friction eats what a further part gives
CHAIN_SOURCES = (
    "U.S. Army lesson 63H34F01 (2004), supplement b, citing FM 9-43-2: one tenth of the load resistance per sheave",
    "U.S. Army TB 9-2350-292-10: fall line = total ÷ advantage, raised until inside the winch; dead line = fall line × parts held",
)
COUNT_SOURCE = "counting parts: U.S. Navy Builder 3&2, mechanical advantage of tackles"


def chain(resistance_N: float, advantage: float, sheaves: int, capacity_N: float) -> ManualStep:
    """Return one pass of the chain.

    Parameters
    ----------
    resistance_N : float
        Load resistance [N], above 0.
    advantage : float
        Mechanical advantage of the tackle, above 0.
    sheaves : int
    capacity_N : float
        Of the winch [N].

    Raises
    ------
    PlanRefusal
        ``INPUT`` for a number that is not accepted.

    Notes
    -----
    Tackle resistance = 0.10 × load resistance × sheaves; total = both; fall line = total ÷ advantage.

    References
    ----------
    U.S. Army lesson 63H34F01 (2004), supplement b; U.S. Navy Steelworker vol. 2, "Allowance for friction": 1000 lb with
    four sheaves and advantage 4 takes 350 lb.

    Examples
    --------
    >>> chain(1000.0, 4.0, 4, 400.0).fall_line_N
    350.0
    """
    for name, value in (("resistance_N", resistance_N), ("advantage", advantage), ("capacity_N", capacity_N)):
        if not (math.isfinite(value) and value > 0.0):
            raise PlanRefusal("INPUT", f"{name} = {value:g}: give a number above 0.", (name,))
    if sheaves < 0:
        raise PlanRefusal("INPUT", f"sheaves = {sheaves}: give 0 or more.", ("sheaves",))
    tackle = PER_SHEAVE * resistance_N * sheaves
    fall = (resistance_N + tackle) / advantage
    return ManualStep(
        advantage, sheaves, resistance_N, tackle, resistance_N + tackle, fall, fall <= capacity_N
    )


def raised(resistance_N: float, capacity_N: float) -> tuple[ManualStep, ...]:
    """Return the passes of the chain, the advantage raised by one until the fall line is inside the winch.

    Parameters
    ----------
    resistance_N, capacity_N : float
        Load resistance and what the winch pulls [N].

    Returns
    -------
    tuple of ManualStep
        The last is inside, unless no advantage up to 24 is.

    Notes
    -----
    It starts at resistance ÷ capacity rounded up; sheaves = advantage - 1, the line going straight to the winch.

    References
    ----------
    As :func:`chain`.

    Examples
    --------
    >>> [(one.advantage, round(one.fall_line_N)) for one in raised(15900.0, 8000.0)]
    [(2.0, 8745), (3.0, 6360)]
    """
    first = max(math.ceil(resistance_N / capacity_N - 1e-12), 1)
    found: list[ManualStep] = []
    for advantage in range(min(first, MOST), MOST + 1):
        found.append(chain(resistance_N, float(advantage), advantage - 1, capacity_N))
        if found[-1].inside:
            break
    return tuple(found)


def tensions_by_count(rig: Rig) -> dict[str, float] | None:
    """Return the tension of every line in units of the fall's, by counting parts; None where that leads to no answer.

    Parameters
    ----------
    rig : Rig

    Notes
    -----
    The hauling line counts 1 in every part. At a block between lines the parts that pull one way are worth those that pull
    the other way, which gives the next line. Every part counts whole, however it lies.
    """
    known = {rig.hauling_line.name: 1.0}
    floating = [body.name for body in rig.bodies.values() if body.role == FLOATING]
    while len(known) < len(rig.lines):
        before = len(known)
        for body in floating:
            parts = {name: _signed(rig, line, body) for name, line in rig.lines.items()}
            unknown = [name for name, count in parts.items() if count and name not in known]
            if len(unknown) == 1:
                pull = sum(count * known[name] for name, count in parts.items() if name in known)
                known[unknown[0]] = -pull / parts[unknown[0]]
        if len(known) == before:
            return None
    return known if all(tension > 0.0 for tension in known.values()) else None


def advantage_by_count(rig: Rig, known: Mapping[str, float]) -> float:
    """Return the advantage: units of tension of the parts that pull the load ahead, less those that pull it back."""
    return sum(_signed(rig, line, rig.load.name) * known[name] for name, line in rig.lines.items())


def held_by(rig: Rig, known: Mapping[str, float], body: str) -> float:
    """Return the units of tension of all parts that end or turn at a body, the fall to a drum on it among them."""
    return sum(
        known[name] * ((a.body == body) + (b.body == body))
        for name, line in rig.lines.items()
        for a, b in pairwise(line.points)
    )


def _signed(rig: Rig, line: Line, body: str) -> int:
    """Return how many parts of a line pull a body ahead, less those that pull it back."""
    found, d = 0, rig.direction
    for a, b in pairwise(line.points):
        for here, there in ((a.body, b.body), (b.body, a.body)):
            if here == body and there != body:
                ahead = sum((rig.bodies[there].at[i] - rig.bodies[here].at[i]) * d[i] for i in range(3))
                found += 1 if ahead >= 0.0 else -1
    return found
