"""The recovery points, the anchors and the wish, as a pull file holds them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any, Literal

from pydantic import Field, TypeAdapter, ValidationInfo, model_validator

from haulwright.field.published import grip_words
from haulwright.files.anchor_fields import AnchorFields
from haulwright.files.kit import Marked, Positive
from haulwright.files.stuck import Ground as Ground
from haulwright.files.stuck import Name, Stuck, word
from haulwright.files.yamlfile import FileModel, Length, Mass

AnchorKind = Literal["tree", "vehicle", "pickets", "deadman", "rock", "ground anchor", "other"]
VehicleHazard = Literal[
    "overturned",
    "on an edge",
    "in water",
    "people trapped",
    "fuel or battery damage",
    "dangerous goods",
    "damaged high-voltage vehicle",
    "farm machine",
]
SiteHazard = Literal["live traffic", "powerlines", "cliff", "water"]
Grip = Annotated[str, word(grip_words)]


End = Literal["front", "rear"]
Way = Literal["ahead", "back", "either"]


class Point(Marked):
    """A recovery point of a vehicle: its place in words, the end it is at, and its marked rating.

    ``swings``: a shackle on it turns to the side and is pulled in line there; else a pull from the side is a side load.
    """

    name: Annotated[str, Field(min_length=1)] = "recovery point"
    end: End = "front"
    swings: bool = False


class Vehicle(Stuck):
    """The stuck vehicle with what it can be pulled by.

    Attributes
    ----------
    points : tuple of Point
        Recovery points, each at the front or the rear; ahead it is pulled by the front, back by the rear.
    spacing : float or None
        Between the first two points of an end [m]; needed for a bridle.
    hazards : tuple of str
        What makes it a job for a professional.
    """

    points: tuple[Point, ...] = ()
    spacing: Annotated[Length, Positive] | None = None
    hazards: tuple[VehicleHazard, ...] = ()


_SIGNED = TypeAdapter(Length)


def _from_place(value: Mapping[str, Any], context: Any) -> dict[str, Any]:
    """Return an anchor given by ``at: [x, y]`` with its distance, side and aside."""
    at = value["at"]
    twice = sorted({"side", "aside"} & set(value))
    if len(at) != 2 or twice:
        also = f"; leave out {' and '.join(twice)}, they follow from it" if twice else ""
        raise ValueError(f"at: expected [x, y], metres ahead and to the left of the stuck vehicle{also}")
    x, y = (_SIGNED.validate_python(number, context=context) for number in at)
    rest = {key: item for key, item in value.items() if key != "at"}
    side = "behind" if x < 0.0 else "ahead"
    return {**rest, "distance": f"{abs(x)!r} m", "side": side, "aside": f"{y!r} m"}


class Anchor(AnchorFields):
    """One thing that can hold: a tree, a helper's vehicle, pickets …; see also :class:`AnchorFields`.

    Attributes
    ----------
    name : str
    kind : str
    distance : float
        From the stuck vehicle's point, along the pull [m].
    side : str
        ``ahead`` of the stuck vehicle, its front's side, or ``behind`` it.
    aside : float
        How far it stands beside the line of the pull [m], above 0 to the left of the way ahead. With ``at: [x, y]``, x
        ahead and y to the left [m], all three are given at once.
    limit : float or None
        What it may be loaded with [N], only with its source; None is unknown.
    source : str
        Who or what says so.
    mass : float or None
        Of a vehicle that serves as anchor [kg].
    surface : str or None
        Ground it stands on, for a vehicle.
    points, spacing
        Recovery points of a vehicle that serves as anchor, and the distance between the first two [m].
    """

    name: Name
    kind: AnchorKind = "other"
    distance: Annotated[Length, Field(ge=0)]
    side: Literal["ahead", "behind"] = "ahead"
    aside: Length = 0.0
    mass: Annotated[Mass, Positive] | None = None
    surface: Grip | None = None
    points: tuple[Point, ...] = ()
    spacing: Annotated[Length, Positive] | None = None

    @model_validator(mode="before")
    @classmethod
    def _at_is_distance(cls, value: Any, info: ValidationInfo) -> Any:
        if isinstance(value, Mapping) and "at" in value and "distance" not in value:
            if isinstance(value["at"], list | tuple):
                return _from_place(value, info.context)
            return {("distance" if key == "at" else key): item for key, item in value.items()}
        return value

    @property
    def along(self) -> float:
        """Return the place along the way ahead [m], below 0 behind the vehicle."""
        return self.distance if self.side == "ahead" else -self.distance

    @model_validator(mode="after")
    def _is_somewhere(self) -> Anchor:
        if self.distance == 0.0 and self.aside == 0.0:
            raise ValueError(
                f"{self.name!r} stands where the stuck vehicle does: give its distance or its aside"
            )
        return self


class Site(FileModel):
    """The anchors at hand, what else is there, whether the gear gets wet, and within what [m] the places are known."""

    anchors: tuple[Anchor, ...]
    hazards: tuple[SiteHazard, ...] = ()
    wet: bool = False
    within: Annotated[Length, Field(ge=0)] = 0.5

    @model_validator(mode="after")
    def _names(self) -> Site:
        names = [anchor.name for anchor in self.anchors]
        if not names:
            raise ValueError("expected at least one anchor: a tree, a vehicle, pickets …")
        for name in names:
            if names.count(name) > 1:
                raise ValueError(f"anchor {name!r} is given twice: every anchor needs its own name")
            if any(name == f"{a} + {b}" for a in names for b in names):
                raise ValueError(
                    f"anchor {name!r}: a bridle between the two is called so; give it another name"
                )
        return self


class WinchPlace(FileModel):
    """Which winch of the kit, what it stands on (the stuck vehicle or the name of an anchor), and at which end of it."""

    id: Annotated[str, Field(min_length=1)]
    on: str | None = None
    end: End = "front"


class Want(FileModel):
    """What is wanted: travel of the stuck vehicle, the least gap kept between blocks [m], and the way out of it.

    ``way`` is ``ahead``, ``back`` or ``either``; a way back is pulled by what stands behind the vehicle. ``people`` is how
    many there are to do it, the driver included; None gives the brief for two and for five. ``leave_out`` names pieces of
    the kit that are not to be used here.
    """

    travel: Annotated[Length, Field(ge=0.01)] = 5.0
    least_gap: Annotated[Length, Positive] = 2.0
    way: Way = "ahead"
    people: Annotated[int, Field(ge=1)] | None = None
    leave_out: tuple[str, ...] = ()
