"""Rigs with blocks that find their place, for the tests: worked ones, and random ones of which some cannot work."""

import copy
import math
import random

CORNER = {
    "rig": "floating corner",
    "mode": "ground",
    "units": {"force": "kN", "length": "m"},
    "sheaves": {"law": "by-wrap", "k": 1.08},
    "anchors": {"oak": {"at": [0, 0]}, "helper": {"at": [3, 11]}},
    "load": {"name": "truck", "at": [16, -2], "direction": [-1, 0], "resistance": 20},
    "blocks": {"corner": {"strap": {"to": "oak", "length": 2.0}, "near": [1.5, 1.2]}},
    "lines": {"winch line": {"standing": "truck", "through": ["corner"], "fall": "winch"}},
    "winch": {"on": "helper"},
}
TWO_LEGS = {
    **CORNER,
    "rig": "two-leg bridle",
    "anchors": {"left": {"at": [0, -2]}, "right": {"at": [0, 3]}, "helper": {"at": [17, -4]}},
    "load": {"name": "truck", "at": [20, 1], "direction": [-1, 0], "resistance": 20},
    "blocks": {"link": {"strap": [{"to": "left", "length": 4.0}, {"to": "right", "length": 4.5}]}},
    "lines": {"winch line": {"standing": "truck", "through": ["link"], "fall": "winch"}},
}
RUNNING = {
    **TWO_LEGS,
    "rig": "running bridle",
    "blocks": {"link": {"floating": True, "near": [3, 0.5]}},
    "lines": {
        "winch line": {"standing": "truck", "through": ["link"], "fall": "winch"},
        "bridle": {"standing": "left", "through": ["link"], "to": "right", "length": 8.5},
    },
}
STACKED = {
    **CORNER,
    "rig": "two lines, a moving block between",
    "blocks": {"M": {"floating": True, "near": [6, 2]}, "R": {"on": "truck"}},
    "lines": {
        "long rope": {"standing": "oak", "through": ["R"], "to": "M", "length": 26},
        "winch line": {"standing": "oak", "through": ["M"], "fall": "winch"},
    },
}


def vee(alpha_deg, length_m=3.0):
    """Two legs from the stuck vehicle to a link, each at ``alpha_deg`` to the pull."""
    half = length_m * math.sin(math.radians(alpha_deg))
    return {
        **CORNER,
        "rig": "bridle on the stuck vehicle",
        "anchors": {"helper": {"at": [-20, 0]}},
        "load": {
            "name": "truck",
            "at": [0, 0],
            "direction": [-1, 0],
            "resistance": 10,
            "eyes": {"left": [0, -half], "right": [0, half]},
        },
        "blocks": {
            "link": {
                "strap": [{"to": "truck.left", "length": length_m}, {"to": "truck.right", "length": length_m}]
            }
        },
        "lines": {"winch line": {"standing": "link", "fall": "winch"}},
    }


def changed(base, **changes):
    """Return a copy of a rig with some of its keys replaced."""
    return {**copy.deepcopy(base), **copy.deepcopy(changes)}


def random_ground_rig(rng: random.Random):
    """Return one random rig: one or two free blocks on straps or a running bridle, any law, in a plane or in space."""
    space = rng.random() < 0.3

    def at(x0, x1, y0, y1):
        flat = [round(rng.uniform(x0, x1), 3), round(rng.uniform(y0, y1), 3)]
        return [*flat, round(rng.uniform(-1, 2), 3)] if space else flat

    anchors = {"oak": {"at": at(-1, 1, -1, 1)}, "elm": {"at": at(-1, 1, 3, 6)}}
    anchors["helper"] = {"at": at(-5, 20, -12, 12)}
    lines = {"winch line": {"standing": "truck", "through": ["A"], "fall": "winch"}}
    kind = rng.choice(["strap", "legs", "running", "two"])
    if kind in ("strap", "two"):
        blocks = {"A": {"strap": {"to": "oak", "length": rng.uniform(0.5, 3)}}}
    elif kind == "legs":
        blocks = {"A": {"strap": [{"to": a, "length": rng.uniform(2.5, 6)} for a in ("oak", "elm")]}}
    else:
        blocks = {"A": {"floating": True, "near": at(2, 4, 1, 3)}}
        lines["bridle"] = {"standing": "oak", "through": ["A"], "to": "elm", "length": rng.uniform(7, 12)}
    if kind == "two":
        blocks["B"] = {"strap": {"to": "elm", "length": rng.uniform(0.5, 3)}}
        lines["winch line"]["through"] = ["A", "B"]
    law = rng.choice(
        [
            {"law": "by-wrap", "k": rng.uniform(1.0, 1.4)},
            {"law": "per-contact", "k": rng.uniform(1.0, 1.4)},
            {"law": "capstan", "mu": rng.uniform(0.0, 0.2)},
            {"law": "bearing", "f": rng.uniform(0.0, 0.1), "c": rng.uniform(0.0, 0.03)},
        ]
    )
    load = {
        "name": "truck",
        "at": at(8, 20, -4, 8),
        "direction": [-1, *at(-0.2, 0.2, -0.1, 0.1)[: 1 + space]],
    }
    return {
        **CORNER,
        "rig": kind,
        "anchors": anchors,
        "load": {**load, "resistance": 20},
        "blocks": blocks,
        "lines": lines,
        "sheaves": law,
    }
