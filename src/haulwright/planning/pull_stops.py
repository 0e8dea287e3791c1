"""Where a pull stops, or must be looked at: layer changes, too weak a winch, set-ups, rests, the battery."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise

from haulwright.errors import RigRefusal
from haulwright.field.battery import Battery
from haulwright.files.kit import Winch
from haulwright.planning.pull_result import PullStep, StopPoint
from haulwright.planning.pull_walk import Station
from haulwright.planning.pull_winch import Drum, Running, Stint


def stops_of(
    steps: Sequence[PullStep],
    stations: Sequence[Station],
    wound: Drum | None,
    gap_m: float,
    refused: RigRefusal | None,
) -> list[StopPoint]:
    """Return the stop points that lie in rig and drum.

    Parameters
    ----------
    steps : sequence of PullStep
    stations : sequence of Station
        The same places.
    wound : Drum or None
    gap_m : float
        Least gap that is kept between blocks.
    refused : RigRefusal or None
        Why the rig works no further.
    """
    found = list(_layers(steps, stations, wound)) if wound else []
    found += _weak(steps, found)
    found += _resets(steps, gap_m)
    if refused is not None:
        what = "two-blocked" if refused.code == "TWO_BLOCKED" else "rig"
        found.append(StopPoint(what, steps[-1].travel_m, f"The rig works no further: {refused.message}"))
    return found


def _layers(steps: Sequence[PullStep], stations: Sequence[Station], wound: Drum) -> Iterator[StopPoint]:
    for (before, after), (left, right) in zip(pairwise(stations), pairwise(steps), strict=True):
        if left.setup != right.setup or left.layer == right.layer:
            continue
        travel_m, end_m = left.travel_m, before.out_m
        for layer, length_m in wound.met(before.out_m, after.out_m)[:-1]:
            share = length_m / (before.out_m - after.out_m)
            travel_m += share * (right.travel_m - left.travel_m)
            end_m -= length_m
            then = wound.wound[layer.number]
            yield StopPoint(
                "layer",
                travel_m,
                f"Layer {then.number} of the drum begins: less line pull, a faster line. Watch how the rope climbs.",
                right.effort_N.high,
                then.pull_N,
            )


def _weak(steps: Sequence[PullStep], layers: Sequence[StopPoint]) -> Iterator[StopPoint]:
    for case in ("high", "likely"):
        for n, step in enumerate(steps):
            needed_N = getattr(step.effort_N, case)
            if step.line_pull_N is None or needed_N <= step.line_pull_N:
                continue
            at_m = _crossing(steps, n, case, layers)
            begins = "From the start" if n == 0 else "From here on"
            yield StopPoint(
                "too weak",
                at_m,
                f"{begins} the winch no longer pulls the {case} resistance on layer {step.layer}. Stop before it stalls: "
                "secure the vehicle, pay out and take more line outside, or add a part.",
                needed_N,
                step.line_pull_N,
            )
            break


def _crossing(steps: Sequence[PullStep], n: int, case: str, layers: Sequence[StopPoint]) -> float:
    """Return where the winch gets too weak: where the layer begins, or where the effort crosses its line pull."""
    here = steps[n]
    if n == 0 or steps[n - 1].setup != here.setup:
        return here.travel_m
    before = steps[n - 1]
    begun = [stop.travel_m for stop in layers if before.travel_m <= stop.travel_m <= here.travel_m]
    if before.layer != here.layer and begun:
        return begun[-1]
    less, more = (float(getattr(step.effort_N, case)) - (step.line_pull_N or 0.0) for step in (before, here))
    share = -less / (more - less)
    return before.travel_m + share * (here.travel_m - before.travel_m)


def _resets(steps: Sequence[PullStep], gap_m: float) -> Iterator[StopPoint]:
    for left, right in pairwise(steps):
        if left.setup != right.setup:
            yield StopPoint(
                "reset",
                left.travel_m,
                f"Set-up {left.setup} is done: the blocks are {gap_m:g} m apart or would meet soon. Secure the vehicle, slacken, "
                "set the rig anew, check it under light tension.",
            )


def timed_stops(
    steps: Sequence[PullStep], running: Running, winch: Winch, battery: Battery | None
) -> Iterator[StopPoint]:
    """Return rests of the motor and where the battery falls to the least that is stated, at the likely resistance."""
    if winch.duty is not None:
        for travel_m in _rest_places(steps, running.times_s, winch.duty.run):
            text = (
                f"The motor has run {winch.duty.run / 60.0:.1f} min at the likely resistance: rest it "
                f"{winch.duty.rest / 60.0:.1f} min with the engine running ({winch.duty.source}), line held."
            )
            yield StopPoint("rest", travel_m, text)
    if battery is not None and battery.least is not None:
        at_m = _empty_at(steps, running.stints, battery)
        if at_m is not None:
            text = (
                f"At worst the battery is down to {100 * battery.least:.0f} % here, the least that is stated: stop and "
                "charge with the engine running."
            )
            yield StopPoint("battery", at_m, text)


def _rest_places(
    steps: Sequence[PullStep], times_s: Sequence[float | None], every_s: float
) -> Iterator[float]:
    due = every_s
    for (left, right), (before, after) in zip(pairwise(steps), pairwise(times_s), strict=True):
        if before is None or after is None:
            return
        while after > due and after > before:
            yield left.travel_m + (right.travel_m - left.travel_m) * (due - before) / (after - before)
            due += every_s


def _empty_at(steps: Sequence[PullStep], stints: Sequence[Sequence[Stint]], battery: Battery) -> float | None:
    """Return the travel at which the worst of battery and alternator reaches the least charge; rests charge nothing here."""
    if battery.capacity_Ah is None or battery.charge is None or battery.least is None:
        return None
    given = (battery.alternator_A or (0.0, 0.0))[0]
    left_C = (battery.charge[0] - battery.least) * battery.capacity_Ah * 3600.0
    for step, made in zip(steps, stints, strict=True):
        left_C -= math.fsum((stint.current_A - given) * stint.time_s for stint in made)
        if left_C <= 0.0:
            return step.travel_m
    return None
