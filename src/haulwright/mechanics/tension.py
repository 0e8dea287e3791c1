"""Tension of every part of a moving rig, and why there may be none.

The flow q_i past contact i says which side hauls: ``g_0 = 1; g_i = g_(i-1) * k_i`` if q_i > 0, ``g_(i-1) / k_i`` if
q_i < 0; part tensions are ``t_i = T g_i`` with one unknown T per line, found from the balance of every freedom.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from haulwright.errors import RigRefusal
from haulwright.mechanics import linear
from haulwright.mechanics.friction import Ratios
from haulwright.mechanics.geometry import Course, add, dot
from haulwright.mechanics.motion import Motion, length_rates
from haulwright.mechanics.rig import Rig, Vec
from haulwright.mechanics.springs import Shares, Sharing
from haulwright.mechanics.stepped import drum_pull

Tensions = dict[str, tuple[float, ...]]
RULE_MET = 1e-6  # the effort of the one-tenth rule is met to this
TAUT = -1e-9  # a part may be this far below zero, relative to the resistance, before it would have to push


@dataclass(frozen=True)
class Moving:
    """A rig whose motion is known: what the tension functions need together.

    Attributes
    ----------
    rig, course_of, motion
    pulls_N : mapping line -> float
        Tension at the drum of every line whose winch has a stated pull [N].
    held : bool
        True where every winch has its pull and the load is held fast by whatever it takes.
    sharing : Sharing or None
        The lines as springs where there are more than balance alone can tell.
    giving : tuple of str
        Lines whose stretch changes as the load advances; what they store or give back is part of the work.
    """

    rig: Rig
    course_of: dict[str, Course]
    motion: Motion
    pulls_N: Mapping[str, float] = field(default_factory=dict)
    held: bool = False
    sharing: Sharing | None = None
    giving: tuple[str, ...] = ()

    def greatest_force(self, resistance_N: float) -> float:
        """Return the force against which a tension counts as none [N]."""
        return max(abs(resistance_N), *self.pulls_N.values(), 0.0)


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

    A line whose winch has a stated pull is known; it stands on the right-hand side. A load held fast is not balanced.
    A part that would have to push comes out negative: see :func:`tensions` for the refusals.
    """
    rig, bodies = moving.rig, moving.motion.freedoms
    grown, columns = _grown(moving, ratios, back)
    if moving.sharing:
        shares = share_out(moving, ratios, resistance_N, back)
        return None if shares is None else {n: tuple(shares.bases[n] * g for g in grown[n]) for n in grown}
    base = {name: pull / grown[name][-1] for name, pull in moving.pulls_N.items()}
    own = [resistance_N * dot(rig.along, axis) for axis in rig.load_axes]
    rhs = [*own, *[0.0] * (len(bodies) - len(own))]
    for name, t in base.items():
        rhs = [x - t * y for x, y in zip(rhs, columns[name], strict=True)]
    unknown = [name for name in rig.lines if name not in base]
    first = len(own) if moving.held else 0
    matrix = [[columns[name][c] for name in unknown] for c in range(first, len(bodies))]
    solved = linear.solve(matrix, rhs[first:])
    if solved is None:
        return None
    base |= dict(zip(unknown, solved, strict=True))
    return {n: tuple(base[n] * g for g in grown[n]) for n in rig.lines}


def share_out(moving: Moving, ratios: Ratios, resistance_N: float, back: bool = False) -> Shares | None:
    """Return what each line of a rig with sharing lines carries, None where they cannot balance the load."""
    if moving.sharing is None:
        return None
    grown, columns = _grown(moving, ratios, back)
    others = [0.0] * (len(moving.motion.freedoms) - 1)
    return moving.sharing.share_out(columns, [resistance_N, *others], grown)


