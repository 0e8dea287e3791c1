"""What is to be drawn of a rig without numbers: of one that cannot be solved, and of what no line leads to."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from haulwright.mechanics.outline import RigOutline
from haulwright.publishing.diagram.geometry import XY
from haulwright.publishing.diagram.scheme import (
    DrawnBlock,
    DrawnBody,
    DrawnLine,
    DrawnPart,
    Scheme,
    Stop,
    part_name,
)
from haulwright.publishing.diagram.survey import DrawnStrap, Survey

STATION = 10.0
LEAST_M = 16.0  # so much ground is shown of a rig that is being drawn
_ASIDE = 4.0


def survey_of_outline(outline: RigOutline) -> Survey:
    """Return what is to be drawn of a rig without its numbers: every line dashed, no arrow.

    Parameters
    ----------
    outline : RigOutline
    """
    places = _places(outline)
    bodies = {
        name: DrawnBody(name, body.role, 0.0, body.winch, 0.0, None) for name, body in outline.bodies.items()
    }
    lines = [name for name in outline.lines if name not in outline.straps]
    scheme = Scheme(
        bodies,
        tuple(_line(outline, name, n, len(lines)) for n, name in enumerate(lines, start=1)),
        {name: DrawnBlock(name, body, 0.0, None) for name, body in outline.blocks.items() if body in bodies},
    )
    points: dict[tuple[str, int], XY] = {
        (name, i): (stop.at[0], stop.at[1]) if outline.placed else places[stop.body]
        for name, stops in outline.lines.items()
        for i, stop in enumerate(stops)
    }
    for name, at in places.items():  # also what no line leads to yet belongs to the extent
        points.setdefault((f"idle {name}", 0), at)
    straps = tuple(_strap(outline, name) for name in outline.straps)
    pulls: Mapping[str, tuple[XY, XY | None]] = dict.fromkeys(bodies, ((0.0, 0.0), None))
    travel = (outline.travel[0], outline.travel[1])
    return Survey(scheme, straps, places, points, pulls, travel, outline.placed, LEAST_M)


def with_idle(survey: Survey, outline: RigOutline) -> Survey:
    """Return a survey with the bodies that no line leads to, at their places."""
    if not (survey.true and outline.placed):
        return survey
    idle = {name: body for name, body in outline.bodies.items() if name not in survey.scheme.bodies}
    drawn = {name: DrawnBody(name, body.role, 0.0, False, 0.0, None) for name, body in idle.items()}
    scheme = replace(survey.scheme, bodies={**survey.scheme.bodies, **drawn})
    places = {**survey.bodies, **{name: (body.at[0], body.at[1]) for name, body in idle.items()}}
    pulls = {**survey.pulls, **dict.fromkeys(idle, ((0.0, 0.0), None))}
    points = {**survey.points, **{(f"idle {name}", 0): places[name] for name in idle}}
    return replace(survey, scheme=scheme, bodies=places, pulls=pulls, points=points)


def _places(outline: RigOutline) -> dict[str, XY]:
    """Places in metres; stations a step apart where there are none, bodies of one station beside each other."""
    places: dict[str, XY] = {}
    for name, body in outline.bodies.items():
        if outline.placed:
            places[name] = (body.at[0], body.at[1])
            continue
        beside = sum(1 for other in places.values() if other[0] == body.at[0] * STATION)
        places[name] = (body.at[0] * STATION, beside * _ASIDE)
    return places


def _stops(outline: RigOutline, name: str) -> tuple[Stop, ...]:
    stops = outline.lines[name]
    last = len(stops) - 1
    return tuple(
        Stop(
            name, i, stop.block or stop.label, stop.body, 0, stop.block is not None, i == last and name in outline.drums
        )
        for i, stop in enumerate(stops)
    )  # fmt: skip


def _line(outline: RigOutline, name: str, number: int, count: int) -> DrawnLine:
    stops, hauled = _stops(outline, name), name in outline.drums
    parts = len(stops) - 1
    named = [part_name(i, parts, hauled, number if count > 1 else 0) for i in range(parts)]
    drawn = tuple(DrawnPart(name, i, words, 0.0, None) for i, words in enumerate(named))
    return DrawnLine(name, stops, drawn, 0)


def _strap(outline: RigOutline, name: str) -> DrawnStrap:
    first, second = _stops(outline, name)
    ends = (first, second) if outline.bodies[second.body].role == "floating" else (second, first)
    return DrawnStrap(name, "strap", ends, 0.0, None)
