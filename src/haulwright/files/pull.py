"""The pull file: the stuck vehicle, the ground, the anchors, which winch and which kit.

A pull may name its kit and its devices file (paths from the folder of the pull file) or hold them as mappings, so
that a caller needs no files at all.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from pydantic import field_validator, model_validator

from haulwright.catalogue import Row
from haulwright.errors import FileRefusal
from haulwright.files.faults import nearest
from haulwright.files.friction import read_friction
from haulwright.files.kit import Kit, Winch, read_kit
from haulwright.files.place import Ground, Site, Vehicle, Want, WinchPlace
from haulwright.files.yamlfile import FileModel, load_yaml, validate_mapping


class PullFile(FileModel):
    """A pull as written; see :class:`Pull` for the one with kit and friction read in."""

    pull: str = "pull"
    invented: bool = False
    vehicle: Vehicle
    ground: Ground
    site: Site
    winch: WinchPlace
    kit: str | dict[str, Any]
    friction: str | dict[str, Any] | None = None
    want: Want = Want()
    rule: str | None = None
    rig: str | None = None

    @field_validator("winch", mode="before")
    @classmethod
    def _winch_by_name(cls, value: Any) -> Any:
        return {"id": value} if isinstance(value, str) else value

    @model_validator(mode="after")
    def _names(self) -> PullFile:
        anchors = [anchor.name for anchor in self.site.anchors]
        if self.vehicle.name in anchors:
            raise ValueError(
                f"{self.vehicle.name!r} is both the stuck vehicle and an anchor: give them two names"
            )
        places = [self.vehicle.name, *anchors]
        if self.winch.on is not None and self.winch.on not in places:
            raise ValueError(f"the winch stands on {self.winch.on!r}: {nearest(self.winch.on, places)}")
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
    winch_on : str
        Name of the stuck vehicle or of the anchor the winch stands on.
    kit : Kit
    friction : mapping device -> Row
        Measured frictions; empty when none are given.
    rule : str or None
        The resistance rule to use; None takes the one that asks the most.
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

    @property
    def own_winch(self) -> bool:
        """Return whether the winch stands on the stuck vehicle."""
        return self.winch_on == self.vehicle.name

    @property
    def total_mass_kg(self) -> float:
        """Mass of the stuck vehicle with what is in it [kg]."""
        return self.vehicle.mass + self.vehicle.load


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
    gear = read_kit(kit if kit is not None else _from(folder, written.kit, "kit"))
    rows = friction if friction is not None else _from(folder, written.friction, "friction")
    return Pull(
        name=written.pull,
        invented=written.invented or gear.invented,
        vehicle=written.vehicle,
        ground=written.ground,
        site=written.site,
        want=written.want,
        winch=gear.winch(written.winch.id),
        winch_on=written.vehicle.name if written.winch.on is None else written.winch.on,
        kit=gear,
        friction=read_friction(rows) if rows is not None else {},
        rule=written.rule,
        rig=written.rig if rig is None else rig,
    )


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
