"""The facts of a campaign, a kit, a pull and a devices file as plain rows, for the book."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from haulwright.catalogue import Row
from haulwright.errors import UNPRINTABLE
from haulwright.files.campaign import CampaignFolder, CellSpec, DeviceSpec
from haulwright.files.decisions import Decisions
from haulwright.files.faults import refusal
from haulwright.files.kit import Item, Kit, Winch
from haulwright.files.pull import PullFile
from haulwright.files.rig_model import RigModel
from haulwright.files.runsheet import RunEntry
from haulwright.files.seen import SeenEntry, SeenFile

Plain = dict[str, Any]
Facts = dict[str, list[Plain]]
_ITEM = {"id", "kind", "name", "basis", "source", "condition", "note", "rating", "factor", "limit"}
_ITEM |= {"bought", "inspected", "due", "quarantined", "photos"}
_WINCH = {"id", "name", "line_pull", "stall_factor", "rope", "photos"}


def campaign_facts(read: CampaignFolder) -> Facts:
    """Return the facts of a campaign folder."""
    spec = read.spec
    return {
        "campaigns": [
            {
                "invented": spec.invented,
                "margin": spec.margin,
                "site": dict(spec.site),
                "ropes": {name: rope.model_dump(mode="json") for name, rope in spec.ropes.items()},
                "report": spec.report.model_dump(mode="json"),
            }
        ],
        "sites": [{"name": spec.site.get("place", ""), "words": dict(spec.site)}] if spec.site else [],
        "cells": [_cell(name, cell) for name, cell in spec.cells.items()],
        "devices": [_device(name, device) for name, device in spec.devices.items()],
        "runs": [_run(entry) for entry in read.runs],
        "channels": [row for entry in read.runs for row in _channels(entry, read.path)],
        "decisions": _decisions(read.decisions),
    }


def _cell(name: str, cell: CellSpec) -> Plain:
    return {
        "cell": name,
        "capacity_N": cell.capacity,
        "class_": cell.class_,
        "class_of": cell.class_of,
        "resolution_N": cell.resolution,
        "certificate": cell.certificate,
        "calibrated": cell.calibrated,
        "due": cell.due,
        "factor": cell.factor,
        "expanded": cell.expanded,
    }


def _device(name: str, device: DeviceSpec) -> Plain:
    return {
        "device": name,
        "kind": device.kind,
        "description": device.description,
        "material": device.material or "",
        "condition": device.condition,
        "supplied_by": device.supplied_by,
        "rope": device.rope,
        "diameter_m": device.diameter,
        "mass_kg": device.mass,
        "wll_N": device.wll,
    }


def _run(entry: RunEntry) -> Plain:
    noted = vars(entry.conditions) | {"tugs": entry.tugs, "at": dict(entry.at)}
    return {
        "run": entry.run,
        "line": entry.line,
        "rig": entry.rig,
        "notes": entry.notes,
        "date": entry.date,
        "repeat": entry.repeat,
        "typed": entry.typed,
        "devices": list(entry.devices),
        "conditions": {key: _json(value) for key, value in noted.items() if value not in (None, "", (), {})},
    }


def _json(value: Any) -> Any:
    return dict(value) if isinstance(value, Mapping) else list(value) if isinstance(value, tuple) else value


def _channels(entry: RunEntry, folder: Path) -> list[Plain]:
    return [
        {
            "run": entry.run,
            "place": place,
            "path": None if one.log is None else one.log.relative_to(folder).as_posix(),
            "column": one.column,
            "cell": one.cell,
            "reading_N": None if one.reading is None else one.reading.force_N,
        }
        for place, one in entry.channels.items()
    ]


def _decisions(given: Decisions) -> list[Plain]:
    told: list[tuple[str, Any, Plain]] = []
    told += [("stretch", one, {"start_s": one.start, "end_s": one.end}) for one in given.stretches]
    told += [("clock offset", one, {"channel": one.channel, "offset_s": one.offset}) for one in given.offsets]
    told += [("zero", one, {"channel": one.channel, "zero_N": one.zero}) for one in given.zeros]
    told += [("left out", one, {}) for one in given.exclusions]
    told += [(f"withdrawn: {one.what}", one, one.values) for one in given.withdrawn]
    blank: Plain = {"channel": "", "start_s": None, "end_s": None, "offset_s": None, "zero_N": None}
    return [
        {
            **blank,
            "number": n,
            "kind": kind,
            "run": one.run,
            "who": one.who,
            "why": one.why,
            "day": one.when,
            **more,
        }
        for n, (kind, one, more) in enumerate(told, 1)
    ]


def friction_facts(rows: Mapping[str, Row], path: str) -> list[Plain]:
    """Return the measured frictions of a devices file; ``path`` is where it stands in its document.

    Raises
    ------
    FileRefusal
        VALUE: a text with signs that cannot be printed, which TOML can hold.
    """
    for name, row in rows.items():
        for text in (name, row.name, row.valid, row.source.title, row.source.place):
            if UNPRINTABLE.search(text):
                raise refusal(
                    "VALUE", path, None, f"{text!r} holds a control character: type it anew.", (name,)
                )
    return [
        {
            "path": path,
            "device": name,
            "name": row.name,
            "valid": row.valid,
            "source_title": row.source.title,
            "source_place": row.source.place,
            "source_flag": row.source.flag,
            "source_year": row.source.year,
            "k": row.value,
            "u": row.u,
            "low": row.lo,
            "high": row.hi,
            "valid_low_N": None if row.valid_N is None else row.valid_N[0],
            "valid_high_N": None if row.valid_N is None else row.valid_N[1],
            "scatter": row.scatter,
        }
        for name, row in rows.items()
    ]


def kit_facts(kit: Kit) -> Facts:
    """Return the pieces and winches of a kit."""
    return {"items": [_item(item) for item in kit.items], "winches": [_winch(winch) for winch in kit.winches]}


def _item(item: Item) -> Plain:
    return {
        "item": item.id,
        "kind": item.kind,
        "name": item.name,
        "basis": item.basis,
        "source": item.source,
        "condition": item.condition,
        "note": item.note,
        "rating_N": item.rating,
        "factor": item.factor,
        "limit_N": item.limit,
        "bought": item.bought,
        "inspected": item.inspected,
        "due": item.due,
        "quarantined": item.quarantined,
        "more": item.model_dump(mode="json", exclude=_ITEM, exclude_defaults=True),
    }


def _winch(winch: Winch) -> Plain:
    rope = winch.rope if isinstance(winch.rope, str) else "" if winch.rope is None else winch.rope.id
    return {
        "winch": winch.id,
        "name": winch.name,
        "rope": rope,
        "line_pull_N": winch.line_pull,
        "stall_factor": winch.stall_factor,
        "more": winch.model_dump(mode="json", exclude=_WINCH, exclude_defaults=True),
    }


def named_photos(kit: Kit) -> dict[str, tuple[str, ...]]:
    """Return the photographs that a kit names, by the piece or winch they are of; of one id, the piece's come first."""
    found = {item.id: item.photos for item in kit.items}
    for winch in kit.winches:
        found[winch.id] = (*found.get(winch.id, ()), *winch.photos)
    return found


