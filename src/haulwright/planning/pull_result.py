"""Records of a pull step by step. Forces in newtons; likely and high are at the likely and the high resistance."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import ClassVar

from haulwright.field.battery import BatteryBalance
from haulwright.field.by_parts import PartsRow
from haulwright.field.motor_model import MotorFit
from haulwright.planning.result import ItemLoad, Range
from haulwright.records import Record


@dataclass(frozen=True)
class Both:
    """One quantity at the likely and at the high resistance; None where it is not known, or the winch stalls."""

    likely: float | None = None
    high: float | None = None


@dataclass(frozen=True)
class PullStep:
    """The pull at one place of its travel.

    Attributes
    ----------
    travel_m : float
        How far the vehicle has come [m].
    setup : int
        Counted from 1.
    line_out_m : float
        Winch line outside the drum [m].
    layer : int or None
        The line leaves the drum from.
    effort_N : Range
        Line pull needed; friction as expected for low and likely, its upper end for high.
    line_pull_N, stall_N : float or None
        Line pull there is on this layer at the rated torque, and at stall [N].
    travel_ratio : float
        Line taken in per metre of travel.
    fairlead_rad : float
        Angle of the line from straight ahead of the winch [rad].
    side_pull_N : ItemLoad
        Pull across the way on the vehicle.
    between_rad : mapping block -> tuple of float
        Angle between the parts at every contact of a block [rad].
    places_m : mapping body -> (float, float)
        Of the vehicle and the floating blocks, ahead and to the left of the start.
    line_speed_m_s, load_speed_m_s, current_A, time_s, charge_Ah, battery_J : Both
        Running time, charge and energy from the battery since the start, without rests.
    load_J : Both
        Work done on the vehicle since the start.
    """

    travel_m: float
    setup: int
    line_out_m: float
    layer: int | None
    effort_N: Range
    line_pull_N: float | None
    stall_N: float | None
    travel_ratio: float
    fairlead_rad: float
    side_pull_N: ItemLoad
    between_rad: Mapping[str, tuple[float, ...]]
    places_m: Mapping[str, tuple[float, float]]
    line_speed_m_s: Both
    load_speed_m_s: Both
    current_A: Both
    time_s: Both
    charge_Ah: Both
    battery_J: Both
    load_J: Both


@dataclass(frozen=True)
class StopPoint:
    """A place at which the pull stops, or must be looked at.

    Attributes
    ----------
    what : str
        ``layer``, ``too weak``, ``reset``, ``two-blocked``, ``rest``, ``battery``, or ``rig`` where it works no further.
    travel_m : float
    message : str
    needed_N, there_N : float or None
        For ``layer`` and ``too weak``: line pull needed at the high resistance, and line pull from here on [N].
    """

    what: str
    travel_m: float
    message: str
    needed_N: float | None = None
    there_N: float | None = None


@dataclass(frozen=True)
class Peak:
    """The greatest load of one piece along the travel, with or without friction, and where it occurs.

    Attributes
    ----------
    item, role : str
    load_N : ItemLoad
        Stall is that on the lowest layer met.
    at_m : ItemLoad
        How far the vehicle has come there [m].
    limit_N : float or None
        Working limit; None is unknown.
    utilisation : float or None
        Load at stall ÷ limit.
    """

    item: str
    role: str
    load_N: ItemLoad
    at_m: ItemLoad
    limit_N: float | None
    utilisation: float | None


@dataclass(frozen=True)
class BlockWarmth:
    """Heat that goes into one block over the pull, and by how much that could warm it; None without its mass."""

    block: str
    item: str
    heat_J: Both
    rise_K: Both


@dataclass(frozen=True)
class Fleet:
    """How the line runs onto the drum.

    Attributes
    ----------
    greatest_rad, at_m : float
        Greatest angle at the fairlead [rad], and where.
    fairlead_N : ItemLoad
        What the line puts on the fairlead there.
    drum_rad : float or None
        Between fairlead and drum at its flange [rad]; None without the distance.
    good_rad, limit_rad : float
        Published [rad].
    valid, source : str
    straight : str
        What was taken for straight ahead.
    """

    greatest_rad: float
    at_m: float
    fairlead_N: ItemLoad
    drum_rad: float | None
    good_rad: float
    limit_rad: float
    valid: str
    source: str
    straight: str


@dataclass(frozen=True)
class PullWork:
    """What the whole pull takes; likely and high resistance; None without a table, or where the winch stalls.

    ``efficiency`` is the work on the vehicle ÷ the energy from the battery. ``with_rests_s`` is None where the maker's duty
    is not told. ``lasts_s`` is how long the battery stands the greatest
    likely current until the least charge that is stated, [low, high].
    """

    time_s: Both
    with_rests_s: Both
    charge_Ah: Both
    battery_J: Both
    load_J: Both
    efficiency: Both
    greatest_current_A: Both
    battery: BatteryBalance | None
    lasts_s: tuple[float, float] | None


@dataclass(frozen=True, kw_only=True)
class PullSteps(Record):
    """One rig of a plan along its travel.

    ``travel_m`` is how far it comes, of ``wanted_m``. ``parts`` compares one, two and three parts of line for this winch
    and load. ``motor`` is the model that filled the maker's table; None where the rows stand alone.
    """

    kind: ClassVar[str] = "pull-steps"
    pull: str
    rig: str
    way: str
    winch: str
    winch_on: str
    resistance_N: Range
    breakout_N: float
    stall_N: float
    wanted_m: float
    travel_m: float
    setups: int
    steps: tuple[PullStep, ...]
    stops: tuple[StopPoint, ...]
    peaks: tuple[Peak, ...]
    blocks: tuple[BlockWarmth, ...]
    fleet: Fleet
    work: PullWork
    parts: tuple[PartsRow, ...]
    parts_words: str
    motor: MotorFit | None
