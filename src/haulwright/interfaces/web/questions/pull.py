"""Questions about a stuck vehicle, a kit and a pull."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import ConfigDict, Field

from haulwright.interfaces.web.questions.body import Body, Mapped, Name, Quantity, Words

PULL_EXAMPLE: dict[str, Any] = {
    "pull": "Wagon by the oak (invented)",
    "invented": True,
    "vehicle": {"name": "wagon", "mass": "2.6 t", "load": "480 kg", "sunk": "rim",
                "points": [{"name": "front point", "rating": "80 kN", "basis": "WLL"}]},
    "ground": {"surface": "gravel", "slope": "4 deg", "direction": "up"},
    "site": {"anchors": [{"name": "oak", "kind": "tree", "distance": "10 m", "limit": "95 kN",
                          "source": "proof pull of the ground's keeper"}]},
    "winch": {"id": "W-1", "on": "wagon"},
    "kit": {"kit": "invented", "items": [
        {"id": "R-1", "kind": "rope", "rating": "90 kN", "basis": "MBS", "diameter": "11 mm", "length": "30 m"},
        {"id": "B-1", "kind": "block", "rating": "80 kN", "basis": "WLL"},
        {"id": "S-1", "kind": "shackle", "rating": "60 kN", "basis": "WLL"},
        {"id": "S-2", "kind": "shackle", "rating": "60 kN", "basis": "WLL"},
        {"id": "T-1", "kind": "strap", "rating": "70 kN", "basis": "WLL", "length": "3 m"}],
        "winches": [{"id": "W-1", "line_pull": "40 kN", "rope": "R-1"}]},
    "want": {"travel": "3 m"},
}  # fmt: skip


Pull = Annotated[
    Mapped,
    Field(
        description="What a pull file holds, with its kit inside; no path of a file.", examples=[PULL_EXAMPLE]
    ),
]


class Stuck(Body):
    """A stuck vehicle on its ground."""

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [
                {
                    "pull": {
                        "vehicle": {"mass": "2.6 t", "load": "480 kg", "sunk": "wheel"},
                        "ground": {"surface": "bog"},
                    }
                }
            ]
        }
    )
    pull: Pull
    rule: Name | None = Field(None, description="The rule to go by.")
    own: Literal["book"] | Mapped | list[Mapped] | None = Field(
        None,
        description="What was seen on own pulls, as such a file holds it; `book`: on all pulls of the book.",
    )


class KitAsked(Body):
    """A kit to check."""

    model_config = ConfigDict(
        json_schema_extra={"examples": [{"kit": PULL_EXAMPLE["kit"], "day": "2025-06-02"}]}
    )
    kit: Mapped
    pull: Pull | Annotated[list[Pull], Field(min_length=1, max_length=40)] | None = Field(
        None, description="A pull, or several, whose chosen rigs join the uses."
    )
    day: Annotated[str, Field(pattern=r"^[0-9]{4}-[0-9]{2}-[0-9]{2}$")] | None = None


class Plan(Body):
    """A pull to plan."""

    model_config = ConfigDict(json_schema_extra={"examples": [{"pull": PULL_EXAMPLE}]})
    pull: Pull
    friction: Mapped | None = Field(None, description="Friction of devices, in place of the pull's.")
    rig: Words | None = Field(
        None, description="Check this one rig: its name, or a path in one-line notation."
    )


class Steps(Plan):
    """A pull to walk along its travel."""

    steps: Annotated[int, Field(ge=1, le=2000)] = 200


class Sheet(Plan):
    """A pull to plan and to draw."""

    rig: Words | None = Field(
        None, description="The rig to choose: one of the plan by its name, or one rig to check."
    )
    steps: Annotated[int, Field(ge=1, le=400)] = 60


class LightTension(Plan):
    """Two readings under light tension."""

    model_config = ConfigDict(
        json_schema_extra={"examples": [{"pull": PULL_EXAMPLE, "line": "2.1 kN", "anchor": "3.9 ± 0.1 kN"}]}
    )
    line: Quantity
    anchor: Quantity
    at: Name | None = None
    moving: bool = False
    zero: Quantity | None = None
