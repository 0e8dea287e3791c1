"""The stuck vehicle, its trailer and the ground along the pull, as a pull file holds them."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BeforeValidator, Field, ValidationInfo, model_validator

from haulwright.field.obstacle import PULLED_AT
from haulwright.field.published import depth_words, house, surface_words
from haulwright.field.stuck import depth_word
from haulwright.files.faults import nearest
from haulwright.files.kit import Positive
from haulwright.files.yamlfile import FileModel, Force, Fraction, Length, Mass, Slope
from haulwright.quantities.units import parse_length, parse_mass

Wheels = Literal["rolling", "half locked", "all locked"]
WheelState = Literal["turns", "locked", "damaged", "flat"]


def word(known: Callable[[], Iterable[str]]) -> AfterValidator:
    """Return the validator that accepts the words of the catalogue only."""

    def check(value: str) -> str:
        words = list(known())
        if value not in words:
            raise ValueError(nearest(value, words))
        return value

    return AfterValidator(check)


TAKEN = (
    "M",
    "N",
    "beyond",
)  # floating blocks, and what stands on the far side, in the one-line notation of rigs


def _plain_name(value: str) -> str:
    """Refuse a name that the one-line notation of a rig could not hold."""
    if not value.strip() or any(sign in value for sign in "!~@.>;|,"):
        raise ValueError(
            "expected a name without ! ~ @ . > ; | or commas: it stands in the one-line notation of rigs"
        )
    if value.strip() in TAKEN:
        raise ValueError(f"rigs call something of their own {value.strip()}: give it another name")
    return value.strip()


def _people(value: Any, info: ValidationInfo) -> float:
    """Return the mass of people: a count, or a mass with its unit [kg]."""
    count = int(value) if isinstance(value, str) and value.strip().isdecimal() else value
    if isinstance(count, bool) or not isinstance(count, int | str):
        raise ValueError("expected how many people, such as 3, or their mass, such as 240 kg")
    if isinstance(count, int):
        if not 0 <= count <= 100:
            raise ValueError("expected 0 to 100 people, or their mass, such as 240 kg")
        return count * house("person-mass").value
    return parse_mass(count, what="people")


Name = Annotated[str, AfterValidator(_plain_name)]
Depth = Annotated[str, word(lambda: ("none", *depth_words()))]
Surface = Annotated[str, word(surface_words)]
People = Annotated[float, BeforeValidator(_people), Field(ge=0)]


class Trailer(FileModel):
    """The trailer behind the stuck vehicle.

    Attributes
    ----------
    mass, load : float
        Its own mass and what is on it [kg].
    wheels : str
        As of the vehicle.
    braked : bool
        Its brake is on and cannot be let off: its wheels count as locked.
    sunk : str or None
        As of the vehicle; None: as deep as the vehicle.
    """

    mass: Annotated[Mass, Positive]
    load: Annotated[Mass, Field(ge=0)] = 0.0
    wheels: Wheels = "rolling"
    braked: bool = False
    sunk: Depth | None = None


class Stuck(FileModel):
    """What is known of the stuck vehicle.

    Attributes
    ----------
    name : str
    mass, load : float
        Mass as it stands and what is in it on top of that [kg].
    mass_low, mass_high : float or None
        What the mass may be at least and at most [kg], where it was not weighed.
    people : float
        People who stay in it: a count (the catalogue's mass for each) or a mass [kg].
    wheels : str
        ``rolling``, ``half locked`` or ``all locked``.
    each_wheel : mapping wheel -> state
        In place of ``wheels``: those that are ``locked``, ``damaged`` or ``flat``; wheels not named turn.
    wheel_count : int
        Wheels on the ground.
    sunk : str
        How deep: ``none``, or a depth in the words of the published rules (``rim``, ``wheel``, ``fender`` …); or a
        length, which is read as one of these words by the wheel's radius.
    sunk_depth, wheel_radius : float or None
        That length, and the radius of the wheel with its tyre [m].
    drive_helps, opposite_direction : bool
        It drives with the pull; it is pulled out the way it came in.
    driven : float
        Share of its weight on driven wheels.
    trailer : Trailer or None
    suction : float or None
        Suction to be broken before it moves, as the trainer knows it [N], only with ``suction_source``.
    lies : str
        ``on its wheels``, ``on its side`` or ``on its roof``.
    """

    name: Name = "vehicle"
    mass: Annotated[Mass, Positive]
    mass_low: Annotated[Mass, Positive] | None = None
    mass_high: Annotated[Mass, Positive] | None = None
    load: Annotated[Mass, Field(ge=0)] = 0.0
    people: People = 0.0
    wheels: Wheels = "rolling"
    each_wheel: dict[str, WheelState] = Field(default_factory=dict)
    wheel_count: Annotated[int, Field(ge=2, le=24)] = 4
    sunk: Depth = "none"
    sunk_depth: Annotated[Length, Field(ge=0)] | None = None
    wheel_radius: Annotated[Length, Positive] | None = None
    drive_helps: bool = False
    driven: Annotated[Fraction, Field(gt=0, le=1)] = 1.0
    opposite_direction: bool = False
    trailer: Trailer | None = None
    suction: Annotated[Force, Positive] | None = None
    suction_source: str = ""
    lies: Literal["on its wheels", "on its side", "on its roof"] = "on its wheels"

    @model_validator(mode="before")
    @classmethod
    def _depth_measured(cls, value: Any, info: ValidationInfo) -> Any:
        """Read a depth given as a length as a word of the rules."""
        if not isinstance(value, Mapping):
            return value
        data = dict(value)
        sunk = data.get("sunk")
        if "sunk_depth" not in data and (isinstance(sunk, str) and sunk[:1].isdecimal()):
            data["sunk_depth"] = data.pop("sunk")
        if "sunk_depth" not in data or "sunk" in data:
            return data
        if data.get("wheel_radius") is None:
            raise ValueError(
                f"sunk = {data['sunk_depth']!r}: a depth in centimetres needs wheel_radius, such as 390 mm; or say "
                f"{', '.join(depth_words())}"
            )
        unit = ((info.context or {}).get("units") or {}).get("length")
        depth_m, radius_m = (
            parse_length(data[key], default_unit=unit, what=key) for key in ("sunk_depth", "wheel_radius")
        )
        return {**data, "sunk": depth_word(depth_m, radius_m)}

    @model_validator(mode="after")
    def _fits(self) -> Stuck:
        if self.mass_low is not None and self.mass_low > self.mass:
            raise ValueError(f"mass_low = {self.mass_low:g} kg is more than the mass, {self.mass:g} kg")
        if self.mass_high is not None and self.mass_high < self.mass:
            raise ValueError(f"mass_high = {self.mass_high:g} kg is less than the mass, {self.mass:g} kg")
        if self.each_wheel and self.wheels != "rolling":
            raise ValueError("wheels and each_wheel are both given: keep one")
        if len(self.each_wheel) > self.wheel_count:
            raise ValueError(
                f"each_wheel names {len(self.each_wheel)} of {self.wheel_count} wheels: mend wheel_count"
            )
        if self.suction is not None and not self.suction_source:
            raise ValueError(
                "suction needs suction_source: who or what says so, such as 'own pull of May, same bog'"
            )
        return self


class StepInFront(FileModel):
    """A step or the edge of a rut in front of wheels.

    Attributes
    ----------
    height : float
        Of the edge above what the wheel stands on [m].
    wheels : int
        Wheels that meet it at once.
    wheel_radius : float or None
        None: that of the vehicle [m].
    load : float or None
        Mass on these wheels; None: their share by number of the vehicle's [kg].
    pulled_at : str
        ``axle``, ``rim`` or ``least``: where the pull takes hold.
    """

    height: Annotated[Length, Positive]
    wheels: Annotated[int, Field(ge=1, le=24)] = 2
    wheel_radius: Annotated[Length, Positive] | None = None
    load: Annotated[Mass, Positive] | None = None
    pulled_at: Annotated[str, word(lambda: PULLED_AT)] = "axle"


class Ground(FileModel):
    """The ground along the pull: surface, slope [rad], whether the pull goes ``up`` or ``down`` it, a step in the way.

    The slope is an angle, a percentage, a ratio, or two heights and a distance: ``{rise: 1.2 m, over: 14 m}`` (``over``
    level, ``along`` on the slope) or ``{heights: [101.3 m, 102.5 m], over: 14 m}``; these tell the direction too.
    """

    surface: Surface
    slope: Annotated[Slope, Field(ge=0)] = 0.0
    direction: Literal["up", "down", "level"] = "level"
    step: StepInFront | None = None

    @model_validator(mode="before")
    @classmethod
    def _slope_by_heights(cls, value: Any, info: ValidationInfo) -> Any:
        if not isinstance(value, Mapping) or not isinstance(value.get("slope"), Mapping):
            return value
        unit = ((info.context or {}).get("units") or {}).get("length")
        rise_rad = _slope(value["slope"], unit)
        told = value.get("direction")
        direction = "up" if rise_rad > 0.0 else "down" if rise_rad < 0.0 else "level"
        if told == "down" and direction == "up" and "rise" in value["slope"]:
            direction = "down"  # a rise is a height without sign where the direction is told
        if told is not None and told != direction and told in ("up", "down", "level"):
            raise ValueError(f"slope: these heights go {direction}, but direction says {told}: mend one")
        return {**value, "slope": f"{abs(rise_rad)!r} rad", "direction": told or direction}


def _slope(heights: Mapping[str, Any], unit: str | None) -> float:
    """Return the slope of two heights and a distance, above zero where the pull goes up [rad]."""
    keys = ("rise", "heights", "over", "along")
    for key in heights:
        if key not in keys:
            raise ValueError(f"slope: unknown key {key}: {nearest(str(key), keys)}")
    if len({"rise", "heights"} & set(heights)) != 1 or len({"over", "along"} & set(heights)) != 1:
        raise ValueError(
            "slope: expected {rise: 1.2 m, over: 14 m}, or heights: [101.3 m, 102.5 m] and along: 14 m"
        )
    if "rise" in heights:
        rise = parse_length(heights["rise"], default_unit=unit, what="slope.rise")
    else:
        two = heights["heights"]
        if not isinstance(two, list | tuple) or len(two) != 2:
            raise ValueError("slope.heights: expected two, where the pull starts and where it ends")
        start, end = (parse_length(one, default_unit=unit, what="slope.heights") for one in two)
        rise = end - start
    key = "over" if "over" in heights else "along"
    distance = parse_length(heights[key], default_unit=unit, what=f"slope.{key}")
    if distance <= 0.0 or (key == "along" and abs(rise) >= distance):
        raise ValueError(
            f"slope.{key} = {heights[key]}: expected a distance above 0, and along more than the rise"
        )
    return math.atan(rise / distance) if key == "over" else math.asin(rise / distance)


class StuckFile(FileModel):
    """The stuck vehicle and the ground alone, where no rig is asked for."""

    pull: str = "stuck vehicle"
    invented: bool = False
    vehicle: Stuck
    ground: Ground
    rule: str | None = None
