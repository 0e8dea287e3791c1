"""Tension of every part of a moving rig, and why there may be none.

The flow q_i past contact i says which side hauls: ``g_0 = 1; g_i = g_(i-1) * k_i`` if q_i > 0, ``g_(i-1) / k_i`` if
q_i < 0; part tensions are ``t_i = T g_i`` with one unknown T per line, found from the balance of every freedom.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from haulwright.errors import RigRefusal
from haulwright.mechanics import linear
from haulwright.mechanics.friction import Ratios
from haulwright.mechanics.geometry import Course
from haulwright.mechanics.motion import Motion, length_rates
from haulwright.mechanics.rig import Rig

Tensions = dict[str, tuple[float, ...]]
TAUT = -1e-9  # a part may be this far below zero, relative to the resistance, before it would have to push


@dataclass(frozen=True)
class Moving:
    """A rig whose motion is known: what the tension functions need together."""

    rig: Rig
    course_of: dict[str, Course]
    motion: Motion


def growth(flows: tuple[float, ...], ratios: tuple[float, ...], back: bool = False) -> list[float]:
    """Return the tension of each part relative to the line's first part.

    Parameters
    ----------
    flows : tuple of float
        Flow past every point of the line, standing end first.
    ratios : tuple of float
        Tension ratio of every contact.
    back : bool
        True when letting back: every flow turns round.

    Examples
    --------
    >>> growth((0.0, 1.0, 1.0), (1.25,))
    [1.0, 1.25]
    """
    g = [1.0]
    for k, q in zip(ratios, flows[1:-1], strict=True):
        hauls_on = (q < 0.0) if back else (q > 0.0)
        g.append(g[-1] if q == 0.0 else g[-1] * k if hauls_on else g[-1] / k)
    return g


def balance(moving: Moving, ratios: Ratios, resistance_N: float, back: bool = False) -> Tensions | None:
    """Return the part tensions [N] that balance every freedom, None if the balance is singular.

    A part that would have to push comes out negative: see :func:`tensions` for the refusals.
    """
    rig, bodies = moving.rig, moving.motion.freedoms
    grown = {n: growth(moving.motion.flows[n], ratios[n], back) for n in rig.lines}
    columns = []
    for name, line in rig.lines.items():
        rates = length_rates(rig, moving.course_of[name], line, bodies)
        columns.append(
            [-sum(g * row[c] for g, row in zip(grown[name], rates, strict=True)) for c in range(len(bodies))]
        )
    matrix = [list(row) for row in zip(*columns, strict=True)]
    base = linear.solve(matrix, [resistance_N, *[0.0] * (len(bodies) - 1)])
    if base is None:
        return None
    return {n: tuple(t * g for g in grown[n]) for n, t in zip(rig.lines, base, strict=True)}


def taut(found: Tensions | None, resistance_N: float) -> bool:
    """Return whether a balance exists in which every part pulls."""
    return found is not None and all(t >= TAUT * resistance_N for parts in found.values() for t in parts)


def tensions(moving: Moving, ratios: Ratios, resistance_N: float) -> Tensions:
    """Return the part tensions while hauling [N].

    Raises
    ------
    RigRefusal
        SLACK if even without friction a part would have to push; JAMS if only friction makes it so.
    """
    found = balance(moving, ratios, resistance_N)
    if found is not None and taut(found, resistance_N):
        return found
    ideal = balance(moving, scaled(ratios, 0.0), resistance_N)
    if ideal is None or not taut(ideal, resistance_N):
        slack = [n for n, parts in (ideal or {}).items() if min(parts) < TAUT * resistance_N] or list(
            moving.rig.lines
        )
        raise RigRefusal(
            "SLACK",
            f"{', '.join(slack)} would have to push: a line can only pull. Lead it the other way.",
            slack,
        )
    share = bisect(lambda x: taut(balance(moving, scaled(ratios, x), resistance_N), resistance_N), 0.0, 1.0)
    limit = max((k for parts in scaled(ratios, share).values() for k in parts), default=1.0)
    raise RigRefusal(
        "JAMS",
        f"With these sheaves the rig jams (it hauls only below ratio {limit:.4f}). Use better blocks or another rig.",
        tuple(moving.rig.blocks),
    )


def scaled(ratios: Ratios, share: float) -> Ratios:
    """Return every ratio raised to ``share``: 0 is no friction, 1 all of it."""
    return {n: tuple(k**share for k in parts) for n, parts in ratios.items()}


def bisect(holds: Callable[[float], bool], lo: float, hi: float) -> float:
    """Return the border between ``lo`` (holds) and ``hi`` (does not), to 1e-12.

    Examples
    --------
    >>> round(bisect(lambda x: x < 0.25, 0.0, 1.0), 9)
    0.25
    """
    while hi - lo > 1e-12:
        middle = (lo + hi) / 2.0
        lo, hi = (middle, hi) if holds(middle) else (lo, middle)
    return lo


def times(found: Tensions, scale: float) -> Tensions:
    """Return every tension multiplied by ``scale``; in a rig of weightless lines all grow with the load."""
    return {name: tuple(t * scale for t in parts) for name, parts in found.items()}


def effort_of(rig: Rig, found: Tensions) -> float:
    """Return the tension at the drum [N]."""
    return found[rig.hauling_line.name][-1]


def energy_residual(moving: Moving, found: Tensions, resistance_N: float) -> float:
    """Return work in − work out − heat, relative to the work at the drum; zero but for rounding."""
    motion = moving.motion
    effort = effort_of(moving.rig, found)
    heat = sum(
        (parts[i] - parts[i - 1]) * motion.flows[n][i]
        for n, parts in found.items()
        for i in range(1, len(parts))
    )
    return abs(effort - resistance_N * motion.load_speed - heat) / effort


def uniform_ratio(moving: Moving, k: float) -> Ratios:
    """Return the same ratio at every contact."""
    return {n: (k,) * len(line.contacts) for n, line in moving.rig.lines.items()}


def tenth_rule_ratio(moving: Moving) -> float:
    """Return the per-contact ratio that gives the effort of the one-tenth rule.

    Notes
    -----
    effort = (1 + 0.1 n) R / ideal, n = contacts that move.

    References
    ----------
    U.S. Army lesson 63H34F01 (2004), supplement b; U.S. Navy Steelworker vol. 2, "Allowance for friction".
    """
    moves = sum(
        1 for n, line in moving.rig.lines.items() for i in line.contacts if moving.motion.flows[n][i] != 0.0
    )
    if not moves:
        return 1.0
    wanted = (1.0 + 0.1 * moves) * moving.motion.load_speed

    def too_little(k: float) -> bool:
        found = balance(moving, uniform_ratio(moving, k), 1.0)
        return taut(found, 1.0) and found is not None and effort_of(moving.rig, found) < wanted

    return bisect(too_little, 1.0, 2.0)
