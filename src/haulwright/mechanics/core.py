"""One rig with plain numbers: checks, motion, ratios and tensions; no record yet."""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace

from haulwright.errors import RigRefusal
from haulwright.mechanics import friction, tension, winch_stated, winches
from haulwright.mechanics.checks import check
from haulwright.mechanics.geometry import courses, dot
from haulwright.mechanics.ground import GroundAnswer, solve_ground
from haulwright.mechanics.motion import find_motion
from haulwright.mechanics.rig import Rig
from haulwright.mechanics.shared import check_proportion, load_of_effort, sharing_of
from haulwright.mechanics.sheave import Law
from haulwright.mechanics.stepped import drum_pull, stepped_lines
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
    unit_N: float = 1.0

    @property
    def ideal_advantage(self) -> float | None:
        """Load ÷ effort without friction, where blocks find their place at that without friction; None for several winches."""
        if self.moving.rig.several:
            return None
        return self.ground.ideal_advantage if self.ground else 1.0 / self.moving.motion.load_speed

    @property
    def efficiency(self) -> float | None:
        """Advantage ÷ ideal; for several winches work on the load ÷ work of all winches, None where none is done on it."""
        moving, found, ideal = self.moving, self.found, self.ideal_advantage
        if ideal is not None:
            return self.resistance_N / tension.effort_of(moving.rig, found) / ideal
        done = tension.rate_of_work(moving, found, self.resistance_N)
        drums = moving.rig.drums.values()
        given = sum(found[line.name][-1] * moving.motion.flows[line.name][-1] for line in drums)
        return done / given if done > 0.0 else None

    @property
    def sharing_lines(self) -> tuple[str, ...]:
        """The lines whose stretch decides what each of them carries."""
        if self.ground:
            return self.ground.sharing
        return self.moving.sharing.lines if self.moving.sharing else ()

    def letting_back(self) -> Tensions | None:
        """Return the tensions when letting back under the same load, None where friction alone holds it."""
        if self.ground:
            found = self.ground.letting_back()
            return None if found is None else tension.times(found, self.unit_N)
        found = tension.balance(self.moving, self.ratios, self.resistance_N, back=True)
        scale = self.moving.greatest_force(self.resistance_N)
        if found is None or not tension.taut(found, scale):
            return None
        rig = self.moving.rig
        held = [line for line in stepped_lines(rig) if drum_pull(line, found[line.name]) <= 0.0]
        return None if held else found


def solve_core(
    rig: Rig,
    ratio: float | Mapping[str, float] | None,
    load_N: float | None,
    effort_N: float | None,
    seized: Collection[str],
    like: Core | None = None,
) -> Core:
    """Return the tensions of a rig for plain ratios; every refusal of a rig comes from here.

    ``like`` is the same rig solved with other friction: where its blocks hang without friction is not looked for anew.
    """
    check(rig)
    for name, force in (("load", load_N), ("effort", effort_N)):
        if force is not None and not (math.isfinite(force) and force > 0.0):
            raise RigRefusal("INPUT", f"{name} = {force:g} N: give a force above 0.", (name,))
    winch_stated.check_winches(rig)
    laws = friction.resolve_laws(rig, ratio, seized)
    load_given = any(force is not None for force in (load_N, effort_N, rig.resistance_N))
    held = rig.several and effort_N is not None
    pulls_N = dict.fromkeys(rig.drums, effort_N or 0.0) if held else rig.stated_pulls
    _check_forces(rig, laws, pulls_N, load_given, held)
    unit = resistance = float((effort_N if held else load_N or rig.resistance_N) or UNIT_LOAD_N)
    pulls = {rig.drums[drum].name: pull for drum, pull in pulls_N.items()}
    ground = None
    if rig.finds_places:
        shares = {name: pull / unit for name, pull in pulls.items()}
        ground = solve_ground(
            rig, laws, shares, held, unit if load_given else None, like.ground if like else None
        )
        if ground.sharing and effort_N is not None and not held:
            ground = _at_effort(rig, laws, effort_N)
        moving = Moving(ground.rig, ground.course_of, ground.motion, pulls, held, giving=ground.sharing)
        ratios, found = ground.ratios, tension.times(ground.tensions, unit)
    else:
        moving, ratios = _in_line(rig, laws, pulls, held, load_given)
        found = tension.tensions(moving, ratios, resistance)
    if held:
        resistance = dot(tension.pull_on_load(moving, found), rig.along)
    elif effort_N is not None and moving.sharing and not moving.sharing.fits:
        resistance = load_of_effort(
            effort_N, lambda load_N: tension.effort_of(rig, tension.tensions(moving, ratios, load_N))
        )
        found = tension.tensions(moving, ratios, resistance)
    elif effort_N is not None:
        scale = effort_N / tension.effort_of(rig, found)
        found, unit = tension.times(found, scale), unit * scale
        resistance *= scale
    met = rig.contacts_from_drum
    turned = {name: law for name, law in laws.items() if name in met}
    given = all(law is not None for law in turned.values())
    words = friction.words(turned)
    return Core(moving, ratios, words, given, load_given, found, resistance, ground, unit)


