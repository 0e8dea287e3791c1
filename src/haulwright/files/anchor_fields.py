"""What an anchor may tell of itself, by its kind: a tree's signs, a vehicle's brakes, a row of pickets, a buried log."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from haulwright.files.item import Marked, Positive
from haulwright.files.yamlfile import FileModel, Length, Slope

TreeSign = Literal[
    "dead",
    "rotten",
    "hollow",
    "split",
    "stump",
    "leaning",
    "shallow roots",
    "loose or wet ground",
    "roots lifting",
    "thin",
]
NO_ANCHOR: tuple[str, ...] = ("dead", "rotten", "hollow", "split", "stump", "roots lifting")
"""Signs with which a tree is no anchor, whatever limit was entered for it."""


class Deadman(FileModel):
    """A buried log or timber, for the published table of holding power.

    Attributes
    ----------
    face, length, depth, trench : float
        Height of its face, length, depth of its middle, width of the trench the line lies in [m].
    line_slope : float
        Slope of the line from it to the ground [rad].
    soil : str
        ``loam``, ``hardpan`` or ``fine wet``.
    shape : str
        ``log`` or ``timber``.
    """

    face: Annotated[Length, Positive]
    length: Annotated[Length, Positive]
    depth: Annotated[Length, Positive]
    trench: Annotated[Length, Positive]
    line_slope: Annotated[Slope, Positive]
    soil: Literal["loam", "hardpan", "fine wet"] = "loam"
    shape: Literal["log", "timber"] = "log"


class AnchorFields(Marked):
    """What only some kinds of anchor have.

    Attributes
    ----------
    diameter : float or None
        Of a tree or post where the strap goes round it [m].
    signs : tuple of str
        What was seen on a tree, for the worse.
    brakes : str
        Of a vehicle: ``all wheels`` held, ``parking brake`` only, or ``off``.
    chocks : bool
        Its wheels are chocked.
    back_tie : str
        What it is tied back to; empty for nothing.
    slope : float or None
        Under it [rad], where it is another than the ground's of the pull.
    pattern : str
        Of pickets, from the line: ``single``, ``1-1``, ``1-1-1``, ``2-1``, ``3-2-1``.
    soil : str
        Round pickets; a published figure is there for undisturbed loam only.
    deadman : Deadman or None
    item : str
        Id of the kit's ground anchor or pickets that is used here.
    """

    diameter: Annotated[Length, Positive] | None = None
    signs: tuple[TreeSign, ...] = ()
    brakes: Literal["all wheels", "parking brake", "off"] = "all wheels"
    chocks: bool = False
    back_tie: str = ""
    slope: Annotated[Slope, Field(ge=0)] | None = None
    pattern: Literal["single", "1-1", "1-1-1", "2-1", "3-2-1"] | None = None
    soil: str = ""
    deadman: Deadman | None = None
    item: str = ""

    @model_validator(mode="after")
    def _fields_fit_the_kind(self) -> AnchorFields:
        kind, name = str(getattr(self, "kind", "other")), str(getattr(self, "name", "anchor"))
        if kind == "tree" and self.rating is not None:
            raise ValueError(f"{name!r} is a tree: it has no rating. Enter your own limit with its source")
        for key, kinds in _ONLY.items():
            if key in self.model_fields_set and kind not in kinds:
                raise ValueError(
                    f"{key} is for {' or '.join(kinds)}; {name!r} is of kind {kind}: leave it out"
                )
        return self


_ONLY: dict[str, tuple[str, ...]] = {
    "signs": ("tree",),
    "brakes": ("vehicle",),
    "chocks": ("vehicle",),
    "back_tie": ("vehicle",),
    "slope": ("vehicle",),
    "pattern": ("pickets",),
    "soil": ("pickets",),
    "deadman": ("deadman",),
    "item": ("ground anchor", "pickets"),
}
