"""The time course of a made-up run: load as a share of the working level, motion, and how far friction is mobilised.

Friction of a device at rest can take any value between hauling and letting back. Its *mobilisation* says which: the
tension ratio is k to the power of it, +1 hauling, −1 letting back, anything between in a hold.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from haulwright.trials.simulate.noise import Floats, wander
from haulwright.trials.simulate.plan import RunPlan

RESIDUAL = 0.005  # steady, by definition: settling adds less than this share of the load


@dataclass
class Course:
    """A run being made, one value a tick.

    Attributes
    ----------
    tick_s : float
    load : array
        Share of the working level.
    moving : array
        How much of the noise of motion is there, 0 … 1.
    held : array
        Where friction rests in a hold instead of being mobilised.
    release : array
        How far a release has turned friction round, 0 … 1.
    phases : list of (str, float, float)
        Name, start and end [s].
    """

    tick_s: float
    load: Floats = field(default_factory=lambda: np.empty(0))
    moving: Floats = field(default_factory=lambda: np.empty(0))
    held: NDArray[np.bool_] = field(default_factory=lambda: np.empty(0, dtype=np.bool_))
    release: Floats = field(default_factory=lambda: np.empty(0))
    phases: list[tuple[str, float, float]] = field(default_factory=list)

    @property
    def now_s(self) -> float:
        """Length made so far [s]."""
        return self.load.size * self.tick_s

    def ticks(self, seconds: float) -> Floats:
        """Return the instants of a phase to come, from its start [s]."""
        return self.tick_s * np.arange(1.0, max(1, round(seconds / self.tick_s)) + 1.0)

    def add(
        self,
        name: str,
        load: Floats,
        *,
        moving: Floats | float = 0.0,
        held: bool = False,
        release: Floats | float = 0.0,
    ) -> None:
        """Append a phase."""
        start, one = self.now_s, np.ones(load.size)
        self.load = np.concatenate((self.load, load))
        self.moving = np.concatenate((self.moving, moving * one))
        self.held = np.concatenate((self.held, np.full(load.size, held)))
        self.release = np.concatenate((self.release, release * one))
        self.phases.append((name, start, self.now_s))

    def spans(self, name: str) -> tuple[tuple[float, float], ...]:
        """Return start and end of every phase of a name [s]."""
        return tuple((a, b) for n, a, b in self.phases if n == name)


def make_course(plan: RunPlan, tick_s: float, draw: np.random.Generator) -> Course:
    """Return the time course of a run: zero, slack, light tension, ramp, settling, steady, stop, release, zero."""
    course = Course(tick_s)
    course.add("zero", 0.0 * course.ticks(draw.uniform(12.0, 32.0)))
    if plan.tugs in ("start", "both"):
        add_tug(course, draw)
        course.add("slack", 0.0 * course.ticks(draw.uniform(6.0, 14.0)))
    t = course.ticks(draw.uniform(9.0, 24.0))
    course.add("slack", 0.006 * np.abs(wander(t.size, tick_s, 2.0, draw)) * np.minimum(t / 3.0, 1.0))
    light = float(draw.uniform(0.08, 0.25))
    t = course.ticks(plan.light_s)
    taken_up = _smooth(t / draw.uniform(2.5, 5.0))
    relaxed = 1.0 - draw.uniform(0.02, 0.10) * (1.0 - np.exp(-t / draw.uniform(5.0, 20.0)))
    course.add("light tension", course.load[-1] + (light - course.load[-1]) * taken_up * relaxed, held=True)
    halves = 2 if plan.stop_s > 0.0 else 1
    for half in range(halves):
        first = half == 0
        jump = float(draw.uniform(-0.06, 0.12) if first else draw.uniform(0.02, 0.10))
        _ramp(course, draw.uniform(8.0, 25.0) if first else draw.uniform(1.2, 3.5), 1.0 + jump, draw)
        _settle(course, jump, draw.uniform(3.0, 9.0) if first else draw.uniform(1.5, 5.0), draw)
        t = course.ticks(plan.steady_s / halves)
        course.add(
            "steady", course.load[-1] + (1.0 - course.load[-1]) * np.minimum(t / 20.0, 1.0), moving=1.0
        )
        if half + 1 < halves:
            _stop(course, plan.stop_s, draw)
    _let_go(course, draw)
    if plan.tugs in ("end", "both"):
        course.add("slack", 0.0 * course.ticks(draw.uniform(5.0, 14.0)), release=1.0)
        add_tug(course, draw)
    course.add("zero", 0.0 * course.ticks(draw.uniform(8.0, 20.0)), release=1.0)
    return course


def _smooth(x: Floats) -> Floats:
    x = np.clip(x, 0.0, 1.0)
    return x * x * (3.0 - 2.0 * x)


def _ramp(course: Course, seconds: float, top: float, draw: np.random.Generator) -> None:
    t = course.ticks(seconds)
    bent = (t / t[-1]) ** draw.uniform(0.8, 1.6)
    wobble = 0.05 * wander(t.size, course.tick_s, 1.5, draw) * np.sin(np.pi * t / t[-1])
    start = float(course.load[-1])
    course.add("ramp", start + (top - start) * np.clip(bent + wobble, 0.0, None), moving=_smooth(t / 2.0))


def _settle(course: Course, jump: float, tau_s: float, draw: np.random.Generator) -> None:
    """Append settling: a stretched exponential, so that no plain exponential fits it exactly."""
    power = draw.uniform(0.85, 1.15)
    lasts = tau_s * max(0.0, float(np.log(max(abs(jump), RESIDUAL) / RESIDUAL))) ** (1.0 / power)
    t = course.ticks(max(lasts, 1.0))
    course.add("settling", 1.0 + jump * np.exp(-((t / tau_s) ** power)), moving=1.0)


def _stop(course: Course, seconds: float, draw: np.random.Generator) -> None:
    t = course.ticks(seconds)
    least = 1.0 - draw.uniform(0.03, 0.12) * (1.0 - np.exp(-t / draw.uniform(2.0, 10.0)))
    course.add("stop", course.load[-1] * least, moving=np.exp(-t / 0.4), held=True)


def _let_go(course: Course, draw: np.random.Generator) -> None:
    t = course.ticks(draw.uniform(1.8, 6.0))
    fall = course.load[-1] * (1.0 - _smooth(t / t[-1]))
    course.add("release", fall, moving=np.exp(-t / 1.0), release=_smooth(t / (0.4 * t[-1])))


def add_tug(course: Course, draw: np.random.Generator) -> None:
    """Append a snatch of light load by hand: no two alike, uneven, friction turning round as it lets go."""
    rise, top, fall = draw.uniform(0.3, 1.2), draw.uniform(0.3, 1.8), draw.uniform(0.3, 1.4)
    t = course.ticks(rise + top + fall)
    shape = _smooth(t / rise) * (1.0 - _smooth((t - rise - top) / fall))
    tilt = 1.0 + draw.uniform(-0.4, 0.4) * (t / t[-1] - 0.5)
    uneven: Floats = np.clip(tilt + 0.1 * wander(t.size, course.tick_s, 0.5, draw), 0.3, None)
    peak = float(draw.uniform(0.15, 0.45))
    turned = draw.uniform(0.3, 1.0) * _smooth((t - rise - draw.uniform(0.3, 1.0) * top) / (0.5 * fall))
    course.add("tug", peak * shape * uneven, moving=draw.uniform(0.2, 1.0), release=turned)


def mobilisation(course: Course, draw: np.random.Generator) -> Floats:
    """Return how far one device's friction is mobilised, −1 … 1: resting in a band when held, turned by a release."""
    size, tick = course.load.size, course.tick_s
    rest = np.empty(size)
    edges = np.flatnonzero(np.diff(np.concatenate(([0], course.held.astype(np.int8), [0]))))
    rest[:] = 1.0
    for first, stop in zip(edges[::2], edges[1::2], strict=True):
        t = tick * np.arange(1, stop - first + 1)
        goal = draw.uniform(-0.8, 0.9) + 0.05 * wander(stop - first, tick, 10.0, draw)
        rest[first:stop] = 1.0 + (goal - 1.0) * (1.0 - np.exp(-t / draw.uniform(0.3, 3.0)))
    # hauling again, friction is taken up along the first of the rope's way, not at once
    for stop in edges[1::2]:
        t = tick * np.arange(1, min(size - stop, round(6.0 / tick)) + 1)
        rest[stop : stop + t.size] = 1.0 + (rest[stop - 1] - 1.0) * np.exp(-t / 0.8)
    for begin, end in course.spans("tug"):
        first, stop = round(begin / tick), round(end / tick)
        since = tick * np.arange(1, stop - first + 1)
        gone = draw.uniform(-1.0, 1.0) - 1.0
        rest[first:stop] = 1.0 + gone * np.exp(-since / draw.uniform(0.1, 0.6))
    return np.clip(rest - 2.0 * course.release, -1.0, 1.0)