def at_effort(core: Core, effort_N: float) -> Core | None:
    """Return the same rig at another tension at its drum; None where forces do not all grow alike.

    They do not where a pull is stated beside it, where several winches haul, and where lines share by their stretch.
    """
    moving = core.moving
    if moving.rig.several or moving.pulls_N or moving.held or core.sharing_lines:
        return None
    scale = effort_N / tension.effort_of(moving.rig, core.found)
    found = tension.times(core.found, scale)
    return replace(core, found=found, resistance_N=core.resistance_N * scale, unit_N=core.unit_N * scale)


def _at_effort(rig: Rig, laws: Mapping[str, Law | None], effort_N: float) -> GroundAnswer:
    """Return the answer at the load at which the drum has a given tension, where shares depend on the load."""
    line = rig.hauling_line.name

    def effort_at(load_N: float) -> float:
        return load_N * solve_ground(rig, laws, unit_N=load_N).tensions[line][-1]

    return solve_ground(rig, laws, unit_N=load_of_effort(effort_N, effort_at))


def _in_line(
    rig: Rig, laws: Mapping[str, Law | None], pulls_N: Mapping[str, float], held: bool, load_given: bool
) -> tuple[Moving, friction.Ratios]:
    course_of = courses(rig)
    plain = not (rig.several or rig.free_load)
    motion = find_motion(rig, course_of, sharing_of) if plain else winches.find_motion(rig, course_of)
    sharing = sharing_of(rig, course_of) if plain else None
    if sharing:
        check_proportion(rig, sharing, load_given, friction.is_tenth_rule(laws))
    moving = Moving(rig, course_of, motion, pulls_N, held, sharing)
    if friction.is_tenth_rule(laws):
        return moving, tension.uniform_ratio(moving, tension.tenth_rule_ratio(moving))
    return moving, friction.contact_ratios(rig, course_of, laws)


def _check_forces(
    rig: Rig, laws: Mapping[str, Law | None], pulls_N: Mapping[str, float], load_given: bool, held: bool
) -> None:
    """Refuse what several winches do not allow: a stated pull without a resistance, and what is made for one winch."""
    if pulls_N and not load_given:
        drums = tuple(pulls_N)
        raise RigRefusal(
            "INPUT",
            f"The line_pull of {' and '.join(drums)} is stated, but no resistance of {rig.load.name}: give it (--load).",
            (rig.load.name, *drums),
        )
    if held and len(winch_stated.hauling(rig)) != len(rig.load_axes):
        raise RigRefusal(
            "UNSUPPORTED",
            f"All winches of {rig.name} at one pull: that does not tell which way each line runs, so no loads are given. "
            "State line_pull: of all but one, and the load's resistance, instead.",
            tuple(rig.drums),
        )
    if stepped_lines(rig) and friction.is_tenth_rule(laws):
        raise RigRefusal(
            "LAW",
            "The one-tenth rule speaks of tackles, not of a stepped drum. Give another law, such as by-wrap.",
            tuple(rig.drums),
        )
    if rig.several and friction.is_tenth_rule(laws):
        raise RigRefusal(
            "LAW",
            "The one-tenth rule speaks of one winch; this rig has several. Give another law, such as by-wrap.",
            tuple(rig.drums),
        )
