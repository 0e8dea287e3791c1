"""Questions of a campaign's day: its run sheet, what is noted, logs, runs pulled again."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import ConfigDict, Field

from haulwright.interfaces.web.questions.body import Body, Name
from haulwright.interfaces.web.questions.book import Who
from haulwright.interfaces.web.questions.trial import Design

Cell = Annotated[str, Field(max_length=2000)]


class Sheet(Design):
    """A run sheet to make, and to keep as the campaign's own."""

    model_config = ConfigDict(
        json_schema_extra={"examples": [{"rigs": ["two-part", "three-part"], "by": "A. Sample"}]}
    )
    one_log: bool = Field(False, description="One joint log a run, not one of each cell.")
    instead: bool = Field(False, description="In the place of a sheet whose runs have logs.")
    more: bool = Field(False, description="Below the runs of the sheet that is there.")
    by: Who = ""


class Note(Body):
    """What was noted of a run, by column of the run sheet."""

    model_config = ConfigDict(
        json_schema_extra={"examples": [{"run": "two-a1", "cells": {"air_C": "21"}, "by": "A. Sample"}]}
    )
    run: Name
    cells: Annotated[dict[Name, Cell], Field(min_length=1, max_length=40)] = Field(
        description="date, time, notes, weather, air_C, rope_state, layer and the like; empty clears one."
    )
    by: Who = ""


class Attach(Body):
    """Which run and which cell a log is of."""

    model_config = ConfigDict(json_schema_extra={"examples": [{"run": "two-a1", "place": "both"}]})
    run: Name
    place: Literal["line", "anchor", "both"] = Field(description="both: one log that holds both cells.")
    instead: bool = Field(False, description="In the place of a log that is there.")
    by: Who = ""


class Again(Body):
    """A run that is pulled again, and why the first is left out."""

    model_config = ConfigDict(
        json_schema_extra={"examples": [{"run": "two-a1", "by": "A. Sample", "why": "zero missing"}]}
    )
    run: Name
    by: Annotated[str, Field(min_length=1, max_length=200)]
    why: Annotated[str, Field(min_length=1, max_length=2000)]


class Use(Body):
    """Who keeps the friction a campaign found."""

    by: Who = ""
