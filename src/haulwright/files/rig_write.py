"""A rig as a mapping of a rig file, and a mapping as the text of one."""

from __future__ import annotations

import io
from collections.abc import Mapping
from typing import Any

from ruamel.yaml import YAML

from haulwright.mechanics.rig import ANCHOR, FLOATING, Rig

_ORDER = (
    "rig",
    "mode",
    "units",
    "sheaves",
    "order",
    "anchors",
    "load",
    "blocks",
    "lines",
    "winch",
    "winches",
)


def mapping_of(rig: Rig) -> dict[str, Any]:
    """Return what a rig file says of the bodies, blocks and lines of a rig given in notation or by name.

    Parameters
    ----------
    rig : Rig
        Without straps, eyes, laws or gear of its own, as notation has none.

    Examples
    --------
    >>> from haulwright.mechanics.tackles import named_rig
    >>> mapping_of(named_rig("two-part"))["lines"]
    {'winch line': {'standing': 'O', 'through': ['X'], 'fall': 'winch'}}
    """
    drums = {line.drum: line.points[-1].body for line in rig.lines.values() if line.drum}
    blocks: dict[str, Any] = {
        name: {"floating": True} if rig.bodies[block.body].role == FLOATING else {"on": block.body}
        for name, block in rig.blocks.items()
    }
    lines: dict[str, Any] = {}
    for name, line in rig.lines.items():
        told: dict[str, Any] = {"standing": line.points[0].label}
        if line.contacts:
            told["through"] = [line.points[i].block for i in line.contacts]
        told |= {"fall": line.drum} if line.drum else {"to": line.points[-1].label}
        lines[name] = told
    found: dict[str, Any] = {
        "rig": rig.name,
        "order": sorted(rig.bodies, key=lambda name: rig.bodies[name].at[0]),
        "anchors": {name: {} for name, body in rig.bodies.items() if body.role == ANCHOR},
        "load": {"name": rig.load.name, "toward": _ahead(rig)},
        "blocks": blocks,
        "lines": lines,
    }
    winches = {name: {"on": body} for name, body in drums.items()}
    return found | ({"winches": winches} if len(drums) > 1 else {"winch": winches["winch"]})


def _ahead(rig: Rig) -> str:
    """The anchor farthest the way the load goes."""
    anchors = [body for body in rig.bodies.values() if body.role == ANCHOR]
    return max(anchors, key=lambda body: sum(a * d for a, d in zip(body.at, rig.direction, strict=True))).name


def rig_yaml(mapping: Mapping[str, Any]) -> str:
    """Return a mapping as the text of a rig file, its keys in the order people write them.

    Examples
    --------
    >>> print(rig_yaml({"load": {"name": "truck"}, "rig": "one block", "winch": {"on": "truck"}}))
    rig: one block
    load: {name: truck}
    winch: {on: truck}
    <BLANKLINE>
    """
    yaml, out = YAML(typ="safe", pure=True), io.StringIO()
    yaml.default_flow_style = None
    yaml.sort_base_mapping_type_on_output = False  # type: ignore[assignment]
    yaml.width, yaml.allow_unicode = 110, True
    known = {key: mapping[key] for key in _ORDER if key in mapping}
    yaml.dump({**known, **{key: value for key, value in mapping.items() if key not in known}}, out)
    return out.getvalue()
