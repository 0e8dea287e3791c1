"""Questions about a book: what a document says now, a decision, an inspection, what was seen on a pull."""

from __future__ import annotations

from typing import Annotated, Literal

from fastapi import Path as InPath
from fastapi import Query
from pydantic import ConfigDict, Field

from haulwright.interfaces.web.questions.body import Body, Mapped, Name, Quantity, Words
from haulwright.interfaces.web.questions.pull import PULL_EXAMPLE, Pull

Kind = Literal["campaign", "kit", "pull", "rig", "devices"]
InKind = Annotated[Kind, InPath()]
Version = Annotated[int, Field(ge=1, le=1_000_000)]
PhotoPath = Annotated[
    str | None,
    Query(
        max_length=400,
        description="Path of the photograph that is meant, whichever its number is by now; gone already is done.",
    ),
]
InVersion = Annotated[Version | None, Query(description="An earlier version; the present one unless given.")]
FilePath = Annotated[
    str, Query(min_length=1, max_length=400, description="From the folder of the document, as logs/a.csv.")
]
Day = Annotated[str, Field(pattern=r"^[0-9]{4}-[0-9]{2}-[0-9]{2}$")]
Who = Annotated[str, Field(max_length=200)]
Why = Annotated[str, Field(max_length=2000)]
ByInAddress = Annotated[str, Query(max_length=200, description="Who does it.")]
Number = Annotated[int, InPath(ge=1, le=100)]


class Put(Body):
    """What a document says now."""

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [
                {
                    "content": {"kit": "invented", "items": [{"id": "S-1", "kind": "shackle"}]},
                    "by": "A. Sample",
                }
            ]
        }
    )
    content: Mapped = Field(description="As its file would hold it: a kit, a pull, a rig, or campaign.yaml.")
    by: Who = ""
    why: Why = ""
    version: Version | None = Field(
        None, description="The one that was read and changed; null keeps a new one."
    )


class Brought(Body):
    """Who brings files into the book, and under which name."""

    by: Who = ""
    name: Name | None = Field(None, description="In place of the one it has; of one document alone.")


class Decide(Body):
    """One decision about a run, or one taken back."""

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [
                {
                    "run": "two-a1",
                    "what": "stretch",
                    "start": "95 s",
                    "end": "160 s",
                    "by": "A. Sample",
                    "why": "a root",
                }
            ]
        }
    )
    run: Name
    what: Literal["stretch", "offset", "zero", "exclusion"]
    start: Quantity | None = Field(
        None, description="Of a stretch, on the line cell's clock from its first stamp."
    )
    end: Quantity | None = None
    channel: Name | None = Field(None, description="Of an offset or a zero: line, anchor or another place.")
    offset: Quantity | None = None
    zero: Quantity | None = None
    also: bool = Field(False, description="Of a stretch: beside those the run has, not in their place.")
    withdraw: bool = Field(False, description="Take back what was decided of this kind about the run.")
    by: Annotated[str, Field(min_length=1, max_length=200)]
    why: Annotated[str, Field(min_length=1, max_length=2000)]
    version: Version | None = Field(None, description="The one that was read; the present one unless given.")


class Runs(Body):
    """Rows for a run sheet: of a run it has, the cells given are changed; any other is added."""

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [
                {"rows": [{"run": "two-a9", "rig": "two-part", "devices": "puck-A", "line_log": "a9.csv"}]}
            ]
        }
    )
    rows: Annotated[
        list[Annotated[dict[Name, Annotated[str, Field(max_length=2000)]], Field(min_length=1)]],
        Field(min_length=1, max_length=400),
    ]
    by: Who = ""
    why: Why = ""
    version: Version | None = None


class Quarantine(Body):
    """A piece put out of every plan, or released."""

    model_config = ConfigDict(
        json_schema_extra={"examples": [{"on": True, "by": "A. Sample", "why": "the body is bent"}]}
    )
    on: bool
    by: Who = ""
    why: Why = ""


class Inspected(Body):
    """An inspection of a piece."""

    model_config = ConfigDict(
        json_schema_extra={"examples": [{"day": "2026-02-07", "by": "A. Sample", "next": "2027-02-07"}]}
    )
    day: Day
    by: Annotated[str, Field(min_length=1, max_length=200)]
    next: Day | None = Field(
        None, description="When it is to be looked at again; none is known unless given."
    )
    note: Why = ""
    condition: Literal["good", "worn", "damaged", "unknown"] | None = None


class Seen(Body):
    """What the cells read on a pull."""

    model_config = ConfigDict(
        json_schema_extra={"examples": [{"pull": PULL_EXAMPLE, "line": "8.4 ± 0.2 kN", "by": "A. Sample"}]}
    )
    pull: Name | Pull = Field(
        description="Name of a pull of the book, with which it is kept; or what a pull file holds, and nothing is kept."
    )
    line: Quantity
    anchor: Quantity | None = None
    breakout: Quantity | None = Field(None, description="Reading of the line that started it.")
    rig: Words | None = Field(
        None, description="The rig that was used; that which the plan chooses unless given."
    )
    moved: bool = True
    by: Who = ""
    note: Why = ""
    version: Version | None = None
