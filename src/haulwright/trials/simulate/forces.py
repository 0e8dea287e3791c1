"""Both forces of a made-up run, tick by tick: the load moves as it likes, the rig solver says what the line must pull."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from haulwright.errors import TrialRefusal
from haulwright.mechanics.batch.compile import Program, compile_rig
from haulwright.mechanics.notation import looks_like_notation, parse_notation
from haulwright.mechanics.tackles import named_rig
from haulwright.trials.simulate.motion import Course, make_course, mobilisation
from haulwright.trials.simulate.noise import Floats, swing, vibration, wander
from haulwright.trials.simulate.plan import RunPlan

KGF = 9.80665  # newtons of a kilogram-force
_FACED = 4000  # draws the long-run advantage is averaged over, each with its mirror image


@dataclass(frozen=True)
class RunRig:
    """A rig compiled, and the long-run tension ratio of each of its contacts, in the program's order."""

    program: Program
    ratios: tuple[float, ...]

    def effort(self, log_k: Floats) -> Floats:
        """Return the line force for a load of 1, for ln k of each contact (contacts, samples).

        Notes
        -----
        The program knows ratios of 1 and more. Where friction helps the winch (ln k below 0) the logarithm of the
        effort is continued point-symmetrically about no friction, as p the positive part and n the negative one:
        2 ln E(p) − ln E(p + n).
        """
        size = log_k.shape[1]
        if not self.ratios:
            return np.full(size, 1.0 / self.program.ideal_advantage)
        hauling = np.log(self.program.efforts(np.exp(np.maximum(log_k, 0.0)))[0])
        back = np.flatnonzero((log_k < 0.0).any(axis=0))
        if back.size:
            far = np.log(self.program.efforts(np.exp(np.abs(log_k[:, back])))[0])
            hauling[back] = 2.0 * hauling[back] - far
        return np.asarray(np.exp(hauling))

    def long_run_advantage(self, wander_sd: float) -> float:
        """Return mean load over mean effort while moving, over all that friction does in the long run."""
        if not self.ratios:
            return self.program.ideal_advantage
        draws = np.random.default_rng(20).normal(size=(len(self.ratios), _FACED))
        faced = np.concatenate((draws, -draws), axis=1)
        return 1.0 / float(self.effort(wandering_log_k(self.ratios, faced, wander_sd)).mean())


@lru_cache(maxsize=64)
def run_rig(rig: str, ratios: tuple[float, ...]) -> RunRig:
    """Return a rig with its ratios: one for each block from the drum, or one for all.

    Raises
    ------
    TrialRefusal
        DEVICES, if there are neither one nor as many ratios as blocks, or one is below 1.
    """
    built = parse_notation(rig) if looks_like_notation(rig) else named_rig(rig)
    program = compile_rig(built)
    blocks = tuple(dict.fromkeys(built.contacts_from_drum))
    if blocks and (len(ratios) not in (1, len(blocks)) or min(ratios) < 1.0):
        text = f"{built.name} has {len(blocks)} blocks: give one ratio of 1 or more for all, or one for each, not {ratios}."
        raise TrialRefusal("DEVICES", text, (built.name,))
    of_block = dict(zip(blocks, ratios * len(blocks) if len(ratios) == 1 else ratios, strict=True))
    return RunRig(program, tuple(of_block[contact.at] for contact in program.contacts))


def wandering_log_k(ratios: tuple[float, ...], faces: Floats, wander_sd: float) -> Floats:
    """Return ln k of each contact for standard normal ``faces``: the friction above 1 wanders as a log-normal."""
    above = np.array(ratios)[:, None] - 1.0
    size = np.minimum(wander_sd * (1.0 + above) / np.maximum(above, 1e-9), 0.6)
    return np.asarray(np.log1p(above * np.exp(size * faces - 0.5 * size * size)))


@dataclass(frozen=True)
class Forces:
    """The truth of a run: its course, both forces [kgf] and the long-run advantage."""

    course: Course
    line_kgf: Floats
    anchor_kgf: Floats
    advantage: float
    rig: RunRig


def make_forces(plan: RunPlan, tick_s: float, draw: np.random.Generator) -> Forces:
    """Return the true forces of a run.

    Notes
    -----
    The load (anchor) has stick-slip and slow changes; each contact's friction wanders by itself (Ornstein-Uhlenbeck,
    1.2 to 3.5 s), falls a little with load, rests anywhere in its band in a hold and turns round on release. The line
    force is the rig solver's effort for that load and friction, so all noise of the load is common to both forces
    and all noise of friction is in their ratio.
    """
    course = make_course(plan, tick_s, draw)
    size, rig = course.load.size, run_rig(plan.rig, plan.ratios)
    load = plan.load_kgf * course.load * np.exp(_noise_of_motion(plan, course, draw))
    share = np.clip(course.load, 0.05, None)
    log_k = np.zeros((len(rig.ratios), size))
    for row, ratio in enumerate(rig.ratios):
        faces = wander(size, tick_s, draw.uniform(1.2, 3.5), draw)[None]
        hauling = wandering_log_k((ratio,), faces, plan.friction_wander)[0] * share ** -draw.uniform(
            0.0, 0.03
        )
        log_k[row] = hauling * mobilisation(course, draw)
    line = load * rig.effort(log_k)
    shaken = np.where(course.load > 0.03, course.moving + 0.15, 0.0)
    line *= 1.0 + plan.vibration * shaken * vibration(size, tick_s, draw)
    load = load * (1.0 + plan.vibration * draw.uniform(0.2, 0.7) * shaken * vibration(size, tick_s, draw))
    line *= 1.0 + 0.004 * course.moving * wander(size, tick_s, 0.12, draw)
    return Forces(course, line, load, rig.long_run_advantage(plan.friction_wander), rig)


def _noise_of_motion(plan: RunPlan, course: Course, draw: np.random.Generator) -> Floats:
    """Return what motion and ground add to the logarithm of the load: stick-slip, slower swells, slow drift."""
    size, tick = course.load.size, course.tick_s
    slip = swing(size, tick, draw.uniform(1.4, 3.4), draw.uniform(0.2, 0.6), draw)
    slip = slip - 0.15 * (slip * slip - 1.0)  # builds up slowly, lets go fast
    swell = wander(size, tick, draw.uniform(5.0, 14.0), draw)
    minutes = tick * np.arange(size) / 60.0
    drift = plan.drift_per_min * (draw.normal() * (minutes - minutes.mean()))
    return course.moving * plan.stick_slip * (0.85 * slip + 0.45 * swell) + np.where(
        course.load > 0.05, drift, 0.0
    )
