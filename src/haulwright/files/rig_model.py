"""The models of the rig file: which keys there are and what may stand in them."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, StrictBool, StrictFloat

from haulwright.files.yamlfile import Angle, FileModel, Force, Length, Mass, Speed

Place = Annotated[tuple[Length, ...], Field(min_length=2, max_length=3)]
Turn = Annotated[Angle, BeforeValidator(lambda v: f"{v} deg" if isinstance(v, int | float) else v)]
Above = Annotated[Length, Field(gt=0)]


class AnchorModel(FileModel):
    """An anchor: place, eyes, the body it stands beside; what it may carry and who or what vouches for that."""

    at: Place | None = None
    eyes: dict[str, Place] = Field(default_factory=dict)
    beside: str | None = None
    limit: Annotated[Force, Field(gt=0)] | None = None
    source: Annotated[str, Field(min_length=1)] | None = None


class LoadModel(FileModel):
    """The load: its name, where it is, which way it should go, what resists it; whether nothing guides it."""

    name: str
    at: Place | None = None
    direction: tuple[float, ...] | None = Field(default=None, min_length=2, max_length=3)
    toward: str | None = None
    resistance: Force | None = None
    free: bool = False
    force: Annotated[tuple[Force, ...], Field(min_length=2, max_length=3)] | None = None
    eyes: dict[str, Place] = Field(default_factory=dict)


class RopeModel(FileModel):
    """What is known of a rope: stiffness, breaking force, diameter, and how much of it there is."""

    EA: Force | None = None
    break_: Force | None = Field(default=None, alias="break")
    diameter: Length | None = None
    length: Length | None = None


class StrapModel(FileModel):
    """A strap or leg a block hangs by: the body (or eye) it is made fast to, its length, and its EA."""

    to: str
    length: Length
    EA: Force | None = None


class BlockModel(FileModel):
    """A block: bolted on a body (``on``), slung by a strap or several, or floating."""

    on: str | None = None
    floating: bool = False
    strap: (
        Annotated[list[StrapModel], BeforeValidator(lambda v: [v] if isinstance(v, dict) else v)] | None
    ) = None
    at: Place | None = None
    near: Place | None = None
    eyes: dict[str, Place] = Field(default_factory=dict)
    sheave: dict[str, Any] | None = None
    sheave_diameter: Above | None = None
    seized: StrictBool | StrictFloat = False
    device: Annotated[str, Field(min_length=1)] | None = None
    mass: Annotated[Mass, Field(gt=0)] | None = None
    material: Literal["steel", "aluminium"] | None = None
    wrap: Turn | None = None
    between: Turn | None = None
    wll: Force | None = None
    becket: bool | None = None
    kind: str = "block"


class LineModel(FileModel):
    """One line: standing end, the blocks it goes through, and its fall (to a winch) or other made-fast end."""

    standing: str
    through: list[str] = Field(default_factory=list)
    fall: str | None = None
    to: str | None = None
    length: Length | None = None
    slack: Length | None = None
    tail: Annotated[Length, Field(ge=0)] = 0.0
    rope: RopeModel | None = None


class DrumModel(FileModel):
    """A drum: the line it holds or the measures that follow from, wraps that stay on, line on it at the start."""

    capacity: Above | None = None
    barrel: Above | None = None
    width: Above | None = None
    flange: Above | None = None
    least_wraps: Annotated[float, Field(ge=0)] | None = None
    on_drum: Annotated[Length, Field(ge=0)] | None = None


class StepsModel(FileModel):
    """Radii of a stepped drum to the centre of the line: the large step takes in, the small one pays out."""

    large: Above
    small: Above


class WinchModel(FileModel):
    """Where the drum sits, and what is stated of it: line pull or speed, line pull at stall, the drum."""

    on: str
    line_pull: Force | None = None
    stall: Annotated[Force, Field(gt=0)] | None = None
    speed: Speed | None = None
    drum: DrumModel | None = None
    steps: StepsModel | None = None


class GapModel(FileModel):
    """Two blocks (or bodies) that close on each other: distance at the start and least distance."""

    from_: str = Field(alias="from")
    to: str
    start: Above | None = None
    least: Annotated[Length, Field(ge=0)] | None = None


class WantModel(FileModel):
    """What is wanted: travel of the load, and the least gap kept between blocks."""

    travel: Above | None = None
    least_gap: Annotated[Length, Field(ge=0)] | None = None


class RigModel(FileModel):
    """The whole rig file."""

    rig: str = "rig"
    mode: Literal["line", "ground"] = "line"
    sheaves: dict[str, Any] | None = None
    order: list[str] | None = None
    anchors: dict[str, AnchorModel | None] = Field(default_factory=dict)
    load: LoadModel | None = None
    blocks: dict[str, BlockModel] = Field(default_factory=dict)
    lines: dict[str, LineModel] = Field(default_factory=dict)
    winch: WinchModel | None = None
    winches: dict[str, WinchModel] | None = None
    gaps: list[GapModel] = Field(default_factory=list)
    want: WantModel = Field(default_factory=WantModel)
