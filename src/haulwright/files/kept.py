"""What a book keeps of a campaign folder, a kit, a pull, a rig or a devices file: all its bytes, and the facts in it.

Facts are plain mappings, a row for each thing, by table and column of the book's schema; units are the column's ending.
They are read by the same readers as everything else: what those refuse is not kept.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from haulwright.errors import FileRefusal, Refusal
from haulwright.files.campaign import read_campaign
from haulwright.files.faults import refusal
from haulwright.files.friction import read_friction
from haulwright.files.kept_bytes import FoundFile, FoundFolder, find_files, found_file
from haulwright.files.kept_facts import (
    campaign_facts,
    friction_facts,
    kit_facts,
    named_photos,
    photo_facts,
    pull_facts,
    rig_facts,
)
from haulwright.files.kit import Kit
from haulwright.files.open_data import is_open_data, read_open_data
from haulwright.files.photos import photo_media
from haulwright.files.pull import PullFile
from haulwright.files.rig import rig_from_mapping
from haulwright.files.rig_model import RigModel
from haulwright.files.seen import ENDING, SeenFile, beside
from haulwright.files.yamlfile import load_yaml, read_yaml, validate_mapping

Facts = dict[str, list[dict[str, Any]]]
DEVICES = "results/devices.toml"  # where 'campaign fit' and 'campaign measure' write them


@dataclass(frozen=True)
class Kept:
    """One document for the book.

    Attributes
    ----------
    kind, name, stored_as : str
    files : tuple of FoundFile
    folders : tuple of str
        Empty ones.
    facts : mapping table -> rows
    marks : tuple of str
        What its next version will have in common with it.
    left_out, missing : tuple of str
        Files not kept as they can be made anew; logs that are not there yet.
    remarks : tuple of str
        What could not be read and is kept as bytes alone.
    told : (str, str, str, str) or None
        When, by whom and why this version came into the book it was written out of, and what was done.
    """

    kind: str
    name: str
    stored_as: str
    files: tuple[FoundFile, ...]
    facts: Facts
    folders: tuple[str, ...] = ()
    marks: tuple[str, ...] = ()
    left_out: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()
    remarks: tuple[str, ...] = ()
    told: tuple[str, str, str, str] | None = None


def read_kept(given: str | Path, kind: str = "", name: str = "") -> Kept:
    """Read a folder or file for the book.

    Parameters
    ----------
    given : path
        A campaign folder, its open data, a kit, a pull (or what was seen on it), a rig or a devices file.
    kind : str
        ``campaign``, ``kit``, ``pull``, ``rig`` or ``devices``, where it is known; empty to find out.
    name : str
        In place of the one it has.

    Raises
    ------
    FileRefusal
        NOT_KEPT: none of these; LINK, TOO_LARGE; CHANGING where it is written meanwhile; and what its reader refuses.
    """
    path = Path(given)
    if not kind:
        path, kind = _kind_of(path)
    reader: Callable[[Path, str], Kept] = {
        "campaign": _campaign,
        "kit": _kit,
        "pull": _pull,
        "rig": _rig,
        "devices": _devices,
    }[kind]
    return reader(path, name)


def _kind_of(path: Path) -> tuple[Path, str]:
    """Return the file that says what it is, and its kind."""
    try:
        if path.is_dir():
            if (path / "campaign.yaml").is_file():
                return path, "campaign"
            if is_open_data(path):
                return read_open_data(path).campaign, "campaign"
            raise _not_kept(path.name or str(path), "a folder without campaign.yaml")
    except (OSError, ValueError) as err:
        if isinstance(err, Refusal):
            raise
        raise refusal("NO_FILE", str(path), None, f"cannot be read ({err}).") from None
    if path.name == "campaign.yaml":
        return path.parent, "campaign"
    if path.suffix.lower() == ".toml":
        return path, "devices"
    if path.name.endswith(ENDING):
        path = _pull_of(path)
    keys = {str(key) for key in load_yaml(path)}
    if keys & {"vehicle", "ground", "site"}:
        return path, "pull"
    if "lines" in keys:
        return path, "rig"
    if keys & {"items", "winches", "kit", "mbs_factor"}:
        return path, "kit"
    raise _not_kept(path.name, "no items or winches (a kit), no vehicle or site (a pull), no lines (a rig)")


def _pull_of(seen: Path) -> Path:
    """Return the pull that a file of what was seen lies beside."""
    stem = seen.name.removesuffix(ENDING)
    for ending in (".yaml", ".yml"):
        pull = seen.with_name(stem + ending)
        if pull.is_file():
            return pull
    raise _not_kept(seen.name, f"what was seen on a pull, but the pull {stem}.yaml is not beside it")


def _not_kept(name: str, why: str) -> FileRefusal:
    text = f"{name}: {why}. A book keeps campaign folders, kits, pulls, rigs and devices files."
    return FileRefusal("NOT_KEPT", text, (name,))


def _campaign(folder: Path, name: str) -> Kept:
    found = find_files(folder)
    read = read_campaign(folder, logs_needed=False, runs_needed=False)
    paths = {one.path: one for one in found.files}
    facts = campaign_facts(read)
    used = [row["path"] for row in facts["channels"] if row["path"] is not None]
    remarks = []
    if DEVICES in paths:
        try:
            facts["friction"] = friction_facts(read_friction(folder / DEVICES), DEVICES)
        except Refusal as wrong:  # made by a program, and not what the campaign stands on
            remarks.append(f"{DEVICES} is kept, but its friction is not taken up: {wrong.message}")
    _unchanged(found, find_files(folder))
    return Kept(
        kind="campaign",
        name=name or read.spec.name,
        stored_as=folder.resolve().name,
        files=found.files,
        facts=facts,
        folders=found.empty,
        marks=tuple(dict.fromkeys(paths[path].sha256 for path in used if path in paths)),
        left_out=found.left_out,
        missing=tuple(path for path in dict.fromkeys(used) if path not in paths),
        remarks=tuple(remarks),
    )


def _unchanged(before: FoundFolder, after: FoundFolder) -> None:
    """Refuse files that were written while they were read: facts and bytes would not belong together."""
    had = {one.path: one.sha256 for one in before.files}
    now = {one.path: one.sha256 for one in after.files}
    if changed := sorted(path for path in had | now if had.get(path) != now.get(path)):
        raise FileRefusal(
            "CHANGING",
            f"{changed[0]} changed while it was read. Let the program that writes it finish, then import again.",
            tuple(changed[:5]),
        )


def _kit(path: Path, name: str) -> Kept:
    before = _single(path)
    kit = read_yaml(path, Kit)
    _unchanged(before, _single(path))
    named = list(dict.fromkeys(photo for paths in named_photos(kit).values() for photo in paths))
    photos = {photo: media for photo in named if (media := photo_media(path.parent, photo))}
    missing = [photo for photo in named if photo not in photos]
    told = f"{path.name} names photographs that are not there: {', '.join(missing[:5])}."
    return Kept(
        kind="kit",
        name=name or kit.kit,
        stored_as=path.name,
        files=(*before.files, *(found_file(path.parent, photo) for photo in photos)),
        facts=kit_facts(kit) | {"photos": photo_facts(kit, photos)},
        marks=tuple(item.id for item in kit.items),
        remarks=(told,) if missing else (),
    )


def _rig(path: Path, name: str) -> Kept:
    before = _single(path)
    doc = load_yaml(path)
    rig_from_mapping(doc, path.name)
    model = validate_mapping(doc, RigModel, path.name)
    _unchanged(before, _single(path))
    load = [] if model.load is None else [model.load.name]
    marks = (*load, *model.anchors, *model.blocks)
    own = model.rig if "rig" in doc else path.stem
    return Kept("rig", name or own, path.name, before.files, rig_facts(model), marks=marks)


def _devices(path: Path, name: str) -> Kept:
    before = _single(path)
    rows = read_friction(path)
    _unchanged(before, _single(path))
    facts: Facts = {"friction": friction_facts(rows, path.name)}
    return Kept("devices", name or path.stem, path.name, before.files, facts, marks=tuple(rows))


def _pull(path: Path, name: str) -> Kept:
    seen = beside(path)
    both = (path, *([seen] if seen.is_file() else ()))
    before = _single(*both)
    doc: Mapping[str, Any] = load_yaml(path)
    pull = validate_mapping(doc, PullFile, path.name)
    told: SeenFile | None = read_yaml(seen, SeenFile) if len(both) == 2 else None
    _unchanged(before, _single(*both))
    marks: Sequence[str] = [pull.vehicle.name, *(anchor.name for anchor in pull.site.anchors)]
    return Kept(
        "pull", name or pull.pull, path.name, before.files, pull_facts(pull, told), marks=tuple(marks)
    )


def _single(*paths: Path) -> FoundFolder:
    """Return the files of a document that is no folder."""
    return FoundFolder(tuple(found_file(path.parent, path.name) for path in paths))
