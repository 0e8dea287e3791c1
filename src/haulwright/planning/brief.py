"""The brief to read aloud, for as many people as there are; what the cells should read; and how a pull ends."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from haulwright.field.published import house
from haulwright.files.pull import Pull
from haulwright.planning.candidates import Setting
from haulwright.planning.result import Candidate, ItemCheck, Mark, Zone
from haulwright.planning.titles import within
from haulwright.planning.ways import BACK
from haulwright.quantities.units import spoken

FEW, MANY = 2, 5
NO_RIG = "No rig of this kit can be used here. Wait, dig, lighten, let air out, or call for help."
CLOSING = (
    "The vehicle stands on firm ground, or it is not over: do not slacken yet",
    "Secure it before the line goes slack: brake, gear, chocks; on a slope a second line, it may roll",
    "Slacken slowly until every part lies on the ground; nobody touches gear before the leader says slack",
    "Isolate the winch: switch off, lead unplugged; now unhook, the vehicle's end first",
    "Feel blocks and rings before gripping them: they may be hot",
    "Look over every piece, rope along its whole length; what is in doubt goes into quarantine, not back into the bag",
    "Spool the line on under light load, even and tight; wash and dry what was muddy",
    "Write down what was seen: it makes the next estimate better",
)
"""The end of a pull, in order (common practice, no source)."""


def briefs(
    setting: Setting | None, candidate: Candidate | None, pull: Pull, zone: Zone, first: Sequence[str]
) -> dict[str, tuple[str, ...]]:
    """Return the brief for as many people as the pull has, or for two and for five; ``first`` is said first.

    Parameters
    ----------
    setting, candidate : Setting, Candidate, or None
        The chosen rig; None where there is none.
    pull : Pull
    zone : Zone
    first : sequence of str
        Why it is a job for a professional, that it may run away, that the drum is overfull.
    """
    crews = (FEW, MANY) if pull.want.people is None else (pull.want.people,)
    return {str(crew): _brief(setting, candidate, pull, zone, first, crew) for crew in crews}


def _brief(
    setting: Setting | None,
    candidate: Candidate | None,
    pull: Pull,
    zone: Zone,
    first: Sequence[str],
    crew: int,
) -> tuple[str, ...]:
    if setting is None or candidate is None:
        return (*first, NO_RIG)
    opening = list(first)
    if candidate.verdict in ("over", "unknown"):
        opening.append(f"Not yet: {within(candidate.title)} is {candidate.verdict}. {candidate.why}")
    sets = f", set {candidate.setups} times" if (candidate.setups or 1) > 1 else ""
    came = " the way it came" if setting.request.pull.vehicle.opposite_direction else ""
    way = f"back{came}" if candidate.way == BACK else "ahead"
    return (
        *opening,
        f"We pull {pull.vehicle.name} {pull.want.travel:g} m {way}. The rig: {within(candidate.title)}{sets}. "
        f"{candidate.sentence}",
        f"The winch pulls about {spoken(candidate.effort_N.likely)}, up to {spoken(candidate.effort_N.high)}; it stalls at "
        f"{spoken(candidate.stall_N)}, and every piece is judged at that.",
        _weakest(candidate),
        *roles(setting, pull, crew),
        f"Nobody within {zone.radius_m:.1f} m who does not work the pull; nobody at all in line with any part, or inside a "
        "bend. Stand at right angles to the line.",
        "Signals before tension: pull in, hold, slacken, stop. Anyone may call stop, and stop means stop.",
        "No gear is touched under tension. Re-rig only when the line is slack and the vehicle is secured.",
        "Done is: it stands on firm ground, it is secured, then we slacken, then the winch is isolated.",
        "Say back: your task, your signal, your safe place.",
    )


def _weakest(candidate: Candidate) -> str:
    rated = [item for item in candidate.items if item.utilisation is not None and item.role != "winch"]
    unrated = [item.item for item in candidate.items if item.verdict == "unknown"]
    words = f" Not rated, so not known: {', '.join(dict.fromkeys(unrated))}." if unrated else ""
    if not rated:
        return f"No piece of it is rated.{words}"
    worst = max(rated, key=lambda item: item.utilisation or 0.0)
    most = worst.utilisation or 0.0
    share = f"{100.0 * most:.0f} % at stall" if math.isfinite(most) else "not to be used"
    return f"The weakest by its margin: {worst.item}, {worst.role}, {share}.{words}"


def roles(setting: Setting, pull: Pull, crew: int) -> tuple[str, ...]:
    """Return who does what, for a number of people (common practice, no source)."""
    watched = " and ".join(setting.anchors) or "the anchors"
    driver = pull.vehicle.name
    inside = setting.request.pull.own_winch
    at_winch = f"in {driver}" if inside else f"at the winch on {setting.request.pull.winch_on}"
    if crew == 1:
        return (
            "Not alone: nobody sees the anchors or stops the winch when the one person is hurt. Wait for a second.",
        )
    if crew == FEW:
        first = (
            f"Two of us. One in {driver}: brake, wheel and winch, windows up, nobody else inside."
            if inside
            else f"Two of us. One in {driver} at the wheel. One works the winch on {setting.request.pull.winch_on} and leads."
        )
        second = (
            f"One outside leads: sees {driver}, the line and {watched}, gives every signal, keeps off the line."
            if inside
            else f"Who leads also watches {watched}; where both cannot be seen from one safe place, stop every metre and look."
        )
        return (first, second, "No one is left to keep people away: if anyone comes near, we stop.")
    third = f"One leader outside gives every signal and works nothing. One {at_winch} works the winch" + (
        " and the wheel." if inside else f"; one in {driver} at the wheel."
    )
    if crew < MANY:
        return (
            third,
            f"The leader also watches {watched} and keeps people away; if that is too much, we stop.",
        )
    return (
        third,
        f"One watches {watched} from a distance, at right angles to the line.",
        "One keeps people and traffic away, on both sides; no more people in the zone than have a task.",
    )


def marks(candidate: Candidate | None) -> tuple[Mark, ...]:
    """Return what the cells should read while it pulls, and the reading at which to stop.

    Notes
    -----
    The winch line stops at what the high resistance asks, or at its line pull on the last layer where that is less; an
    anchor at its load then, or at 80 % of its limit where that is less. Where some piece would be past its limit before
    that, every cell stops where that piece is at its limit.
    """
    if candidate is None:
        return ()
    effort, limit = candidate.effort_N, candidate.winch_limit_N
    stop = Mark("winch line", effort.low, effort.high, effort.high, "the high resistance asks no more")
    if limit is not None and limit < effort.high:
        stop = replace(stop, stop_N=limit, stop_why="the winch's line pull on the last layer")
    low = effort.low / effort.likely
    found = [stop, *(_anchor_mark(item, low) for item in candidate.items if item.role.startswith("anchor "))]
    return tuple(_before_the_weakest(mark, candidate.items) for mark in found)


def _anchor_mark(item: ItemCheck, low: float) -> Mark:
    load, share = item.load_N, house("tight-share").value
    mark = Mark(item.item, load.likely * low, load.high, load.high, "the high resistance asks no more")
    if item.limit_N is None:
        return replace(mark, stop_why="the high resistance asks no more; what it may hold is not known")
    if share * item.limit_N < load.high:
        return replace(mark, stop_N=share * item.limit_N, stop_why=f"{100.0 * share:.0f} % of its limit")
    return mark


def _before_the_weakest(mark: Mark, items: Sequence[ItemCheck]) -> Mark:
    """Return a mark that stops no later than where the weakest piece is at its limit; loads go with the reading."""
    rated = [
        (item.limit_N / item.load_N.high, item)
        for item in items
        if item.limit_N is not None and item.load_N.high > 0.0 and item.role != "winch"
    ]
    if not rated:
        return mark
    share, weakest = min(rated, key=lambda one: one[0])
    if share <= 0.0:
        return replace(mark, stop_N=0.0, stop_why=f"{weakest.item}, {weakest.role}, is not to be used")
    if share * mark.high_N >= mark.stop_N:
        return mark
    return replace(
        mark, stop_N=share * mark.high_N, stop_why=f"{weakest.item}, {weakest.role}, is at its limit then"
    )
