"""Questions about one run, and about a campaign."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any

from pydantic import ConfigDict, Field, model_validator
from pydantic_core import PydanticCustomError

from haulwright.interfaces.web.questions.body import Body, K, Name, Quantity, Rig, Words


class LogFormat(Body):
    """What is not to be found out about the format of a log."""

    line_column: Name | None = None
    anchor_column: Name | None = None
    time_column: Name | None = None
    unit: Name | None = Field(None, description="Unit of the forces, where the file does not tell: kgf.")
    date_order: Name | None = Field(None, description="day-first, month-first or year-first.")
    clock: Name | None = None
    separator: Name | None = None
    decimal: Name | None = None
    encoding: Name | None = None
    sheet: Name | None = None
    zone: Name | None = None


class Cell(Body):
    """A load cell: accuracy class, what it is a part of, capacity."""

    model_config = ConfigDict(populate_by_name=True)
    class_: Quantity | None = Field(None, alias="class", description="Such as 0.5 %.")
    of: Name | None = Field(None, description="reading or range.")
    capacity: Quantity | None = Field(None, description="Such as 3 t.")

    @model_validator(mode="before")
    @classmethod
    def _known_and_printable(cls, value: Any) -> Any:
        unknown = sorted(set(value) - {"class", "of", "capacity"}) if isinstance(value, Mapping) else []
        if unknown:
            said = f"unknown key {unknown[0]}: known are class, of, capacity."
            raise PydanticCustomError("unknown_key", "{said}", {"said": said})
        return value

    def given(self) -> dict[str, Any]:
        """Return what was given, as plain JSON types."""
        return self.model_dump(mode="json", exclude_unset=True, by_alias=True)


class Readings(Body):
    """The readings of one cell."""

    time_s: Annotated[list[float], Field(min_length=1)]
    force: Annotated[list[float], Field(min_length=1)]
    unit: Name = Field(examples=["kgf"])


class Measure(LogFormat):
    """A run to measure: what goes with its logs."""

    model_config = ConfigDict(json_schema_extra={"examples": [{"rig": "two-part", "devices": ["puck-A"]}]})
    rig: Rig
    devices: list[Name] = Field([], description="From the drum, one per block.")
    anchor_at: Name | None = Field(
        None, description="Place of the anchor cell, if it does not read the whole load."
    )
    cells: dict[str, Cell] | None = Field(None, description="By place, line or anchor.")
    run: Annotated[str, Field(max_length=200)] = ""
    steady: list[Name] = Field([], description="Steady stretches by hand, as 95:160.")
    clock_offset: dict[str, Quantity] | None = Field(None, description="By channel, as 1.2 s.")
    zeros: dict[str, Quantity] | None = Field(None, description="By place, as 2 kgf.")
    by: Annotated[str, Field(max_length=200)] = Field("", description="Who chose by hand.")
    why: Annotated[str, Field(max_length=2000)] = ""

    def given(self) -> dict[str, Any]:
        """Return what was given, as plain JSON types; cells under the keys of a file."""
        found = super().given()
        if self.cells is not None:
            found["cells"] = {place: cell.given() for place, cell in self.cells.items()}
        return found


class MeasureReadings(Measure):
    """A run to measure, with its readings, or two forces typed from the displays."""

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [{"rig": "two-part", "logs": {"line": "612 kgf", "anchor": "1120 ± 10 kgf"}}]
        }
    )
    logs: dict[str, Readings | Quantity] = Field(
        description="By place: readings, or the force typed from the display.", min_length=1
    )


class Predict(Body):
    """A rig that need not have been tested, from the friction a campaign found."""

    model_config = ConfigDict(json_schema_extra={"examples": [{"rig": "two-part", "devices": ["puck-A"]}]})
    rig: Rig
    devices: list[Name] = Field([], description="Of the campaign, one for each block from the drum.")
    load: Quantity | None = None


class Design(Body):
    """A run sheet to make for a campaign's devices."""

    model_config = ConfigDict(json_schema_extra={"examples": [{"rigs": ["two-part", "three-part"]}]})
    rigs: list[Words] = Field(
        min_length=1,
        max_length=40,
        description="Each device in turn on all blocks; or rig=device;device from the drum.",
    )
    devices: list[Name] = Field([], description="Of campaign.yaml; all of them if none is given.")
    repeats: Annotated[int, Field(ge=1, le=50)] = 2
    series: Annotated[int, Field(ge=0, le=50)] = 3
    seed: Annotated[int, Field(ge=0, le=2**31)] = 1
    difference: Quantity | None = Field(None, description="Difference of advantage to be shown, such as 1 %.")
    scatter: Quantity | None = Field(None, description="Standard deviation of one pull, such as 0.35 %.")
    ratios: dict[str, K] | None = Field(None, description="Tension ratio to reckon with, by device.")


class Nothing(Body):
    """A campaign alone, with nothing else to say."""


class Report(Body):
    """How a report is printed."""

    units: Name = "kN"
