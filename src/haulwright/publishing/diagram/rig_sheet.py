"""A rig drawn for a page: the same drawing as the file, in the page's own colours, with the place of everything on it."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, replace

from haulwright.errors import RigRefusal
from haulwright.mechanics.outline import RigOutline
from haulwright.mechanics.solution import RigSolution
from haulwright.publishing.diagram.arranging import Arranged, arrange_on_ground, arranged
from haulwright.publishing.diagram.frame import GEAR, SheetFrame
from haulwright.publishing.diagram.ghost import draw_ghost
from haulwright.publishing.diagram.notes import draw_key, draw_notes, notes_height
from haulwright.publishing.diagram.on_sheet import PlaceOnSheet, draw_refused, places_of
from haulwright.publishing.diagram.outline_survey import LEAST_M, survey_of_outline, with_idle
from haulwright.publishing.diagram.said import said
from haulwright.publishing.diagram.scheme import Scheme
from haulwright.publishing.diagram.sheet import draw_ground
from haulwright.publishing.diagram.sizes import Size, find_size
from haulwright.publishing.diagram.stations import QUARTERS, Choice
from haulwright.publishing.diagram.survey import read_survey
from haulwright.publishing.diagram.svg import sheet_head
from haulwright.publishing.diagram.unrolled import draw_unrolled
from haulwright.publishing.look import LIVE
from haulwright.publishing.wording import check_units

TAG_PX = 23.0  # a number with its halo
LEAST_WIDTH_PX, MOST_WIDTH_PX = 320.0, 1600.0


@dataclass(frozen=True)
class DrawnSheet:
    """A rig drawn: two pieces of SVG for a page, where everything lies on the first, and how it was laid out.

    Attributes
    ----------
    drawing, unrolled : str
        The plan, and its lines unrolled; the second is empty for a rig without numbers. Colours are the custom
        properties of the page; there is no style in them and nothing to fetch.
    frame : SheetFrame
    places : tuple of PlaceOnSheet
    scheme : Scheme
        The names of what is drawn.
    """

    drawing: str
    unrolled: str
    frame: SheetFrame
    places: tuple[PlaceOnSheet, ...]
    scheme: Scheme


def sized(size: str, width: float | None) -> Size:
    """Return the measures of a drawing, as wide as its page has room.

    Raises
    ------
    UsageRefusal
        ``SIZE`` for an unknown name.
    """
    measures = find_size(size)
    if width is None:
        return measures
    return replace(measures, width=min(max(width, LEAST_WIDTH_PX), MOST_WIDTH_PX))


def draw_sheet(
    solution: RigSolution,
    stalls: Sequence[RigSolution] = (),
    *,
    ideal: RigSolution | None = None,
    outline: RigOutline | None = None,
    units: str = "kN",
    size: str = "laptop",
    width: float | None = None,
    over: Collection[str] = (),
    limits_N: Mapping[str, float] | None = None,
    kept: SheetFrame | None = None,
) -> DrawnSheet:
    """Draw a solved rig for a page.

    Parameters
    ----------
    solution : RigSolution
    stalls : sequence of RigSolution
        The same at winch stall, as :func:`haulwright.publishing.diagram.rig_svg` takes it.
    ideal : RigSolution, optional
        The same without friction: drawn over it with dashed edges.
    outline : RigOutline, optional
        Everything the rig holds: bodies that no line leads to are drawn too.
    units, size : str
    width : float, optional
        Of the drawing [px].
    over, limits_N
        As :func:`haulwright.publishing.diagram.rig_svg` takes them.
    kept : SheetFrame, optional
        Of the drawing before: scale and place stay while something is dragged.

    Raises
    ------
    RigRefusal
        ``TOO_COMPLEX``, ``UPRIGHT``, ``NO_LAYOUT`` or ``OTHER_RIG``: nothing is drawn then.
    UsageRefusal
        ``UNITS`` or ``SIZE``.
    """
    measures, units = sized(size, width), check_units(units)
    stalls, kept = tuple(stalls), _same_kind(kept, size, measures)
    found, gear = _arranged(solution, stalls, outline, measures, units, frozenset(over), kept)
    frame = _frame(found, size, gear)
    ghost = "" if ideal is None else draw_ghost(found.plan, ideal, frame, LIVE)
    words = f"Plan of the rig {solution.rig}. {solution.sentence}"
    drawing, foot = _plan_svg(found, units, known=bool(stalls), words=words, above=ghost)
    unrolled, strip_foot = draw_unrolled(found.plan, solution, 2.0, units, LIVE, limits_N or {})
    strip = sheet_head(measures.width, strip_foot + 2.0, f"{solution.rig}: the line, unrolled", LIVE)
    lie = solution._whereabouts
    at_m = {} if lie is None or not lie.placed else {name: (at[0], at[1]) for name, at in lie.bodies.items()}
    if outline is not None and outline.placed:
        at_m = {name: (body.at[0], body.at[1]) for name, body in outline.bodies.items()} | at_m
    return DrawnSheet(
        drawing, strip + unrolled + "</svg>", replace(frame, height_px=foot), places_of(found.plan, at_m), found.plan.scheme
    )  # fmt: skip


def draw_outline(
    outline: RigOutline,
    *,
    size: str = "laptop",
    width: float | None = None,
    refused: Collection[str] = (),
    kept: SheetFrame | None = None,
    why: str = "it was refused",
) -> DrawnSheet:
    """Draw a rig without a number: strands dashed, names alone, a ring round what was refused.

    Parameters
    ----------
    outline : RigOutline
    size : str
    width : float, optional
    refused : collection of str
        Names of bodies, blocks or lines.
    kept : SheetFrame, optional
    why : str

    Raises
    ------
    RigRefusal
        ``TOO_COMPLEX``.
    """
    measures = sized(size, width)
    survey, kept, before = survey_of_outline(outline), _same_kind(kept, size, measures), list[Choice]()
    found, gear = _fitting(
        measures,
        kept,
        lambda geared, same: arrange_on_ground(
            survey, geared, "kN", frozenset(), kept=same, bare=True, found_before=before
        ),
    )
    frame = _frame(found, size, gear)
    words = f"Plan of the rig {outline.rig}, without numbers: {why}."
    drawing, foot = _plan_svg(
        found, "kN", known=False, words=words, above=draw_refused(found.plan, refused, LIVE)
    )
    at_m = {name: (body.at[0], body.at[1]) for name, body in outline.bodies.items()} if outline.placed else {}
    return DrawnSheet(
        drawing, "", replace(frame, height_px=foot), places_of(found.plan, at_m), found.plan.scheme
    )


def _same_kind(kept: SheetFrame | None, size: str, measures: Size) -> SheetFrame | None:
    """The frame, where it is of a drawing of the same size and width."""
    same = kept is not None and kept.size == size and abs(kept.width_px - measures.width) < 0.5
    return kept if same else None


def _arranged(
    solution: RigSolution,
    stalls: Sequence[RigSolution],
    outline: RigOutline | None,
    size: Size,
    units: str,
    over: frozenset[str],
    kept: SheetFrame | None,
) -> tuple[Arranged, float]:
    """As a file is drawn; a rig with places always on the ground, whatever stands there drawn with it."""
    lie = solution._whereabouts
    if outline is None or lie is None or not lie.placed:
        return arranged(solution, stalls, size, units, over, kept), 1.0
    survey = replace(with_idle(read_survey(solution, stalls), outline), least_m=LEAST_M)
    words, before = said(solution, stalls, units), list[Choice]()
    return _fitting(
        size,
        kept,
        lambda geared, same: arrange_on_ground(survey, geared, units, over, words, same, found_before=before),
    )


def _fitting(
    size: Size, kept: SheetFrame | None, lay_out: Callable[[Size, SheetFrame | None], Arranged]
) -> tuple[Arranged, float]:
    """Lay out with gear as large as fits; on the sheet of before with the gear of before."""
    refused: RigRefusal | None = None
    tries: list[tuple[float, SheetFrame | None]] = [] if kept is None else [(kept.gear, kept)]
    for gear, same in [*tries, *((gear, None) for gear in GEAR)]:
        try:
            return lay_out(_geared(size, gear), same), gear
        except RigRefusal as too_crowded:
            if too_crowded.code != "TOO_COMPLEX":
                raise
            refused = too_crowded
    raise refused or RigRefusal("TOO_COMPLEX", "Nothing is there to be drawn.")


def _geared(size: Size, gear: float) -> Size:
    """The measures with vehicles, blocks, trees and strands smaller; a number has room between strands, type stays."""
    return replace(
        size,
        vehicle=size.vehicle * gear,
        sheath=size.sheath * gear,
        trunk=size.trunk * gear,
        canopy=size.canopy * gear,
        between=size.between if gear == GEAR[0] else TAG_PX,
    )


def _plan_svg(found: Arranged, units: str, *, known: bool, words: str, above: str) -> tuple[str, float]:
    """The plan with its notes and key as one piece of SVG, and its height [px]."""
    plan = found.plan
    body = draw_ground(plan, found.placed, LIVE, above=above) + draw_notes(plan, units, LIVE, known=known)
    foot = plan.sheet.y1 + notes_height(plan, units, known=known)
    key, high = draw_key(plan.size, found.placed, foot, LIVE)
    foot += high + 2.0
    return sheet_head(plan.size.width, foot, words, LIVE) + body + key + "</svg>", foot


def _frame(found: Arranged, size: str, gear: float) -> SheetFrame:
    plan, laid, sheet = found.plan, found.plan.laid, found.plan.sheet
    a, b, c, d = QUARTERS[0 if laid is None else laid.quarter]
    return SheetFrame(
        size=size,
        ground=plan.ground,
        px_per_m=None if plan.ruler is None else plan.ruler.px_per_m,
        quarter=0 if laid is None else laid.quarter,
        origin_px=(0.0, 0.0) if laid is None else laid.shift,
        x_px=(a, c),
        y_px=(-b, -d),
        sheet_px=(sheet.x0, sheet.y0, sheet.x1, sheet.y1),
        width_px=plan.size.width,
        height_px=sheet.y1,
        roomy=found.roomy,
        keyed=found.keyed,
        gear=gear,
        turns=() if laid is None else laid.turns,
        orders=() if laid is None else laid.orders,
        labels=tuple((p.label.key, p.keyed, p.spot) for p in found.placed),
    )


__all__ = ["DrawnSheet", "draw_outline", "draw_sheet", "sized"]
