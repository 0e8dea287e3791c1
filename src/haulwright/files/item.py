"""One piece of the kit: its marks, its size, its dates, and how its owner uses it."""

from __future__ import annotations

from datetime import date
from typing import Annotated, Literal

from pydantic import Field, model_validator

from haulwright.files.yamlfile import Angle, FileModel, Force, Length, Mass

ItemKind = Literal[
    "block",
    "ring",
    "shackle",
    "soft shackle",
    "strap",
    "sling",
    "rope",
    "extension line",
    "bridle",
    "ground anchor",
    "pickets",
    "recovery point",
    "load cell",
    "damper",
    "snatch strap",
    "kinetic rope",
]
Basis = Literal["WLL", "MBS", "unknown"]
SlingUse = Literal["straight", "choke", "basket", "basket-45", "basket-60"]
Condition = Literal["good", "worn", "damaged", "unknown"]
RopeEnd = Literal[
    "unknown", "spliced", "sewn", "knotted", "socket", "swaged", "sleeve", "hand splice", "wedge", "clips"
]
Positive = Field(gt=0)

TURNING = ("block", "ring")
JOINING = ("shackle", "soft shackle")
SLINGING = ("strap", "sling")
ROPES = ("rope", "extension line")
HOLDING = ("ground anchor", "pickets")
ELASTIC = ("snatch strap", "kinetic rope")
TEXTILE = ("strap", "sling", "soft shackle", "bridle", *ROPES)
_ENDED = ("bridle", *SLINGING, *ROPES, *ELASTIC)


class Marked(FileModel):
    """What is marked on a piece, or what its owner limits it to with a source.

    Attributes
    ----------
    rating : float or None
        Marked force [N]; None when there is no mark.
    basis : str
        ``WLL``, ``MBS`` or ``unknown``.
    factor : float or None
        Design factor: an MBS is divided by it, a WLL holds it already (its breaking strength is so much more).
    limit : float or None
        The owner's own limit [N], only with its source. With a mark too, the lower of the two counts.
    source : str
        Where the mark was read, or who vouches for the limit: tag, plate, certificate, test.
    """

    rating: Annotated[Force, Positive] | None = None
    basis: Basis = "unknown"
    factor: Annotated[float, Field(gt=1)] | None = None
    limit: Annotated[Force, Positive] | None = None
    source: str = ""

    @model_validator(mode="after")
    def _basis_needs_rating(self) -> Marked:
        if self.basis != "unknown" and self.rating is None:
            raise ValueError(f"basis {self.basis} without a rating: give the marked force, or leave both out")
        return self

    @model_validator(mode="after")
    def _limit_has_source(self) -> Marked:
        if self.limit is not None and not self.source.strip():
            name = getattr(self, "name", "") or getattr(self, "id", "") or "this piece"
            raise ValueError(f"the limit of {name!r} needs its source: who or what says it holds that")
        return self

    @property
    def rated(self) -> bool:
        """Return whether a mark with its basis, or an own limit with its source, is there."""
        return self.limit is not None or (self.rating is not None and self.basis != "unknown")


