"""The kit file: every piece of gear that is owned, and the winches, with what is marked on them.

What is not marked stays unknown: a rating without a basis (WLL or MBS) is as good as none.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import Field, model_validator

from haulwright.errors import FileRefusal
from haulwright.files.faults import nearest
from haulwright.files.yamlfile import FileModel, Force, Length, Speed, read_yaml, validate_mapping

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
    "recovery point",
    "load cell",
    "damper",
    "snatch strap",
    "kinetic rope",
]
Basis = Literal["WLL", "MBS", "unknown"]
SlingUse = Literal["straight", "choke", "basket", "basket-45", "basket-60"]
Condition = Literal["good", "worn", "damaged", "unknown"]
Positive = Field(gt=0)

TURNING = ("block", "ring")
JOINING = ("shackle", "soft shackle")
SLINGING = ("strap", "sling")
ELASTIC = ("snatch strap", "kinetic rope")


class Marked(FileModel):
    """What is marked on a piece: its rating, the basis of it and, for MBS, the factor it is divided by.

    Attributes
    ----------
    rating : float or None
        Marked force [N]; None when there is no mark.
    basis : str
        ``WLL``, ``MBS`` or ``unknown``.
    factor : float or None
        Design factor an MBS is divided by; None when not told.
    source : str
        Where the mark was read: tag, plate, certificate, test.
    """

    rating: Annotated[Force, Positive] | None = None
    basis: Basis = "unknown"
    factor: Annotated[float, Field(gt=1)] | None = None
    source: str = ""

    @model_validator(mode="after")
    def _basis_needs_rating(self) -> Marked:
        if self.basis != "unknown" and self.rating is None:
            raise ValueError(f"basis {self.basis} without a rating: give the marked force, or leave both out")
        return self


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
        Thickness of a rope or pin, diameter of a block's sheave or a ring, length [m].
    age : str
        As written: year of purchase, last inspection.
    condition : str
        good, worn, damaged or unknown.
    device : str
        Its name in a devices file, or the id of a row of the catalogue, for its friction.
    becket : bool
        A block with an eye for a line's end.
    material : str
        Of a rope; ``steel`` or ``wire`` makes it wire rope (least wraps, strength where it is bent).
    use : str
        How a strap or sling goes round its anchor; its rating is that for a straight pull.
    quarantined : bool
        Never planned with.
    """

    id: Annotated[str, Field(min_length=1)]
    kind: ItemKind
    name: str = ""
    diameter: Annotated[Length, Positive] | None = None
    sheave: Annotated[Length, Positive] | None = None
    length: Annotated[Length, Positive] | None = None
    age: str = ""
    condition: Condition = "unknown"
    device: str = ""
    becket: bool = False
    material: str = ""
    use: SlingUse = "straight"
    quarantined: bool = False
    note: str = ""

    @model_validator(mode="after")
    def _use_is_for_slings(self) -> Item:
        if self.use != "straight" and self.kind not in SLINGING:
            raise ValueError(
                f"use: {self.use} is for a strap or sling, {self.id!r} is a {self.kind}: leave it out"
            )
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
    def usable(self) -> bool:
        """Return whether the piece may be planned with: neither in quarantine nor damaged."""
        return not self.quarantined and self.condition != "damaged"


class DrumSize(FileModel):
    """Barrel diameter and width between the flanges of a drum [m]."""

    barrel: Annotated[Length, Positive]
    width: Annotated[Length, Positive]


class MakerRow(FileModel):
    """One row of a maker's table on the first layer: line pull [N], line speed [m/s], current [A]."""

    line_pull: Annotated[Force, Field(ge=0)]
    speed: Annotated[Speed, Field(ge=0)]
    current_A: Annotated[float, Field(ge=0)]


class BatterySize(FileModel):
    """The battery that feeds the winch: voltage [V] and capacity [Ah]."""

    voltage_V: Annotated[float, Positive] = 12.0
    capacity_Ah: Annotated[float, Positive] | None = None


