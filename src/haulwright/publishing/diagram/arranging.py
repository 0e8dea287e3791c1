"""Lay out a rig with more and more room until every figure finds a place; at last with a key below the sheet."""

from __future__ import annotations

from collections.abc import Sequence

from haulwright.errors import RigRefusal
from haulwright.mechanics.solution import RigSolution
from haulwright.publishing.diagram.ground_plan import make_ground_plan
from haulwright.publishing.diagram.labels import Placed
from haulwright.publishing.diagram.layout import make_plan
from haulwright.publishing.diagram.obstacles import strands_cross
from haulwright.publishing.diagram.placing import place_labels
from haulwright.publishing.diagram.plan import Plan
from haulwright.publishing.diagram.said import said
from haulwright.publishing.diagram.scheme import Scheme, read_scheme, runs_along
from haulwright.publishing.diagram.sizes import Size
from haulwright.publishing.diagram.survey import Survey, read_survey

_GROUND_TRIES = (
    (1.0, "none"),
    (1.12, "none"),
    (1.25, "none"),
    (1.0, "some"),
    (1.25, "some"),
    (1.5, "some"),
    (1.0, "all"),
    (1.5, "all"),
)
_TRIES = (
    (1.0, "none"),
    (1.12, "none"),
    (1.25, "none"),
    (1.0, "some"),
    (1.12, "some"),
    (1.0, "all"),
    (1.25, "all"),
)


def arranged(
    solution: RigSolution, stalls: Sequence[RigSolution], size: Size, units: str, over: frozenset[str]
) -> tuple[Plan, list[Placed]]:
    """As the rig lies on the ground where it has places or lines that bend; otherwise its parts side by side."""
    lie, along = solution._whereabouts, runs_along(solution)
    if along and (lie is None or not lie.placed):
        return arrange(read_scheme(solution, stalls), size, units, over)
    try:
        return arrange_on_ground(
            read_survey(solution, stalls), size, units, over, said(solution, stalls, units)
        )
    except RigRefusal as refused:
        if not along or refused.code != "TOO_COMPLEX":
            raise
    return arrange(read_scheme(solution, stalls), size, units, over)  # what is too crowded in its places


def arrange_on_ground(
    survey: Survey, size: Size, units: str, over: frozenset[str], words: tuple[str, ...] = ()
) -> tuple[Plan, list[Placed]]:
    """Lay out as on the ground, with more and more free ground until every figure finds a place; at last with a key."""
    refused = _no_place(size)
    for roomy, keyed in _GROUND_TRIES:
        try:
            plan = make_ground_plan(survey, size, roomy=roomy, words=words)
        except RigRefusal as too_close:
            refused = too_close
            continue
        placed = place_labels(plan, units, over, keyed=keyed)
        if placed is not None:
            return plan, placed
    raise refused


def _no_place(size: Size) -> RigRefusal:
    return RigRefusal(
        "TOO_COMPLEX",
        f"The figures of this rig find no free place on a drawing {size.width:g} px wide. "
        "Draw it in the laptop size, or read the table of forces.",
    )


def arrange(scheme: Scheme, size: Size, units: str, over: frozenset[str]) -> tuple[Plan, list[Placed]]:
    """Lay out with more and more room until every figure finds a place; at last with a key below the sheet."""
    refused = _no_place(size)
    for roomy, keyed in _TRIES:
        try:
            plan = make_plan(scheme, size, roomy=roomy, keyed=keyed == "all")
        except RigRefusal as too_wide:
            refused = too_wide
            continue
        placed = None if strands_cross(plan) else place_labels(plan, units, over, keyed=keyed)
        if placed is not None:
            return plan, placed
    raise refused
