"""Bridles between two anchors: the body that both hold becomes a ring, its legs are straps to the anchors."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from haulwright.publishing.diagram.geometry import XY
from haulwright.publishing.diagram.scheme import DrawnBody, Stop
from haulwright.publishing.diagram.survey import DrawnStrap, Survey


@dataclass(frozen=True)
class BridleLeg:
    """One leg of a bridle between two anchors.

    Attributes
    ----------
    anchor : str
    at_m : (float, float)
        Where that anchor stands [m].
    likely_N, stall_N : (float, float)
        Pull of the leg on its anchor, level components [N]; nothing where it hangs slack.
    """

    anchor: str
    at_m: XY
    likely_N: XY
    stall_N: XY


def with_legs(survey: Survey, bridles: Mapping[str, Sequence[BridleLeg]]) -> Survey:
    """Return the survey with the legs of its bridles and the anchors they go to."""
    bodies, places, points = dict(survey.scheme.bodies), dict(survey.bodies), dict(survey.points)
    pulls, straps = dict(survey.pulls), list(survey.straps)
    for shared, legs in bridles.items():
        if shared not in bodies:
            continue
        bodies[shared] = replace(bodies[shared], role="floating")
        for leg in legs:
            likely, stall = math.hypot(*leg.likely_N), math.hypot(*leg.stall_N)
            line = f"leg to {leg.anchor}"
            bodies[leg.anchor] = DrawnBody(leg.anchor, "anchor", 0.0, False, likely, stall)
            places[leg.anchor], pulls[leg.anchor] = leg.at_m, (leg.likely_N, leg.stall_N)
            points[line, 0], points[line, 1] = leg.at_m, survey.bodies[shared]
            ends = (Stop(line, 0, leg.anchor, leg.anchor, 0), Stop(line, 1, shared, shared, 0))
            straps.append(DrawnStrap(line, line, ends, likely, stall))
    blocks = {
        name: replace(block, words="block on bridle") if block.body in bridles else block
        for name, block in survey.scheme.blocks.items()
    }
    scheme = replace(survey.scheme, bodies=bodies, blocks=blocks)
    return replace(survey, scheme=scheme, straps=tuple(straps), bodies=places, points=points, pulls=pulls)
