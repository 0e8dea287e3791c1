"""What is stated of the winches of a rig, and what must be."""

from __future__ import annotations

from haulwright.errors import RigRefusal
from haulwright.mechanics.rig import Rig, Winch


def hauling(rig: Rig) -> tuple[str, ...]:
    """Return the drums whose pull is not stated: they set the motion, and their tension is solved."""
    stated = rig.stated_pulls
    return tuple(drum for drum in rig.drums if drum not in stated)


def stated_speeds(rig: Rig) -> dict[str, float]:
    """Return the speed of every drum that has one stated [m/s]."""
    speeds = {drum: rig.winches.get(drum, Winch()).speed_m_s for drum in rig.drums}
    return {drum: speed for drum, speed in speeds.items() if speed is not None}


def check_winches(rig: Rig) -> None:
    """Refuse winches and loads of which too much or too little is stated, before any motion is looked for.

    Raises
    ------
    RigRefusal
        INPUT, naming what to leave out or to give.
    """
    drums, load = tuple(rig.drums), rig.load.name
    if not hauling(rig):
        raise RigRefusal(
            "INPUT",
            f"The line_pull of every winch is stated ({', '.join(drums)}), but it follows from the resistance of {load}: "
            f"leave it out for {number(len(rig.load_axes))} of them.",
            drums,
        )
    if rig.free_load and not rig.placed:
        raise RigRefusal("INPUT", f"{load} is free: give at: for it and for every anchor.", (load,))
    if rig.free_load and rig.floating and rig.mode == "line":
        raise RigRefusal(
            "INPUT",
            f"{load} is free, so {rig.floating[0].name} does not move along one line: write mode: ground.",
            (rig.floating[0].name, load),
        )


def unit_speeds(rig: Rig) -> list[float] | None:
    """Return the speeds of the hauling drums with the greatest 1, None where they are not all stated.

    One hauling drum needs none stated.

    Raises
    ------
    RigRefusal
        INPUT where all of them stand still.
    """
    drums, stated = hauling(rig), stated_speeds(rig)
    if len(drums) == 1:
        return [1.0]
    if any(drum not in stated for drum in drums):
        return None
    fastest = max(abs(stated[drum]) for drum in drums)
    if fastest == 0.0:
        raise RigRefusal(
            "INPUT", f"The speeds of {' and '.join(drums)} are 0: nothing is hauled. Give one above 0.", drums
        )
    return [stated[drum] / fastest for drum in drums]


def no_speed(rig: Rig) -> RigRefusal:
    """Return the refusal of winches whose speeds the motion depends on and that are not stated."""
    stated = stated_speeds(rig)
    lacking = tuple(drum for drum in hauling(rig) if drum not in stated)
    return RigRefusal(
        "INPUT",
        f"Which way the rig moves depends on the speeds of its winches: give speed: for {' and '.join(lacking)}.",
        lacking,
    )


def number(n: int) -> str:
    """Return a small number in words."""
    return {1: "one", 2: "two", 3: "three"}.get(n, str(n))
