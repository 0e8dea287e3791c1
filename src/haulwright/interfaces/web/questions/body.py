"""What every question is made of: quantities as text with their unit, no key unread, nothing unprintable."""

from __future__ import annotations

import difflib
from collections.abc import Mapping
from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict, Field, model_validator
from pydantic_core import PydanticCustomError

from haulwright.errors import UNPRINTABLE

MOST_VALUES = 100_000

Words = Annotated[str, Field(min_length=1, max_length=4000)]
Name = Annotated[str, Field(min_length=1, max_length=200)]
Quantity = Annotated[
    str, Field(min_length=1, max_length=80, description="A number with its unit, such as 30 kN.")
]
Mapped = Annotated[dict[str, Any], Field(min_length=1)]
Rig = Annotated[
    Words | Mapped,
    Field(
        description="A named rig, a path in one-line notation, or what a rig file holds as a mapping; no path of a file.",
        examples=["two-part"],
    ),
]
K = Annotated[float, Field(ge=1.0, le=100.0)]
RatioText = Annotated[str, Field(min_length=1, max_length=40)]
Ratio = Annotated[
    K | RatioText | dict[str, K | RatioText],
    Field(
        description="Tension ratio k of every block, or by block; 1.10 ± 0.02 carries its interval.",
        examples=[1.1],
    ),
]

Seized = Annotated[
    list[Name] | dict[str, float | None],
    Field(description="Blocks whose sheave does not turn; or block -> its friction coefficient."),
]
Laws = Annotated[
    dict[str, Mapped],
    Field(description="Friction laws as a rig file writes them, by block; * stands for every block."),
]


class Body(BaseModel):
    """Base of every question: values are what they say they are, and no key passes unread."""

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True, allow_inf_nan=False)

    @model_validator(mode="before")
    @classmethod
    def _known_and_printable(cls, value: Any) -> Any:
        if isinstance(value, Mapping):
            for key in value:
                if key not in cls.model_fields:
                    near = difflib.get_close_matches(str(key), cls.model_fields, n=1)
                    hint = f"did you mean {near[0]}?" if near else f"known are {', '.join(cls.model_fields)}."
                    raise PydanticCustomError("unknown_key", "{said}", {"said": f"unknown key {key}: {hint}"})
            _check_printable(value)
        return value

    def given(self) -> dict[str, Any]:
        """Return what was given, as plain JSON types."""
        return self.model_dump(mode="json", exclude_unset=True)


def _check_printable(value: Any) -> None:
    """Refuse control characters and halves of characters, and more values than anyone writes."""
    level, counted = [value], 0
    while level:
        one = level.pop()
        counted += 1
        if counted > MOST_VALUES:
            raise ValueError(f"over {MOST_VALUES} values: upload readings as a log")
        if isinstance(one, str) and UNPRINTABLE.search(one):
            raise ValueError(f"{one[:40]!r} holds a control character: type it anew")
        if isinstance(one, Mapping):
            level += [*one.keys(), *one.values()]
        elif isinstance(one, list):
            level += one
