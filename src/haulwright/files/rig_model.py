"""The models of the rig file: which keys there are and what may stand in them."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field

from haulwright.files.yamlfile import Angle, FileModel, Force, Length

Place = Annotated[tuple[Length, ...], Field(min_length=2, max_length=3)]
Turn = Annotated[Angle, BeforeValidator(lambda v: f"{v} deg" if isinstance(v, int | float) else v)]


class AnchorModel(FileModel):
    """An anchor: place, eyes, or the body it stands beside."""

    at: Place | None = None
    eyes: dict[str, Place] = Field(default_factory=dict)
    beside: str | None = None


class LoadModel(FileModel):
    """The load: its name, where it is, which way it should go, what resists it."""

    name: str
    at: Place | None = None
    direction: tuple[float, ...] | None = Field(default=None, min_length=2, max_length=3)
    toward: str | None = None
    resistance: Force | None = None
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
    seized: bool = False
    wrap: Turn | None = None
    between: Turn | None = None
    wll: Force | None = None
    becket: bool | None = None
    kind: str = "block"


class LineModel(FileModel):
    """One line: standing end, the blocks it goes through, and its fall (winch) or other made-fast end."""

    standing: str
    through: list[str] = Field(default_factory=list)
    fall: Literal["winch"] | None = None
    to: str | None = None
    length: Length | None = None
    rope: RopeModel | None = None


class WinchModel(FileModel):
    """Where the drum sits."""

    on: str


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
    winches: dict[str, Any] | None = None
