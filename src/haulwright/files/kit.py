"""The kit file: every piece of gear that is owned, and the winches, with what is marked on them.

What is not marked stays unknown: a rating without a basis (WLL or MBS) is as good as none.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Annotated, Any

from pydantic import Field, model_validator

from haulwright.errors import FileRefusal
from haulwright.files.faults import nearest
from haulwright.files.item import ELASTIC as ELASTIC
from haulwright.files.item import HOLDING as HOLDING
from haulwright.files.item import JOINING as JOINING
from haulwright.files.item import ROPES as ROPES
from haulwright.files.item import SLINGING as SLINGING
from haulwright.files.item import TEXTILE as TEXTILE
from haulwright.files.item import TURNING as TURNING
from haulwright.files.item import Item as Item
from haulwright.files.item import Marked as Marked
from haulwright.files.item import Positive as Positive
from haulwright.files.winch import BatterySize as BatterySize
from haulwright.files.winch import DrumSize as DrumSize
from haulwright.files.winch import Duty as Duty
from haulwright.files.winch import MakerRow as MakerRow
from haulwright.files.winch import Winch as Winch
from haulwright.files.yamlfile import FileModel, read_yaml, validate_mapping


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
        if winch.rope is None:
            return
        if isinstance(winch.rope, Item):
            if winch.rope.kind != "rope":
                raise ValueError(
                    f"winch {winch.id!r} has a {winch.rope.kind} for its rope: expected kind: rope; nothing elastic goes on a drum"
                )
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
