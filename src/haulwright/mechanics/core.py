"""One rig with plain numbers: checks, motion, ratios and tensions; no record yet."""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping
from dataclasses import dataclass

from haulwright.errors import RigRefusal
from haulwright.mechanics import friction, tension
from haulwright.mechanics.geometry import courses
from haulwright.mechanics.motion import find_motion
from haulwright.mechanics.rig import Rig, check
from haulwright.mechanics.tension import Moving, Tensions

UNIT_LOAD_N = 1000.0  # the load where none is given


@dataclass(frozen=True)
class Core:
    """A rig with its motion, ratios, law in words and tensions at one resistance [N]."""

    moving: Moving
    ratios: friction.Ratios
    law: str
    law_given: bool
    load_given: bool
    found: Tensions
    resistance_N: float


def solve_core(
    rig: Rig,
    ratio: float | Mapping[str, float] | None,
    load_N: float | None,
    effort_N: float | None,
    seized: Collection[str],
) -> Core:
    """Return the tensions of a rig for plain ratios; every refusal of a rig comes from here."""
    check(rig)
    for name, force in (("load", load_N), ("effort", effort_N)):
        if force is not None and not (math.isfinite(force) and force > 0.0):
            raise RigRefusal("INPUT", f"{name} = {force:g} N: give a force above 0.", (name,))
    laws = friction.resolve_laws(rig, ratio, seized)
    course_of = courses(rig)
    moving = Moving(rig, course_of, find_motion(rig, course_of))
    if friction.is_tenth_rule(laws):
        ratios = tension.uniform_ratio(moving, tension.tenth_rule_ratio(moving))
    else:
        ratios = friction.contact_ratios(rig, course_of, laws)
    resistance = float(load_N or rig.resistance_N or UNIT_LOAD_N)
    found = tension.tensions(moving, ratios, resistance)
    if effort_N is not None:
        scale = effort_N / tension.effort_of(rig, found)
        found = {n: tuple(t * scale for t in parts) for n, parts in found.items()}
        resistance *= scale
    load_given = any(force is not None for force in (load_N, effort_N, rig.resistance_N))
    given = all(law is not None for law in laws.values())
    return Core(moving, ratios, friction.words(laws), given, load_given, found, resistance)