def photo_facts(kit: Kit, media: Mapping[str, str]) -> list[Plain]:
    """Return a row for each photograph that is kept; ``media`` is what each path holds."""
    return [
        {"item": piece, "number": n, "path": path, "media": media[path]}
        for piece, paths in named_photos(kit).items()
        for n, path in enumerate(paths, 1)
        if path in media
    ]


def rig_facts(model: RigModel) -> Facts:
    """Return what a rig is made of."""
    load = "" if model.load is None else model.load.name
    names = {"anchors": list(model.anchors), "blocks": list(model.blocks), "lines": list(model.lines)}
    return {"rigs": [{"mode": model.mode, "load": load, **names}]}


def pull_facts(pull: PullFile, seen: SeenFile | None) -> Facts:
    """Return a pull, its anchors, and what was seen on it against what the rules had said."""
    vehicle, entries = pull.vehicle, () if seen is None else seen.seen
    return {
        "pulls": [
            {
                "invented": pull.invented,
                "date": pull.date,
                "vehicle": vehicle.name,
                "sunk": vehicle.sunk,
                "surface": pull.ground.surface,
                "direction": pull.ground.direction or "",
                "kit": pull.kit if isinstance(pull.kit, str) else "",
                "friction": pull.friction if isinstance(pull.friction, str) else "",
                "rig": pull.rig or "",
                "rule": pull.rule or "",
                "mass_kg": vehicle.mass,
                "load_kg": vehicle.load,
                "slope_rad": pull.ground.slope,
                "travel_m": pull.want.travel,
            }
        ],
        "anchors": [
            {
                "anchor": anchor.name,
                "kind": anchor.kind,
                "source": anchor.source,
                "along_m": anchor.along,
                "aside_m": anchor.aside,
                "limit_N": anchor.limit,
            }
            for anchor in pull.site.anchors
        ],
        "seen": [_seen(n, entry) for n, entry in enumerate(entries, 1)],
        "predicted": [
            {
                "number": n,
                "rule": rule,
                "low_N": said.low,
                "likely_N": said.likely,
                "high_N": said.high,
                "breakout_N": said.breakout,
            }
            for n, entry in enumerate(entries, 1)
            for rule, said in entry.predicted.items()
        ],
    }


def _seen(number: int, entry: SeenEntry) -> Plain:
    return {
        "number": number,
        "at": entry.when,
        "who": entry.by,
        "note": entry.note,
        "rig": entry.rig,
        "surface": entry.surface,
        "sunk": entry.sunk,
        "line_N": entry.line,
        "anchor_N": entry.anchor,
        "advantage": entry.advantage,
        "advantage_low": entry.advantage_low,
        "advantage_high": entry.advantage_high,
        "resistance_N": entry.seen,
        "resistance_low_N": entry.seen_low,
        "resistance_high_N": entry.seen_high,
        "breakout_N": entry.breakout,
        "moved": entry.moved,
    }
