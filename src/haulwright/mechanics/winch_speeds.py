"""Speeds at which several winches go together, and what is said where those stated do not fit."""

from __future__ import annotations

import math
from collections.abc import Mapping

from haulwright.errors import RigRefusal
from haulwright.mechanics.geometry import add, dot, times
from haulwright.mechanics.motion import STILL, Motion
from haulwright.mechanics.rig import ZERO, Rig
from haulwright.mechanics.winch_stated import hauling, number, stated_speeds
from haulwright.notices import Code, Notice

OFF_RAD = math.radians(5.0)  # house number: a load that moves this far off its direction is told
OFF_SPEED = 0.01  # house number: winches within 1 % of the speeds they need do not fight


def too_many_winches(rig: Rig, extra: int, ratios: Mapping[str, float]) -> RigRefusal:
    """Return the refusal of more winches than the load has freedoms, with the speeds they would need."""
    drums = hauling(rig)
    words = (
        f"{extra} line(s) more than needed: {' and '.join(drums)} haul {rig.load.name} together, and their shares depend "
        f"on stretch. State the line_pull of {number(extra)} of them."
    )
    if ratios:
        line = ", ".join(f"{drum} {ratio:.3f} m" for drum, ratio in ratios.items())
        words += f" For each metre of load they must take in {line}{_as_speeds(ratios)}."
        words += _fight(rig, ratios)
    return RigRefusal("REDUNDANT", words, drums)


def needed_ratios(rig: Rig, motions: list[list[float]]) -> dict[str, float]:
    """Return metres of line per metre of load travel of every hauling drum for the one motion there is."""
    motion, axes = motions[0], rig.load_axes
    velocity = ZERO
    for x, axis in zip(motion, axes, strict=False):
        velocity = add(velocity, axis, x)
    speed = math.copysign(math.sqrt(dot(velocity, velocity)), dot(velocity, rig.direction))
    if abs(speed) < STILL:
        return {}
    drums = hauling(rig)
    return {drum: x / speed for drum, x in zip(drums, motion[-len(drums) :], strict=True)}


def _as_speeds(ratios: Mapping[str, float]) -> str:
    first = next(iter(ratios.values()))
    if abs(first) < STILL:
        return ""
    return f": speeds as {' : '.join(f'{ratio / first:.3g}' for ratio in ratios.values())}"


def _fight(rig: Rig, ratios: Mapping[str, float]) -> str:
    """Return what is to be said where the stated speeds are not those the winches need; nothing where they are."""
    stated = {drum: speed for drum, speed in stated_speeds(rig).items() if drum in ratios}
    first = next((drum for drum, speed in stated.items() if speed and abs(ratios[drum]) > STILL), None)
    if first is None or len(stated) < 2:
        return ""
    per_ratio = stated[first] / ratios[first]
    needed = {drum: per_ratio * ratios[drum] for drum in stated}
    most = max(abs(speed) for speed in needed.values())
    if all(abs(stated[drum] - needed[drum]) <= OFF_SPEED * most for drum in stated):
        return ""
    told = ", ".join(f"{drum} {_m_min(speed)}" for drum, speed in stated.items())
    others = ", ".join(f"{drum} {_m_min(speed)}" for drum, speed in needed.items() if drum != first)
    return f" Stated are {told}: they fight each other. At {_m_min(stated[first])} of {first} it must be {others}."


def _m_min(speed_m_s: float) -> str:
    return f"{60.0 * speed_m_s:.2f} m/min"


def travel_ratios(rig: Rig, motion: Motion) -> dict[str, float]:
    """Return metres of line each drum takes in per metre the load travels along its motion; below 0 it pays out."""
    return {drum: motion.flows[line.name][-1] / motion.load_speed for drum, line in rig.drums.items()}


def remarks(rig: Rig, motion: Motion) -> list[Notice]:
    """Return what is to be said of the speeds of the winches and of the way the load goes."""
    ratios = travel_ratios(rig, motion)
    found = []
    fight = _fight(rig, ratios)
    if fight:
        found.append(Code.WINCH_SPEEDS.notice(tuple(ratios), text=fight.strip()))
    for drum, ratio in ratios.items():
        if ratio < -STILL:
            text = f"{drum} pays out {-ratio:.3f} m of line under its pull for each metre of load: it must be able to."
            found.append(Code.WINCH_SPEEDS.notice((drum,), text=text))
    if rig.free_load:
        cosine = dot(times(motion.load_velocity, 1.0 / motion.load_speed), rig.direction)
        off = math.acos(max(-1.0, min(1.0, cosine)))
        if off > OFF_RAD:
            text = (
                f"At these speeds {rig.load.name} moves {math.degrees(off):.0f} degrees off its direction; the force on it "
                "is kept as given."
            )
            found.append(Code.WINCH_SPEEDS.notice((rig.load.name,), text=text))
    return found
