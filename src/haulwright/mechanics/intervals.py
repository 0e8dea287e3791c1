"""Carry the intervals of ratios and laws through the solver to advantage, efforts and loads."""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from functools import cache

from haulwright.mechanics import loads, tension
from haulwright.mechanics.core import Core, solve_core
from haulwright.mechanics.friction import seized_blocks
from haulwright.mechanics.rig import Rig
from haulwright.mechanics.stretch import stretch_figures
from haulwright.mechanics.uncertain import law_errors, shifted
from haulwright.quantities.measured import Measured
from haulwright.quantities.propagate import propagate

Plain = float | dict[str, float] | None


@dataclass(frozen=True)
class Spread:
    """What is measured in a rig, and every figure of the solved rig as a function of it.

    Attributes
    ----------
    inputs : tuple of Measured
        One for each independent error.
    numbers : tuple of (str, tuple of str)
        What each of them is: a number of a law (k, e, mu, f or c), and the blocks whose law has it.
    figures : callable
        Takes one float for each input, returns figures by their path in the record.
    """

    inputs: tuple[Measured, ...]
    numbers: tuple[tuple[str, tuple[str, ...]], ...]
    figures: Callable[..., dict[str, float]]


def spread_inputs(
    rig: Rig,
    values: Plain,
    measured: Mapping[str, Measured],
    devices: Mapping[str, str],
    load_N: float | None,
    effort_N: float | None,
    seized: Collection[str] = (),
    like: Core | None = None,
) -> Spread:
    """Return the independent errors of a rig and its figures as a function of them.

    Parameters
    ----------
    rig : Rig
        Numbers of its laws may be uncertain.
    values : float, mapping block -> float, or None
        Ratios in place of the rig's laws.
    measured : mapping block -> Measured
        Those of them that carry an interval.
    devices : mapping block -> device
        Beside those the rig itself names; blocks of one device share one error.
    load_N, effort_N : float or None
        Resistance or effort, not both [N].
    seized : collection of str, or mapping block -> mu
    like : Core or None
        The rig solved at the best estimates, to save work.
    """
    stuck = set(seized_blocks(rig, seized))
    measured = {b: k for b, k in measured.items() if b not in stuck}
    named = {n: block.device for n, block in rig.blocks.items() if block.device} | dict(devices)
    alone = isinstance(values, dict)
    group = {b: named.get(b) or (f"block {b}" if alone else "") for b in measured}
    ratios = {group[b]: k for b, k in measured.items()}
    replaced = set(rig.blocks if isinstance(values, float | int) else values or ())
    errors = law_errors(rig, replaced | stuck, named)
    base: Plain = dict(values) if isinstance(values, dict) else values
    if measured and not isinstance(base, dict):
        base = dict.fromkeys(rig.blocks, base or 1.0)

    def figures(*xs: float) -> dict[str, float]:
        of = dict(zip(ratios, xs, strict=False))
        moved = {b: max(of[group[b]], 1.0) for b in measured}
        tried: Plain = {**base, **moved} if isinstance(base, dict) else base
        moved_rig = shifted(rig, errors, xs[len(ratios) :])
        return figures_of(solve_core(moved_rig, tried, load_N, effort_N, seized, like))

    shared = tuple(("k", tuple(b for b in measured if group[b] == name)) for name in ratios)
    numbers = (*shared, *((error.number, error.blocks) for error in errors))
    return Spread((*ratios.values(), *(error.measured for error in errors)), numbers, figures)


def figures_of(core: Core) -> dict[str, float]:
    """Return every figure of a solved rig that friction moves, by its path in the record."""
    rig = core.moving.rig
    efforts = tension.efforts_of(rig, core.found)
    sums = loads.body_solutions(rig, loads.body_forces(rig, core.moving.course_of, core.found))
    contacts = loads.contacts(core.moving, core.ratios, core.found)
    found = {"resistance_N": core.resistance_N}
    if not rig.several:
        effort = tension.effort_of(rig, core.found)
        found |= {"advantage": core.resistance_N / effort, "winch_share": effort / core.resistance_N}
    if core.efficiency is not None:
        found["rig_efficiency"] = core.efficiency
    found |= {f"effort_N.{drum}": effort for drum, effort in efforts.items()}
    found |= {f"bodies.{n}.load_N": body.load_N for n, body in sums.items()}
    for n, block in loads.block_solutions(core.moving, core.found).items():
        found |= {f"blocks.{n}.pin_N": block.pin_N, f"blocks.{n}.with_becket_N": block.with_becket_N}
        found[f"blocks.{n}.heat_J_per_m"] = math.fsum(c.heat_J_per_m for c in contacts if c.at == n)
    for n, parts in core.found.items():
        found |= {f"lines.{n}.parts.{i}.tension_N": t for i, t in enumerate(parts)}
    found |= stretch_figures(core)
    for i, contact in enumerate(contacts):
        found |= {
            f"contacts.{i}.ratio": contact.ratio,
            f"contacts.{i}.load_N": contact.load_N,
            f"contacts.{i}.heat_J_per_m": contact.heat_J_per_m,
        }
    return found


def spread_of(
    rig: Rig,
    values: Plain,
    measured: Mapping[str, Measured],
    devices: Mapping[str, str],
    load_N: float | None,
    effort_N: float | None,
    seized: Collection[str] = (),
    like: Core | None = None,
) -> dict[str, Measured]:
    """Carry the intervals of ratios and laws to every figure (linear; same device, same error); parameters as above."""
    spread = spread_inputs(rig, values, measured, devices, load_N, effort_N, seized, like)
    if not spread.inputs:
        return {}
    figures = cache(spread.figures)
    centre = figures(*(x.value for x in spread.inputs))
    limits = limits_of(centre)

    def carried(path: str) -> Measured:
        return propagate(lambda *xs: figures(*xs)[path], list(spread.inputs))

    return {path: within(carried(path), *limits.get(path, (0.0, math.inf))) for path in centre}


def limits_of(centre: Mapping[str, float]) -> dict[str, tuple[float, float]]:
    """Return what no friction could exceed, by path."""
    if "advantage" not in centre:
        return {"rig_efficiency": (0.0, 1.0)}
    ideal = centre["advantage"] / centre["rig_efficiency"]
    return {"advantage": (0.0, ideal), "rig_efficiency": (0.0, 1.0), "winch_share": (1.0 / ideal, math.inf)}


def within(m: Measured, least: float, most: float) -> Measured:
    """Cut an interval at what no friction could exceed."""
    return Measured(m.value, m.u, min(max(m.lo, least), m.value), max(min(m.hi, most), m.value))