class Item(Marked):
    """One piece of the kit.

    Attributes
    ----------
    id : str
        Number or name on the piece; unique in the kit.
    kind : str
        What it is; a word of :data:`ItemKind`.
    name : str
        Words for the screen; the id when empty.
    diameter, sheave, length : float or None
        Thickness of a rope, or of a shackle's body; diameter of a block's sheave or a ring; length [m].
    mass : float or None
        Of a block or ring, for how warm it could get [kg].
    bought, inspected, due : date or None
        When it was bought, last looked at by a competent person, and when it must be looked at again.
    age : str
        The same in words, where no date is known.
    condition : str
        good, worn, damaged or unknown.
    device : str
        Its name in a devices file, or the id of a row of the catalogue, for its friction.
    becket : bool
        A block with an eye for a line's end.
    sheaves : int
        Of a block, side by side on one pin.
    material : str
        Of a rope, strap or soft shackle: nylon, polyester, HMPE …; ``steel`` or ``wire`` makes it wire rope.
    grade : str
        Grade marked on a shackle (``6``), or grade of a wire rope [N/mm²] (``1770``).
    construction, core : str
        Of a wire rope: ``6x36`` …, ``steel`` or ``fibre``.
    colour : str
        Of a textile sling; never taken for a mark.
    end : str
        How the ends of a rope are made.
    use : str
        How a strap or sling goes round its anchor; its rating is that for a straight pull.
    choke_angle : float or None
        Of a strap used ``choke`` [rad]: 0 folded right back, pi straight.
    wet : bool
    temperature_C : float or None
        Where it is hot or cold [°C].
    quarantined : bool
        Never planned with.
    photos : tuple of str
        Photographs of the marking: paths from the kit's folder.
    """

    id: Annotated[str, Field(min_length=1)]
    kind: ItemKind
    name: str = ""
    diameter: Annotated[Length, Positive] | None = None
    sheave: Annotated[Length, Positive] | None = None
    length: Annotated[Length, Positive] | None = None
    mass: Annotated[Mass, Positive] | None = None
    bought: date | None = None
    inspected: date | None = None
    due: date | None = None
    age: str = ""
    condition: Condition = "unknown"
    device: str = ""
    becket: bool = False
    sheaves: Annotated[int, Field(ge=1)] = 1
    material: str = ""
    grade: str = ""
    construction: str = ""
    core: Literal["steel", "fibre", ""] = ""
    colour: str = ""
    end: RopeEnd = "unknown"
    use: SlingUse = "straight"
    choke_angle: Annotated[Angle, Field(ge=0, le=3.1416)] | None = None
    wet: bool = False
    temperature_C: Annotated[float, Field(ge=-273.15)] | None = None
    quarantined: bool = False
    note: str = ""
    photos: tuple[str, ...] = ()

    @model_validator(mode="after")
    def _use_is_for_slings(self) -> Item:
        if self.use != "straight" and self.kind not in SLINGING:
            raise ValueError(
                f"use: {self.use} is for a strap or sling, {self.id!r} is a {self.kind}: leave it out"
            )
        if self.choke_angle is not None and self.use != "choke":
            raise ValueError(f"choke_angle of {self.id!r} is for use: choke; it is used {self.use}")
        return self

    @model_validator(mode="after")
    def _end_is_for_ropes(self) -> Item:
        if self.end != "unknown" and self.kind not in _ENDED:
            raise ValueError(f"end: {self.end} is for ropes and straps, {self.id!r} is a {self.kind}")
        of_wire = self.end not in ("unknown", "spliced", "sewn", "knotted")
        if of_wire and not self.wire:
            raise ValueError(
                f"end: {self.end} is an end of wire rope; {self.id!r} is not said to be (material: steel)"
            )
        return self

    @model_validator(mode="after")
    def _dates_in_order(self) -> Item:
        for early, late in (("bought", "inspected"), ("inspected", "due"), ("bought", "due")):
            first, second = getattr(self, early), getattr(self, late)
            if first is not None and second is not None and second < first:
                raise ValueError(f"{self.id!r}: {late} {second} is before {early} {first}")
        return self

    @property
    def label(self) -> str:
        """Return the words for the screen."""
        return self.name or self.id

    @property
    def wire(self) -> bool:
        """Return whether it is a wire rope."""
        return any(word in self.material.lower() for word in ("steel", "wire"))

    @property
    def textile(self) -> bool:
        """Return whether it is of fibre."""
        return self.kind in TEXTILE and not self.wire

    @property
    def usable(self) -> bool:
        """Return whether the piece may be planned with: neither in quarantine nor damaged."""
        return not self.quarantined and self.condition != "damaged"

    def overdue(self, today: date) -> bool:
        """Return whether its next inspection should have been before ``today``."""
        return self.due is not None and self.due < today
