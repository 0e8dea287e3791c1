"""Questions that are answered with a page to print or a drawing to keep."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import ConfigDict, Field

from haulwright.interfaces.web.questions.body import Body, Name
from haulwright.interfaces.web.questions.pull import PULL_EXAMPLE, Plan

Drawing = Annotated[Literal["svg", "png"], Field(description="svg or png.")]


class Card(Plan):
    """A field card to print."""

    units: Name = "kN"
    paper: Name = Field(
        "a6",
        description="a6, a5, a4 or letter; a6x4 is four A6 cards on an A4 sheet, a6x2 two on a letter sheet.",
    )
    date: Annotated[str, Field(pattern=r"^[0-9]{4}-[0-9]{2}-[0-9]{2}$")] | None = None
    format: Literal["pdf", "svg", "png", "html"] = Field(
        "pdf",
        description="pdf to print; svg or png is the same page to look at; html is the pocket card, which reckons by itself.",
    )


class PullSheet(Plan):
    """A drawing of a planned pull."""

    model_config = ConfigDict(
        json_schema_extra={"examples": [{"pull": PULL_EXAMPLE, "sheet": "pull-steps", "format": "png"}]}
    )
    sheet: Literal["pull-plan", "pull-steps"] = Field(
        "pull-plan", description="The pull on the ground, or the pull along its travel."
    )
    format: Drawing = "svg"
    units: Name = "kN"
    light: Name = Field("print", description="print, paper, sun or night.")
    size: Name = Field("laptop", description="laptop or phone.")


class Chart(Body):
    """A chart of a campaign, asked in the address."""

    run: Name | None = Field(None, description="Trace of this run; without it the comparison.")
    format: Drawing = "svg"
    units: Name = "kN"


class Workbook(Body):
    """The workbook of a campaign, asked in the address."""

    units: Name = "kN"


class OpenData(Body):
    """The open data of a campaign, asked in the address."""

    licence: Name | None = Field(
        None,
        description="In place of the one in campaign.yaml, as CC-BY-4.0; none hands the data out without one.",
    )
