"""One thing of a rig moved on the ground, as a change of the mapping that describes it."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any, Final

from haulwright.errors import RigRefusal
from haulwright.files.rig_sketch import sketch_rig
from haulwright.mechanics.names import nearest
from haulwright.mechanics.rig import Rig

LEAST_STRAP_M: Final = 0.1


def moved(mapping: Mapping[str, Any], name: str, to_m: Sequence[float]) -> dict[str, Any]:
    """Return the mapping of a rig in which one thing stands elsewhere.

    Parameters
    ----------
    mapping : mapping
        As a rig file holds it, with places.
    name : str
        An anchor or the load: it stands there. A block on one strap: the strap gets the length that reaches there, and
        the search starts there. Another free block: the search for its place starts there.
    to_m : sequence of float
        x and y [m], kept to the centimetre; a height stays.

    Raises
    ------
    RigRefusal
        ``UNKNOWN`` name, ``INPUT`` for a rig without places, a block that has none of its own, or a place that is none;
        else as :func:`haulwright.files.rig_sketch.sketch_rig`.

    Examples
    --------
    >>> rig = {"anchors": {"oak": {"at": ["0 m", "0 m"]}}, "load": {"name": "truck", "at": ["9 m", "0 m"]}}
    >>> moved(rig, "oak", (1.234, -2.0))["anchors"]
    {'oak': {'at': ['1.23 m', '-2 m']}}
    """
    if len(to_m) != 2 or not all(math.isfinite(x) for x in to_m):
        raise RigRefusal("INPUT", f"{name} cannot be put at {list(to_m)!r}: give x and y in metres.", (name,))
    rig = sketch_rig(mapping)
    if not rig.placed:
        raise RigRefusal("INPUT", "This rig has no places: lay it out on the ground first.", (name,))
    found = dict(mapping)
    if name in (mapping.get("anchors") or {}):
        anchor = {k: v for k, v in (mapping["anchors"][name] or {}).items() if k != "beside"}
        found["anchors"] = dict(mapping["anchors"]) | {name: anchor | {"at": _at(rig, name, to_m)}}
    elif name == (mapping.get("load") or {}).get("name"):
        found["load"] = dict(mapping["load"]) | {"at": _at(rig, name, to_m)}
    elif name in (mapping.get("blocks") or {}):
        found["blocks"] = dict(mapping["blocks"]) | {name: _block(rig, mapping["blocks"][name], name, to_m)}
    else:
        raise RigRefusal(
            "UNKNOWN", f"There is no {name!r} in this rig.{nearest(name, list(rig.bodies))}", (name,)
        )
    return found


def _block(rig: Rig, block: Mapping[str, Any], name: str, to_m: Sequence[float]) -> dict[str, Any]:
    if name not in rig.bodies:
        raise RigRefusal("INPUT", f"{name} is made fast on {block.get('on')} and moves with it.", (name,))
    there = _at(rig, name, to_m)
    start = {key: value for key, value in block.items() if key not in ("at", "near")} | {"near": there}
    straps = block.get("strap")
    one = straps[0] if isinstance(straps, list) and len(straps) == 1 else straps
    if not isinstance(one, Mapping):
        return start
    line = next(line for line in rig.lines.values() if line.strap and line.points[-1].body == name)
    held = rig.place(line.points[0])
    long = max(math.dist(held, (*to_m, rig.bodies[name].at[2])), LEAST_STRAP_M)
    return start | {"strap": dict(one) | {"length": _metres(long)}}


def _at(rig: Rig, name: str, to_m: Sequence[float]) -> list[str]:
    height = rig.bodies[name].at[2]
    return [_metres(x) for x in (*to_m, *([height] if height else []))]


def _metres(value: float) -> str:
    return f"{round(value, 2) + 0.0:g} m"