def _grown(
    moving: Moving, ratios: Ratios, back: bool
) -> tuple[dict[str, list[float]], dict[str, list[float]]]:
    """Return by line the growth of its tension, and what a tension of 1 in its first part pulls each freedom with."""
    rig, bodies = moving.rig, moving.motion.freedoms
    grown = {n: growth(moving.motion.flows[n], ratios[n], back) for n in rig.lines}
    columns = {}
    for name, line in rig.lines.items():
        rates = length_rates(rig, moving.course_of[name], line, bodies)
        columns[name] = [
            -sum(g * row[c] for g, row in zip(grown[name], rates, strict=True)) for c in range(len(bodies))
        ]
    return grown, columns


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
    scale = moving.greatest_force(resistance_N)
    found = balance(moving, ratios, resistance_N)
    if found is not None and taut(found, scale):
        return found
    ideal = balance(moving, scaled(ratios, 0.0), resistance_N)
    if ideal is None or not taut(ideal, scale):
        slack = [n for n, parts in (ideal or {}).items() if min(parts) < TAUT * scale] or list(
            moving.rig.lines
        )
        remedy = "Lead it the other way" + (", or state another pull." if moving.pulls_N else ".")
        raise RigRefusal(
            "SLACK", f"{', '.join(slack)} would have to push: a line can only pull. {remedy}", slack
        )
    share = bisect(lambda x: taut(balance(moving, scaled(ratios, x), resistance_N), scale), 0.0, 1.0)
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
    """Return the tension at the drum of a rig with one winch [N]."""
    line = rig.hauling_line
    return drum_pull(line, found[line.name])


def efforts_of(rig: Rig, found: Tensions) -> dict[str, float]:
    """Return the tension at every drum [N]."""
    return {drum: drum_pull(line, found[line.name]) for drum, line in rig.drums.items()}


def pull_on_load(moving: Moving, found: Tensions) -> Vec:
    """Return the vector sum of all lines on the load [N]."""
    load, total = moving.rig.load.name, (0.0, 0.0, 0.0)
    for name, line in moving.rig.lines.items():
        for i, u in enumerate(moving.course_of[name].parts):
            sign = (line.points[i].body == load) - (line.points[i + 1].body == load)
            total = add(total, u, sign * found[name][i])
    return total


def rate_of_work(moving: Moving, found: Tensions, resistance_N: float) -> float:
    """Return the work done on the load per unit of drum travel [N]; a load held fast takes what its lines give."""
    velocity = moving.motion.load_velocity
    if moving.held:
        return dot(pull_on_load(moving, found), velocity)
    return resistance_N * dot(moving.rig.along, velocity)


def energy_residual(moving: Moving, found: Tensions, resistance_N: float) -> float:
    """Return work in − work out − heat, relative to the work at the drums; zero but for rounding."""
    flows = moving.motion.flows
    work = [drum_pull(line, found[line.name]) * flows[line.name][-1] for line in moving.rig.drums.values()]
    work += [found[name][-1] * flows[name][-1] for name in moving.giving]
    heat = sum(
        (parts[i] - parts[i - 1]) * flows[n][i] for n, parts in found.items() for i in range(1, len(parts))
    )
    done = rate_of_work(moving, found, resistance_N)
    return abs(sum(work) - done - heat) / max(sum(map(abs, work)), 1e-300)


def uniform_ratio(moving: Moving, k: float) -> Ratios:
    """Return the same ratio at every contact."""
    return {n: (k,) * len(line.contacts) for n, line in moving.rig.lines.items()}


def tenth_rule_ratio(moving: Moving) -> float:
    """Return the per-contact ratio that gives the effort of the one-tenth rule.

    Raises
    ------
    RigRefusal
        LAW where none does.

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

    k = bisect(too_little, 1.0, 2.0)
    found = balance(moving, uniform_ratio(moving, k), 1.0)
    check_rule(moving.rig, 0.0 if found is None else effort_of(moving.rig, found), wanted)
    return k


def check_rule(rig: Rig, effort: float, wanted: float) -> None:
    """Refuse the one-tenth rule where no ratio at every contact gives its effort.

    Raises
    ------
    RigRefusal
        LAW.
    """
    if abs(effort - wanted) > RULE_MET * wanted:
        raise RigRefusal(
            "LAW",
            f"No one ratio at every contact gives {rig.name} the effort of the one-tenth rule. Give another law, such as "
            "by-wrap.",
            (rig.name,),
        )
