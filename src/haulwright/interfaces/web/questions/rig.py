"""Questions about rigs."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict, Field

from haulwright.interfaces.web.questions.body import (
    Body,
    K,
    Laws,
    Mapped,
    Name,
    Quantity,
    Ratio,
    RatioText,
    Rig,
    Seized,
    Words,
)

MOST_DRAWS = 200_000


class Solve(Body):
    """A rig to solve."""

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [{"rig": "three-part", "ratio": 1.07, "load": "26 kN", "stall": "42 kN"}]
        }
    )
    rig: Rig
    ratio: Ratio | None = None
    load: Quantity | None = Field(None, description="Resistance of the load.")
    effort: Quantity | None = Field(None, description="Line pull at the drum instead of the load.")
    stall: Quantity | None = Field(
        None, description="Line pull of the winch at stall: its loads stand beside."
    )
    letting_back: bool = False
    seized: Seized | None = None
    laws: Laws | None = None
    devices: dict[str, Name] | None = Field(
        None, description="Device of each block: blocks of one share its error."
    )
    travel: Quantity | None = Field(None, description="Travel of the load wanted, such as 3 m.")
    monte_carlo: Annotated[int, Field(ge=1000, le=MOST_DRAWS)] | None = Field(
        None, description="Intervals from so many random draws."
    )
    seed: Annotated[int, Field(ge=0, le=2**31)] | None = Field(None, description="Of the draws.")


class Draw(Body):
    """A rig to draw."""

    model_config = ConfigDict(
        json_schema_extra={"examples": [{"rig": "two-part", "ratio": 1.1, "load": "20 kN", "stall": "42 kN"}]}
    )
    rig: Rig
    ratio: Ratio | None = None
    load: Quantity | None = None
    stall: Quantity | None = None
    seized: Seized | None = None
    laws: Laws | None = None
    devices: dict[str, Name] | None = None
    light: Name = Field("paper", description="paper, sun, night or print.")
    size: Name = Field("laptop", description="laptop, phone or card.")
    units: Name = Field("kN", description="Unit of force shown.")


class Move(Body):
    """One thing put elsewhere."""

    name: Name
    to_m: Annotated[list[float], Field(min_length=2, max_length=2, description="x and y [m].")]


class Sheet(Body):
    """A rig to show on a page."""

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [
                {"rig": "two-part", "ratio": 1.1, "load": "20 kN", "stall": "42 kN", "size": "phone"}
            ]
        }
    )
    rig: Rig
    ratio: Ratio | None = None
    load: Quantity | None = Field(None, description="Resistance of the load, in place of the rig's own.")
    stall: Quantity | None = Field(
        None, description="Line pull of the winch at stall; without it the rig's own."
    )
    seized: Seized | None = None
    laws: Laws | None = None
    move: Move | None = Field(None, description="Put this there first; the record has the mapping after it.")
    lead: Annotated[list[Name], Field(max_length=40)] | None = Field(
        None, description="Lead one more line by the points it meets, from the drum: the same."
    )
    another_winch: bool = Field(False, description="The first point of the line led carries one more winch.")
    frame: Mapped | None = Field(None, description="Of the sheet before: scale and place stay.")
    size: Name = Field("laptop", description="laptop or phone.")
    width: Annotated[float, Field(ge=320, le=1600)] | None = Field(None, description="Of the drawing [px].")
    ghost: bool = Field(False, description="The rig without friction drawn over it, dashed.")
    draw: bool = Field(True, description="False: the numbers alone, while something is dragged.")


class RigFile(Body):
    """A rig to write as a file and in one line: as it is given, or as the text of a rig file."""

    model_config = ConfigDict(json_schema_extra={"examples": [{"rig": "stacked two-parts", "lay_out": True}]})
    rig: Rig | None = None
    text: Annotated[str, Field(min_length=1, max_length=500_000)] | None = None
    lay_out: bool = Field(False, description="Lay it out on the ground where it has no places.")


class SolveQuery(BaseModel):
    """A rig to solve, asked in the address."""

    model_config = ConfigDict(extra="forbid", frozen=True)
    rig: Words = Field(description="A named rig or a path in one-line notation.", examples=["two-part"])
    ratio: RatioText | None = Field(None, description="Tension ratio k of every block.", examples=["1.1"])
    load: Quantity | None = Field(None, examples=["26 kN"])
    effort: Quantity | None = None
    stall: Quantity | None = None
    letting_back: bool = False

    def given(self) -> dict[str, Any]:
        """Return what was given, as plain JSON types."""
        return self.model_dump(mode="json", exclude_unset=True)


class DrawQuery(BaseModel):
    """A rig to draw, asked in the address."""

    model_config = ConfigDict(extra="forbid", frozen=True)
    rig: Words = Field(examples=["two-part"])
    ratio: RatioText | None = Field(None, examples=["1.1"])
    load: Quantity | None = Field(None, examples=["26 kN"])
    stall: Quantity | None = None
    light: Name = "paper"
    size: Name = "laptop"
    units: Name = "kN"

    def given(self) -> dict[str, Any]:
        """Return what was given, as plain JSON types."""
        return self.model_dump(mode="json", exclude_unset=True)


class FindQuery(BaseModel):
    """Tackles by gear and wanted advantage."""

    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False)
    advantage: Annotated[float, Field(gt=0, le=1000)] | None = None
    ratio: K = 1.0
    blocks: Annotated[int, Field(ge=0, le=1000)] | None = None
    ropes: Annotated[int, Field(ge=1, le=1000)] | None = None
    winch: Name | None = Field(None, description="on-load or off-load.")
    limit: Annotated[int, Field(ge=1, le=200)] = 10

    def given(self) -> dict[str, Any]:
        """Return what was given, as plain JSON types."""
        return self.model_dump(mode="json", exclude_unset=True)
