"""What the winch does at every step of a pull: layer, line pull, speed, current, time, charge, energy."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from haulwright.errors import PlanRefusal
from haulwright.field import drum
from haulwright.field.drum import DrumLayer
from haulwright.field.motor import SECONDS_PER_HOUR, MotorTable, working_point
from haulwright.planning.candidates import Setting
from haulwright.planning.drum_use import lines_out
from haulwright.planning.pull_walk import Station

_CLOSE_m = 1e-9


@dataclass(frozen=True)
class Stint:
    """The motor between two steps: current [A] and time [s] on one layer."""

    current_A: float
    time_s: float


@dataclass(frozen=True)
class Running:
    """The motor at one resistance: at every step speed and current there, and what has run up to there.

    All are None from the step on that it does not reach, because the winch stalls before.
    """

    speeds_m_s: tuple[float | None, ...]
    currents_A: tuple[float | None, ...]
    times_s: tuple[float | None, ...]
    charges_C: tuple[float | None, ...]
    stints: tuple[tuple[Stint, ...], ...]  # to each step from the one before

    @property
    def whole(self) -> bool:
        """Return whether the winch comes to the end."""
        return bool(self.times_s) and self.times_s[-1] is not None


@dataclass(frozen=True)
class Drum:
    """The winding that pulls least at the end of the pull; not knowing the lay must not make the winch stronger."""

    wound: tuple[DrumLayer, ...]

    @property
    def line_m(self) -> float:
        """Return the line on the full drum [m]."""
        return self.wound[-1].cumulative_m

    def layer(self, out_m: float) -> DrumLayer:
        """Return the layer the line leaves from with so much of it outside."""
        return drum.layer_at(self.wound, max(self.line_m - out_m, 0.0))

    def met(self, out_m: float, then_m: float) -> tuple[tuple[DrumLayer, float], ...]:
        """Return the line wound layer by layer from one length outside to a shorter one."""
        if out_m - then_m <= _CLOSE_m:
            return ()
        return drum.spans(self.wound, max(self.line_m - out_m, 0.0), out_m - then_m)


def drum_of(setting: Setting) -> Drum | None:
    """Return the drum of a setting; None where its sizes or the rope's are not told."""
    windings = setting.request.windings
    if setting.drum is None or not windings:
        return None
    end_m = min(end for _, end in lines_out(setting.layout))
    return min((Drum(wound) for wound in windings), key=lambda one: one.layer(end_m).pull_N)


def run(stations: Sequence[Station], efforts_N: Sequence[float], table: MotorTable, wound: Drum) -> Running:
    """Return what the motor does along the steps at one resistance.

    Parameters
    ----------
    stations : sequence of Station
    efforts_N : sequence of float
        Effort at each of them [N].
    table : MotorTable
    wound : Drum

    Notes
    -----
    Between two steps the effort is the mean of both, and the line is split at the layer ends. Rests are not in it.
    """
    speeds: list[float | None] = []
    currents: list[float | None] = []
    times: list[float | None] = []
    charges: list[float | None] = []
    stints: list[tuple[Stint, ...]] = []
    time_s, charge_C, runs = 0.0, 0.0, True
    for n, (station, effort_N) in enumerate(zip(stations, efforts_N, strict=True)):
        made: tuple[Stint, ...] = ()
        if n and stations[n - 1].setup == station.setup and runs:
            mean_N = (efforts_N[n - 1] + effort_N) / 2.0
            found = _stints(table, wound, mean_N, stations[n - 1].out_m, station.out_m)
            runs, made = found is not None, found or ()
        time_s += math.fsum(stint.time_s for stint in made)
        charge_C += math.fsum(stint.time_s * stint.current_A for stint in made)
        here = _point(table, wound, effort_N, station.out_m) if runs else None
        speeds.append(here[0] if here else None)
        currents.append(here[1] if here else None)
        times.append(time_s if runs else None)
        charges.append(charge_C if runs else None)
        stints.append(made)
    return Running(tuple(speeds), tuple(currents), tuple(times), tuple(charges), tuple(stints))


def _stints(
    table: MotorTable, wound: Drum, effort_N: float, out_m: float, then_m: float
) -> tuple[Stint, ...] | None:
    found = []
    for layer, length_m in wound.met(out_m, then_m):
        try:
            point = working_point(table, effort_N, layer.speed_ratio)
        except PlanRefusal:
            return None
        if point.speed_m_s <= 0.0:
            return None
        found.append(Stint(point.current_A, length_m / point.speed_m_s))
    return tuple(found)


def _point(table: MotorTable, wound: Drum, effort_N: float, out_m: float) -> tuple[float, float] | None:
    try:
        point = working_point(table, effort_N, wound.layer(out_m).speed_ratio)
    except PlanRefusal:
        return None
    return point.speed_m_s, point.current_A


def ampere_hours(charge_C: float | None) -> float | None:
    """Return a charge in ampere hours; None stays None."""
    return None if charge_C is None else charge_C / SECONDS_PER_HOUR
