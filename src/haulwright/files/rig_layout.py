"""A rig drawn in line laid out on the ground: every body gets a place in metres, free blocks a place to start from."""

from __future__ import annotations

import math
from collections.abc import Mapping
from itertools import pairwise
from typing import Any, Final

from haulwright.errors import RigRefusal
from haulwright.files.rig import read_rig
from haulwright.files.rig_write import mapping_of
from haulwright.mechanics.rig import ANCHOR, FLOATING, LOAD, Rig
from haulwright.mechanics.tackles import find

STATION_M: Final = 8.0  # from one body to the next along the pull
ASIDE_M: Final = 1.5  # of what stands beside another body, or behind the load past which its line must run
NAMES: Final[Mapping[str, str]] = {"X": "tree", "O": "truck", "X2": "post", "beyond": "post"}
HELPER: Final = "helper"  # what carries a winch and is not the load


def laid_out(given: str | Mapping[str, Any]) -> dict[str, Any]:
    """Return a rig as a mapping in ground mode, every body at a place.

    Parameters
    ----------
    given : str or mapping
        A named rig, one-line notation, or what a rig file holds. In a named rig the bodies and blocks get names a
        trainer would give: tree, truck, helper with the winch; B1, B2 from the drum.

    Returns
    -------
    dict
        Bodies stand along x in their order, the foremost anchor at 0, 8 m apart; what stands beside another body or
        behind the load is 1.5 m aside, so that no line runs through a vehicle. A line that holds a free block and goes to
        no drum gets the length it has there. A mapping that has places is returned as it is.

    Raises
    ------
    RigRefusal
        ``LAID_OUT`` for a mapping whose blocks state their wraps, which its places would contradict; else as
        :func:`haulwright.files.rig.read_rig`.

    Notes
    -----
    Parts of one pair of bodies stay parallel, so a rig whose bodies stand in one row keeps its advantage exactly. A body
    that stands aside pulls at a small angle: the advantage then differs by up to about 1 − cos of it, and a contact
    turned through less than half a turn loses less.

    Examples
    --------
    >>> laid = laid_out("two-part")
    >>> laid["mode"], laid["anchors"], laid["load"]["at"], laid["blocks"]
    ('ground', {'tree': {'at': ['0 m', '0 m']}}, ['8 m', '0 m'], {'B1': {'on': 'tree'}})
    """
    rig = read_rig(given)
    mapping = dict(given) if isinstance(given, Mapping) else named_mapping(given, rig)
    if rig.placed:
        return mapping
    stated = [name for name, block in rig.blocks.items() if block.turn_rad is not None]
    if stated:
        raise RigRefusal(
            "LAID_OUT",
            f"{', '.join(stated)}: the wrap is stated, and places would say something else. Leave wrap: out, or give at: "
            "for every body yourself.",
            tuple(stated),
        )
    places = _places(rig)
    lengths = _lengths(rig, places)
    return _with_places(
        mapping,
        rig,
        places if isinstance(given, Mapping) or find(given) is None else _renamed(places, rig),
        lengths,
    )


def named_mapping(given: str, rig: Rig) -> dict[str, Any]:
    """Return the mapping of a rig in words; that of a named rig has names a trainer would give.

    Parameters
    ----------
    given : str
        A named rig or one-line notation.
    rig : Rig
        The rig of it.
    """
    mapping = mapping_of(rig)
    if find(given) is None:
        return mapping
    bodies, blocks = _body_names(rig), _block_names(rig)

    def point(label: str) -> str:
        name, dot, eye = label.partition(".")
        return (blocks.get(name, name) if dot else bodies.get(name, name)) + dot + eye

    lines = {}
    for name, line in mapping["lines"].items():
        ends = {key: point(line[key]) for key in ("standing", "to") if key in line}
        through = {"through": [blocks[one] for one in line["through"]]} if "through" in line else {}
        lines[name] = {"standing": ends.pop("standing"), **through, **ends}
        lines[name] |= {"fall": line["fall"]} if "fall" in line else {}
    return mapping | {
        "rig": given.partition("/")[0].strip(),
        "order": [bodies[name] for name in mapping["order"]],
        "anchors": {bodies[name]: one for name, one in mapping["anchors"].items()},
        "load": {key: bodies[name] for key, name in mapping["load"].items()},
        "blocks": {
            blocks[name]: {"on": bodies[one["on"]]} if "on" in one else one
            for name, one in mapping["blocks"].items()
        },
        "lines": lines,
        "winch": {"on": bodies[mapping["winch"]["on"]]},
    }


def _body_names(rig: Rig) -> dict[str, str]:
    drums = {line.points[-1].body for line in rig.lines.values() if line.drum} - {rig.load.name}
    return {name: HELPER if name in drums else NAMES.get(name, name) for name in rig.bodies}


def _block_names(rig: Rig) -> dict[str, str]:
    """Free blocks keep their name; the others are numbered in the order the lines meet them from the drum."""
    met = dict.fromkeys(rig.contacts_from_drum)
    fixed = [name for name in met if rig.bodies[rig.blocks[name].body].role != FLOATING]
    return {name: name for name in met} | {name: f"B{i}" for i, name in enumerate(fixed, start=1)}


def _renamed(places: Mapping[str, tuple[float, float]], rig: Rig) -> dict[str, tuple[float, float]]:
    names = _body_names(rig)
    return {names[name]: at for name, at in places.items()}


def _places(rig: Rig) -> dict[str, tuple[float, float]]:
    """Bodies along x in their order; what would lie on another one, or behind the load, aside."""
    load_at = rig.load.at[0]
    places: dict[str, tuple[float, float]] = {}
    taken: dict[float, int] = {}
    for name, body in sorted(rig.bodies.items(), key=lambda item: item[1].role != LOAD):
        station = body.at[0]
        there = taken.get(station, 0) + (body.role == ANCHOR and station > load_at)
        taken[station] = taken.get(station, 0) + 1
        places[name] = (station * STATION_M, (1 if there % 2 else -1) * ((there + 1) // 2) * ASIDE_M)
    return {name: places[name] for name in rig.bodies}


def _lengths(rig: Rig, places: Mapping[str, tuple[float, float]]) -> dict[str, float]:
    """The length along its path of every line that goes to no drum, where blocks are free [m]."""
    if not rig.floating:
        return {}
    return {
        name: sum(math.dist(places[a.body], places[b.body]) for a, b in pairwise(line.points))
        for name, line in rig.lines.items()
        if not line.drum
    }


def _with_places(
    mapping: Mapping[str, Any],
    rig: Rig,
    places: Mapping[str, tuple[float, float]],
    lengths_m: Mapping[str, float],
) -> dict[str, Any]:
    """The mapping in ground mode with its places; what only belongs to a rig in line is gone."""
    at = {name: [f"{x:g} m", f"{y:g} m"] for name, (x, y) in places.items()}
    found = {key: value for key, value in mapping.items() if key != "order"}
    found["anchors"] = {
        name: {key: value for key, value in (one or {}).items() if key != "beside"} | {"at": at[name]}
        for name, one in mapping["anchors"].items()
    }
    found["load"] = dict(mapping["load"]) | {"at": at[mapping["load"]["name"]]}
    found["blocks"] = {
        name: dict(one) | ({"near": at[name]} if one.get("floating") else {})
        for name, one in mapping.get("blocks", {}).items()
    }
    found["lines"] = {
        name: dict(line) | ({"length": f"{lengths_m[name]:.2f} m"} if name in lengths_m else {})
        for name, line in mapping["lines"].items()
    }
    return {"rig": found.pop("rig", rig.name), "mode": "ground", **found}
