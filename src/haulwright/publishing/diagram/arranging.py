"""Lay out a rig with more and more room until every figure finds a place; at last with a key below the sheet."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

from haulwright.errors import RigRefusal
from haulwright.mechanics.solution import RigSolution
from haulwright.publishing.diagram.frame import KEYED, SheetFrame
from haulwright.publishing.diagram.ground_plan import make_ground_plan
from haulwright.publishing.diagram.labels import Placed
from haulwright.publishing.diagram.layout import make_plan
from haulwright.publishing.diagram.obstacles import strands_cross
from haulwright.publishing.diagram.placing import NOWHERE, Spotted, place_labels
from haulwright.publishing.diagram.plan import Plan
from haulwright.publishing.diagram.said import said
from haulwright.publishing.diagram.scheme import Scheme, read_scheme, runs_along
from haulwright.publishing.diagram.sizes import Size
from haulwright.publishing.diagram.stations import Choice
from haulwright.publishing.diagram.survey import Survey, read_survey

Try = tuple[float, str]
_GROUND_TRIES: tuple[Try, ...] = (
    (1.0, "none"),
    (1.12, "none"),
    (1.25, "none"),
    (1.0, "some"),
    (1.25, "some"),
    (1.5, "some"),
    (1.0, "all"),
    (1.5, "all"),
)
_TRIES: tuple[Try, ...] = (
    (1.0, "none"),
    (1.12, "none"),
    (1.25, "none"),
    (1.0, "some"),
    (1.12, "some"),
    (1.0, "all"),
    (1.25, "all"),
)


@dataclass(frozen=True)
class Arranged:
    """A rig laid out with every figure in its place; ``roomy`` and ``keyed`` are what that took."""

    plan: Plan
    placed: list[Placed]
    roomy: float
    keyed: str


def arranged(
    solution: RigSolution,
    stalls: Sequence[RigSolution],
    size: Size,
    units: str,
    over: frozenset[str],
    kept: SheetFrame | None = None,
) -> Arranged:
    """As the rig lies on the ground where it has places or lines that bend; otherwise its parts side by side."""
    lie, along = solution._whereabouts, runs_along(solution)
    if along and (lie is None or not lie.placed):
        return arrange(read_scheme(solution, stalls), size, units, over, kept)
    try:
        return arrange_on_ground(
            read_survey(solution, stalls), size, units, over, said(solution, stalls, units), kept
        )
    except RigRefusal as refused:
        if not along or refused.code != "TOO_COMPLEX":
            raise
    return arrange(read_scheme(solution, stalls), size, units, over, kept)  # too crowded in its places


def arrange_on_ground(
    survey: Survey,
    size: Size,
    units: str,
    over: frozenset[str],
    words: tuple[str, ...] = (),
    kept: SheetFrame | None = None,
    *,
    bare: bool = False,
    found_before: list[Choice] | None = None,
) -> Arranged:
    """Lay out as on the ground, with more and more free ground until every figure finds a place; at last with a key.

    A ``bare`` one has names and no figures. ``found_before`` is as :func:`make_ground_plan` takes it.
    """
    if kept is not None and kept.ground:
        frame = kept
        found = _first_placed(
            lambda roomy, keyed: make_ground_plan(survey, size, words=words, kept=frame, bare=bare),
            [(kept.roomy, keyed) for keyed in KEYED[KEYED.index(kept.keyed) :]], units, over, checked=False,
            before=kept.before,
        )  # fmt: skip
        if isinstance(found, Arranged):
            return found
    found = _first_placed(
        lambda roomy, keyed: make_ground_plan(survey, size, roomy=roomy, words=words, bare=bare, found_before=found_before),
        _GROUND_TRIES, units, over, checked=False,
    )  # fmt: skip
    if isinstance(found, Arranged):
        return found
    raise found or _no_place(size)


def arrange(
    scheme: Scheme, size: Size, units: str, over: frozenset[str], kept: SheetFrame | None = None
) -> Arranged:
    """Lay out with more and more room until every figure finds a place; at last with a key below the sheet."""
    tries = list(_TRIES)
    if kept is not None and not kept.ground and (first := (kept.roomy, kept.keyed)) in tries:
        tries.insert(0, tries.pop(tries.index(first)))
    found = _first_placed(
        lambda roomy, keyed: make_plan(scheme, size, roomy=roomy, keyed=keyed == "all"),
        tries, units, over, checked=True, before=NOWHERE if kept is None or kept.ground else kept.before,
    )  # fmt: skip
    if isinstance(found, Arranged):
        return found
    raise found or _no_place(size)


def _first_placed(
    lay_out: Callable[[float, str], Plan],
    tries: Iterable[Try],
    units: str,
    over: frozenset[str],
    *,
    checked: bool,
    before: Mapping[str, Spotted] = NOWHERE,
) -> Arranged | RigRefusal | None:
    """The first try in which every figure finds a place; else why the last one could not even be laid out."""
    refused: RigRefusal | None = None
    for roomy, keyed in tries:
        try:
            plan = lay_out(roomy, keyed)
        except RigRefusal as too_close:
            refused = too_close
            continue
        crossed = checked and strands_cross(plan)
        placed = None if crossed else place_labels(plan, units, over, keyed=keyed, before=before)
        if placed is not None:
            return Arranged(plan, placed, roomy, keyed)
    return refused


def _no_place(size: Size) -> RigRefusal:
    return RigRefusal(
        "TOO_COMPLEX",
        f"The figures of this rig find no free place on a drawing {size.width:g} px wide. "
        "Draw it in the laptop size, or read the table of forces.",
    )
