"""The pull file: the stuck vehicle, the ground, the anchors, which winch and which kit.

A pull may name its kit and its devices file (paths from the folder of the pull file) or hold them as mappings, so
that a caller needs no files at all.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Any

from pydantic import Field, field_validator, model_validator

from haulwright.catalogue import Row
from haulwright.errors import FileRefusal
from haulwright.field.own_pulls import SeenPull
from haulwright.files.faults import nearest
from haulwright.files.friction import read_friction
from haulwright.files.kit import HOLDING, Kit, Winch, read_kit
from haulwright.files.place import Ground, Site, Vehicle, Want, WinchPlace
from haulwright.files.seen import read_seen
from haulwright.files.yamlfile import FileModel, load_yaml, validate_mapping


class PullFile(FileModel):
    """A pull as written; see :class:`Pull` for the one with kit and friction read in."""

    pull: str = "pull"
    invented: bool = False
    vehicle: Vehicle
    ground: Ground
    site: Site
    winch: Annotated[tuple[WinchPlace, ...], Field(min_length=1)]
    kit: str | dict[str, Any]
    friction: str | dict[str, Any] | None = None
    want: Want = Want()
    rule: str | None = None
    own: str | dict[str, Any] | list[dict[str, Any]] | None = None
    rig: str | None = None
    date: dt.date | None = None

    @field_validator("winch", mode="before")
    @classmethod
    def _winch_by_name(cls, value: Any) -> Any:
        given = value if isinstance(value, list | tuple) else [value]
        return [{"id": one} if isinstance(one, str) else one for one in given]

    @model_validator(mode="after")
    def _names(self) -> PullFile:
        anchors = [anchor.name for anchor in self.site.anchors]
        if self.vehicle.name in anchors:
            raise ValueError(
                f"{self.vehicle.name!r} is both the stuck vehicle and an anchor: give them two names"
            )
        places = [self.vehicle.name, *anchors]
        for winch in self.winch:
            if winch.on is not None and winch.on not in places:
                raise ValueError(f"the winch stands on {winch.on!r}: {nearest(winch.on, places)}")
            if [one.id for one in self.winch].count(winch.id) > 1:
                raise ValueError(f"winch {winch.id!r} is given twice: it stands in one place")
        return self


@dataclass(frozen=True)
class Pull:
    """A pull with everything it refers to read in.

    Attributes
    ----------
    name : str
    invented : bool
    vehicle, ground, site, want
        As in the file.
    winch : Winch
        The first of the winches there are.
    winch_on : str
        Name of the stuck vehicle or of the anchor it stands on.
    date : date or None
        Day of the pull.
    stands : tuple of WinchPlace
        Every winch that may be used, what it stands on and at which end of it.
    kit : Kit
    friction : mapping device -> Row
        Measured frictions; empty when none are given.
    rule : str or None
        The resistance rule to use; None takes the one that asks the most.
    own : tuple of SeenPull
        Own past pulls, for the rule ``own pulls``.
    rig : str or None
        The one rig to check: a name or a path in one-line notation.
    """

    name: str
    invented: bool
    vehicle: Vehicle
    ground: Ground
    site: Site
    want: Want
    winch: Winch
    winch_on: str
    kit: Kit
    friction: Mapping[str, Row]
    rule: str | None = None
    rig: str | None = None
    stands: tuple[WinchPlace, ...] = ()
    date: dt.date | None = None
    own: tuple[SeenPull, ...] = ()

    @property
    def day(self) -> dt.date:
        """Return the day of the pull, today where none is given: what an inspection's due date is held against."""
        return self.date or dt.date.today()

    @property
    def own_winch(self) -> bool:
        """Return whether the winch stands on the stuck vehicle."""
        return self.winch_on == self.vehicle.name

    @property
    def total_mass_kg(self) -> float:
        """Mass of the stuck vehicle with what is in it [kg]."""
        return self.vehicle.mass + self.vehicle.load + self.vehicle.people


