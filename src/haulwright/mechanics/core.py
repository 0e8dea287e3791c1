"""One rig with plain numbers: checks, motion, ratios and tensions; no record yet."""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping
from dataclasses import dataclass

from haulwright.errors import RigRefusal
from haulwright.mechanics import friction, tension
from haulwright.mechanics.geometry import courses
from haulwright.mechanics.ground import GroundAnswer, solve_ground
from haulwright.mechanics.motion import find_motion
from haulwright.mechanics.rig import Rig, check
from haulwright.mechanics.sheave import Law
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
    ground: GroundAnswer | None = None

    @property
    def ideal_advantage(self) -> float:
        """Load ÷ effort without friction; where blocks find their place, at their place without friction."""
        return self.ground.ideal_advantage if self.ground else 1.0 / self.moving.motion.load_speed

    def letting_back(self) -> Tensions | None:
        """Return the tensions when letting back under the same load, None where friction alone holds it."""
        if self.ground:
            found = self.ground.letting_back()
            return None if found is None else tension.times(found, self.resistance_N)
        found = tension.balance(self.moving, self.ratios, self.resistance_N, back=True)
        return found if tension.taut(found, self.resistance_N) else None


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
    resistance = float(load_N or rig.resistance_N or UNIT_LOAD_N)
    ground = solve_ground(rig, laws) if rig.finds_places else None
    if ground:
        moving, ratios = Moving(ground.rig, ground.course_of, ground.motion), ground.ratios
        found = tension.times(ground.tensions, resistance)
    else:
        moving, ratios = _in_line(rig, laws)
        found = tension.tensions(moving, ratios, resistance)
    if effort_N is not None:
        scale = effort_N / tension.effort_of(rig, found)
        found = tension.times(found, scale)
        resistance *= scale
    load_given = any(force is not None for force in (load_N, effort_N, rig.resistance_N))
    met = rig.contacts_from_drum
    turned = {name: law for name, law in laws.items() if name in met}
    given = all(law is not None for law in turned.values())
    return Core(moving, ratios, friction.words(turned), given, load_given, found, resistance, ground)


def _in_line(rig: Rig, laws: Mapping[str, Law | None]) -> tuple[Moving, friction.Ratios]:
    course_of = courses(rig)
    moving = Moving(rig, course_of, find_motion(rig, course_of))
    if friction.is_tenth_rule(laws):
        return moving, tension.uniform_ratio(moving, tension.tenth_rule_ratio(moving))
    return moving, friction.contact_ratios(rig, course_of, laws)
