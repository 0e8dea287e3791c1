"""Questions about the traces of a run."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import ConfigDict, Field

from haulwright.interfaces.web.questions.body import Body, Name, Quantity
from haulwright.interfaces.web.questions.trial import Cell, LogFormat

Seconds = Annotated[float, Field(ge=-1e7, le=1e7, description="On the line's clock [s].")]
Points = Annotated[int, Field(ge=100, le=20_000, description="Most points of each trace.")]


class Try(Body):
    """Other steady stretches of a run, to see what they would give; nothing is kept."""

    model_config = ConfigDict(json_schema_extra={"examples": [{"steady": ["95:160"]}]})
    steady: Annotated[list[Name], Field(min_length=1, max_length=50)]


class Traces(LogFormat):
    """The traces of kept logs within a span of time."""

    cells: dict[str, Cell] | None = Field(None, description="By place, line or anchor.")
    run: Annotated[str, Field(max_length=200)] = ""
    clock_offset: dict[str, Quantity] | None = Field(None, description="By channel, as 1.2 s.")
    zeros: dict[str, Quantity] | None = Field(None, description="By place, as 2 kgf.")
    by: Annotated[str, Field(max_length=200)] = Field("", description="Who chose by hand.")
    why: Annotated[str, Field(max_length=2000)] = ""
    from_s: Seconds | None = None
    to_s: Seconds | None = None
    points: Points = 3000
    logged: bool = Field(False, description="Whether the traces as logged are wanted too.")

    def given(self) -> dict[str, Any]:
        """Return what was given, as plain JSON types; cells under the keys of a file."""
        found = super().given()
        if self.cells is not None:
            found["cells"] = {place: cell.given() for place, cell in self.cells.items()}
        return found