def read_pull(
    source: str | Path | Mapping[str, Any] | Pull,
    *,
    kit: str | Path | Mapping[str, Any] | Kit | None = None,
    friction: str | Path | Mapping[str, Any] | None = None,
    rig: str | None = None,
) -> Pull:
    """Read a pull from a file or a mapping, with its kit and its frictions.

    Parameters
    ----------
    source : path, mapping or Pull
        The pull file, the same as a mapping, or a pull that was read before.
    kit, friction, rig : optional
        Used in place of what the pull names.

    Returns
    -------
    Pull

    Raises
    ------
    FileRefusal
        A file that is missing, an unknown key, a wrong value, a winch that is not in the kit; with line and nearest
        spelling.
    """
    if isinstance(source, Pull):
        return source
    if isinstance(source, Mapping):
        folder, doc, what = Path(), source, "pull"
    else:
        path = Path(source)
        folder, doc, what = path.parent, load_yaml(path), path.name
    written = validate_mapping(doc, PullFile, what)
    whole = read_kit(kit if kit is not None else _from(folder, written.kit, "kit"))
    gear = _without(whole, written.want.leave_out)
    _check_anchor_items(written, gear)
    stands = tuple(
        one.model_copy(update={"on": one.on or written.vehicle.name, "id": gear.winch(one.id).id})
        for one in written.winch
    )
    rows = friction if friction is not None else _from(folder, written.friction, "friction")
    return Pull(
        name=written.pull,
        invented=written.invented or gear.invented,
        vehicle=written.vehicle,
        ground=written.ground,
        site=written.site,
        want=written.want,
        winch=gear.winch(stands[0].id),
        winch_on=stands[0].on or written.vehicle.name,
        kit=gear,
        friction=read_friction(rows) if rows is not None else {},
        rule=written.rule,
        own=_own(folder, written.own),
        rig=written.rig if rig is None else rig,
        stands=stands,
        date=written.date,
    )


def _without(gear: Kit, left_out: tuple[str, ...]) -> Kit:
    """Return the kit without what is not to be used here; a rope on a drum cannot be left lying."""
    for name in left_out:
        if name not in {item.id for item in gear.items}:
            hint = nearest(name, [item.id for item in gear.items])
            raise FileRefusal("UNKNOWN_ITEM", f"leave_out names {name!r}: {hint}", ("want", "leave_out"))
        wound = [winch.id for winch in gear.winches if winch.rope == name]
        if wound:
            raise FileRefusal(
                "VALUE",
                f"leave_out: {name} is on the drum of {wound[0]}: take another winch, or change its rope in the kit.",
                ("want", "leave_out"),
            )
    kept = tuple(item for item in gear.items if item.id not in left_out)
    return gear.model_copy(update={"items": kept}) if left_out else gear


def _check_anchor_items(written: PullFile, gear: Kit) -> None:
    """Refuse an anchor that names a piece the kit does not have as an anchor."""
    known = [item.id for item in gear.items if item.kind in HOLDING]
    for anchor in written.site.anchors:
        if anchor.item and anchor.item not in known:
            hint = nearest(anchor.item, known) if known else "the kit has no ground anchor or pickets."
            raise FileRefusal(
                "UNKNOWN_ITEM",
                f"anchor {anchor.name!r} uses item {anchor.item!r}: {hint}",
                ("site", anchor.name),
            )


def _own(folder: Path, given: str | dict[str, Any] | list[dict[str, Any]] | None) -> tuple[SeenPull, ...]:
    """Return own past pulls: a file or folder within that of the pull file, or the same as mappings."""
    if given is None:
        return ()
    return read_seen(folder / given if isinstance(given, str) else given)


def _from(folder: Path, value: str | dict[str, Any] | None, key: str) -> Any:
    """Return a path within the folder of the pull file, or the mapping as it is."""
    if not isinstance(value, str):
        return value
    path = folder / value
    if not path.is_file():
        raise FileRefusal(
            "NO_FILE", f"{key}: {value} is not there (looked in {folder or '.'}). Give its path from the pull file's folder.",
            (key, value),
        )  # fmt: skip
    return path