class Winch(FileModel):
    """One winch with its drum, rope and maker's table.

    Attributes
    ----------
    line_pull : float
        Rated line pull on the first layer [N].
    stall_factor : float
        Line pull at stall over rated pull, 1 or more; 1.0 unless told.
    drum, rope
        Size of the drum, the rope on it (id of a kit item, or a piece of its own).
    lay : str or None
        ``stacked`` or ``nested``; None: either, gear is judged at the harder line pull, the winch at the weaker.
    least_wraps : int or None
        Wraps that stay on the drum; None takes the strictest published figure for the rope.
    mount : Marked
        Marked rating of what holds the winch.
    table : tuple of MakerRow
        Maker's table on the first layer.
    """

    id: Annotated[str, Field(min_length=1)]
    name: str = ""
    line_pull: Annotated[Force, Positive]
    stall_factor: Annotated[float, Field(ge=1)] = 1.0
    drum: DrumSize | None = None
    rope: str | Item | None = None
    lay: Literal["stacked", "nested"] | None = None
    least_wraps: Annotated[int, Field(ge=1)] | None = None
    mount: Marked = Marked()
    table: tuple[MakerRow, ...] = ()
    battery: BatterySize | None = None

    @property
    def label(self) -> str:
        """Return the words for the screen."""
        return self.name or self.id


class Kit(FileModel):
    """All gear and winches.

    Attributes
    ----------
    kit : str
        Name of the kit.
    invented : bool
        True for examples that describe nothing real.
    mbs_factor : float or None
        Factor an MBS is divided by when the piece gives none; None takes the catalogue's house number, with a warning.
    items, winches
        The pieces and the winches.
    """

    kit: str = "kit"
    invented: bool = False
    mbs_factor: Annotated[float, Field(gt=1)] | None = None
    items: tuple[Item, ...] = ()
    winches: tuple[Winch, ...] = ()

    @model_validator(mode="after")
    def _names(self) -> Kit:
        for what, names in (
            ("item", [item.id for item in self.items]),
            ("winch", [winch.id for winch in self.winches]),
        ):
            for name in names:
                if names.count(name) > 1:
                    raise ValueError(f"{what} id {name!r} is given twice: every piece needs its own id")
        for winch in self.winches:
            self._check_rope(winch)
        return self

    def _check_rope(self, winch: Winch) -> None:
        if not isinstance(winch.rope, str):
            return
        ropes = [item.id for item in self.items if item.kind == "rope"]
        if winch.rope not in ropes:
            raise ValueError(f"winch {winch.id!r} has rope {winch.rope!r}: {nearest(winch.rope, ropes)}")

    def winch(self, name: str) -> Winch:
        """Return the winch with this id.

        Raises
        ------
        FileRefusal
            UNKNOWN_WINCH, with the nearest spelling.
        """
        for winch in self.winches:
            if winch.id == name:
                return winch
        ids = [winch.id for winch in self.winches]
        hint = nearest(name, ids) if ids else "the kit lists no winch."
        raise FileRefusal(
            "UNKNOWN_WINCH", f"winch {name!r} is not in the kit {self.kit!r}: {hint}", ("winch", name)
        )

    def rope_of(self, winch: Winch) -> Item | None:
        """Return the rope on the drum of ``winch``; None when not told."""
        if isinstance(winch.rope, str):
            return next(item for item in self.items if item.id == winch.rope)
        return winch.rope


def read_kit(source: str | Path | Mapping[str, Any] | Kit) -> Kit:
    """Read a kit from a file or a mapping.

    Parameters
    ----------
    source : path, mapping or Kit
        The kit file, the same as a mapping, or a kit that was read before.

    Returns
    -------
    Kit

    Raises
    ------
    FileRefusal
        An unknown key, a wrong value, an id given twice, a rope that is not there; with line and nearest spelling.

    Examples
    --------
    >>> kit = read_kit({"items": [{"id": "S-1", "kind": "shackle", "rating": "4.75 t", "basis": "WLL"}]})
    >>> round(kit.items[0].rating)
    46582
    """
    if isinstance(source, Kit):
        return source
    if isinstance(source, Mapping):
        return validate_mapping(source, Kit, "kit")
    return read_yaml(source, Kit)
