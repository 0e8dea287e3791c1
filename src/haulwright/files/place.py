"""The stuck vehicle, the ground, the anchors and the wish, as a pull file holds them."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, Field, model_validator

from haulwright.field.published import depth_words, grip_words, surface_words
from haulwright.files.faults import nearest
from haulwright.files.kit import Marked, Positive
from haulwright.files.yamlfile import FileModel, Force, Length, Mass, Slope

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


def _word(known: Callable[[], Iterable[str]]) -> AfterValidator:
    """Return the validator that accepts the words of the catalogue only."""

    def check(value: str) -> str:
        words = list(known())
        if value not in words:
            raise ValueError(nearest(value, words))
        return value

    return AfterValidator(check)


def _plain_name(value: str) -> str:
    """Refuse a name that the one-line notation of a rig could not hold."""
    if not value.strip() or any(sign in value for sign in "!~@.>;|,"):
        raise ValueError(
            "expected a name without ! ~ @ . > ; | or commas: it stands in the one-line notation of rigs"
        )
    return value.strip()


Name = Annotated[str, AfterValidator(_plain_name)]
Depth = Annotated[str, _word(lambda: ("none", *depth_words()))]
Surface = Annotated[str, _word(surface_words)]
Grip = Annotated[str, _word(grip_words)]


class Point(Marked):
    """A recovery point of a vehicle: its place in words and its marked rating."""

    name: Annotated[str, Field(min_length=1)] = "recovery point"


class Vehicle(FileModel):
    """The stuck vehicle.

    Attributes
    ----------
    name : str
    mass, load : float
        Mass as it stands and what is in or behind it on top of that [kg].
    wheels : str
        ``rolling``, ``half locked`` or ``all locked``.
    sunk : str
        How deep: ``none``, or a depth in the words of the published rules (``rim``, ``wheel``, ``fender`` …).
    drive_helps, opposite_direction : bool
        It drives with the pull; it is pulled out the way it came in.
    points : tuple of Point
        Recovery points at the end that is pulled.
    spacing : float or None
        Between the first two points [m]; needed for a bridle.
    hazards : tuple of str
        What makes it a job for a professional.
    """

    name: Name = "vehicle"
    mass: Annotated[Mass, Positive]
    load: Annotated[Mass, Field(ge=0)] = 0.0
    wheels: Literal["rolling", "half locked", "all locked"] = "rolling"
    sunk: Depth = "none"
    drive_helps: bool = False
    opposite_direction: bool = False
    points: tuple[Point, ...] = ()
    spacing: Annotated[Length, Positive] | None = None
    hazards: tuple[VehicleHazard, ...] = ()


class Ground(FileModel):
    """The ground along the pull: surface, slope [rad] and whether the pull goes ``up`` or ``down`` it."""

    surface: Surface
    slope: Annotated[Slope, Field(ge=0)] = 0.0
    direction: Literal["up", "down", "level"] = "level"


class Anchor(FileModel):
    """One thing that can hold: a tree, a helper's vehicle, pickets …

    Attributes
    ----------
    name : str
    kind : str
    distance : float
        From the stuck vehicle's point, along the pull [m].
    side : str
        ``ahead`` of the stuck vehicle, where it should go, or ``behind`` it.
    aside : float
        How far it stands beside the line of the pull [m].
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
    distance: Annotated[Length, Positive]
    side: Literal["ahead", "behind"] = "ahead"
    aside: Annotated[Length, Field(ge=0)] = 0.0
    limit: Annotated[Force, Positive] | None = None
    source: str = ""
    mass: Annotated[Mass, Positive] | None = None
    surface: Grip | None = None
    points: tuple[Point, ...] = ()
    spacing: Annotated[Length, Positive] | None = None

    @model_validator(mode="before")
    @classmethod
    def _at_is_distance(cls, value: Any) -> Any:
        if isinstance(value, Mapping) and "at" in value and "distance" not in value:
            return {("distance" if key == "at" else key): item for key, item in value.items()}
        return value

    @model_validator(mode="after")
    def _limit_has_source(self) -> Anchor:
        if self.limit is not None and not self.source:
            raise ValueError(f"the limit of {self.name!r} needs its source: who or what says it holds that")
        return self


class Site(FileModel):
    """The anchors at hand and what else is there."""

    anchors: tuple[Anchor, ...]
    hazards: tuple[SiteHazard, ...] = ()

    @model_validator(mode="after")
    def _names(self) -> Site:
        names = [anchor.name for anchor in self.anchors]
        if not names:
            raise ValueError("expected at least one anchor: a tree, a vehicle, pickets …")
        for name in names:
            if names.count(name) > 1:
                raise ValueError(f"anchor {name!r} is given twice: every anchor needs its own name")
        return self


class WinchPlace(FileModel):
    """Which winch of the kit, and what it stands on: the stuck vehicle or the name of an anchor."""

    id: Annotated[str, Field(min_length=1)]
    on: str | None = None


class Want(FileModel):
    """What is wanted: travel of the stuck vehicle, and the least gap kept between it and the anchor's blocks [m]."""

    travel: Annotated[Length, Field(ge=0.01)] = 5.0
    least_gap: Annotated[Length, Positive] = 2.0
