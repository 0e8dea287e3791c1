"""The drawings of a plan that stand in a page: a sign of every rig, and of the chosen one its ground, zone and line."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from haulwright.errors import RigRefusal
from haulwright.planning.pull_result import PullSteps
from haulwright.planning.result import Plan
from haulwright.publishing.diagram.pull_sheet import PullSheet
from haulwright.publishing.diagram.pull_words import DrawnPull, caution_words, lead_words, zone_words
from haulwright.publishing.diagram.rig_glyph import rig_glyph
from haulwright.publishing.diagram.sizes import find_size
from haulwright.publishing.diagram.svg import find_light, sheet_head
from haulwright.publishing.diagram.unrolled import draw_unrolled
from haulwright.publishing.diagram.zone_map import draw_zone
from haulwright.publishing.wording import check_units, plain_glyphs
from haulwright.records import Record

SIZES = ("laptop", "phone")
GLYPH, GROUND, ZONE, LINE = "glyph", "ground", "zone", "line"
_ZONE_PX = {"laptop": 660.0, "phone": 344.0}


@dataclass(frozen=True)
class PageDrawing:
    """One drawing to stand in a page.

    Attributes
    ----------
    what : str
        ``glyph`` (a small sign of a rig), ``ground`` (the rig where the pull begins), ``zone`` (where nobody stands) or
        ``line`` (the lines, unrolled).
    rig : str
    size : str
        ``laptop`` or ``phone``; empty for a glyph.
    svg : str
        May be put into HTML as it is; colours are the custom properties of the look.
    """

    what: str
    rig: str
    size: str
    svg: str


@dataclass(frozen=True, kw_only=True)
class PlanSheet(Record):
    """A plan with its drawings and the pull metre by metre, for a page.

    Attributes
    ----------
    plan : Plan
    drawings : tuple of PageDrawing
    undrawn : str
        Why the chosen rig is not drawn; empty where it is.
    steps : PullSteps or None
        The chosen rig along its travel.
    unstepped : str
        Why it is not walked; empty where it is.
    lead, zone_words, cautions : tuple of str
        What the drawings say in words: the pull, where nobody stands, the cautions.
    """

    kind: ClassVar[str] = "plan-sheet"
    plan: Plan
    drawings: tuple[PageDrawing, ...]
    undrawn: str
    steps: PullSteps | None
    unstepped: str
    lead: tuple[str, ...]
    zone_words: tuple[str, ...]
    cautions: tuple[str, ...]


def page_words(pull: DrawnPull, units: str) -> tuple[tuple[str, ...], tuple[str, ...], tuple[str, ...]]:
    """Return what the drawings of a pull say in words: the pull, where nobody stands, the cautions."""
    lead, zone = tuple(lead_words(pull, units)), tuple(zone_words(pull.plan.zone))
    return lead, zone, tuple(caution_words(pull, units))


def glyphs(plan: Plan) -> tuple[PageDrawing, ...]:
    """Return a small sign of every rig of a plan."""
    drawn = ((one.rig, rig_glyph(one)) for one in plan.candidates)
    return tuple(PageDrawing(GLYPH, rig, "", svg) for rig, svg in drawn if svg)


def pull_drawings(pull: DrawnPull, title: str, units: str) -> tuple[PageDrawing, ...]:
    """Return the ground, the zone and the line of a planned pull, each for laptop and phone.

    Parameters
    ----------
    pull : DrawnPull
    title : str
        The rig in words.
    units : str

    Raises
    ------
    RigRefusal
        As :func:`haulwright.publishing.diagram.pull_sheet.pull_svg`, where even the laptop's size has no room.
    """
    found: list[PageDrawing] = []
    refused: RigRefusal | None = None
    for size in SIZES:
        try:
            found += _at(pull, plain_glyphs(title), check_units(units), size)
        except RigRefusal as no_room:
            refused = no_room
    if not found and refused is not None:
        raise refused
    return tuple(found)


def _at(pull: DrawnPull, title: str, units: str, size: str) -> list[PageDrawing]:
    light, measures, rig = find_light("page"), find_size(size), pull.candidate.rig
    sheet = PullSheet(pull, measures, units, light)
    ground, high = sheet.rig()
    words = f"Plan of the rig {title} where the pull begins. {pull.expected.sentence}"
    drawn = [_drawing(GROUND, rig, size, (measures.width, high + 6.0), words, ground)]
    zone = pull.plan.zone
    if zone.parts:
        left = measures.edge + measures.note * 2.6
        drawn_map = draw_zone(
            sheet.plan, zone, pull.bodies_m, (left, 3.0, _ZONE_PX[size] - left - 6.0), light
        )
        box = (_ZONE_PX[size], drawn_map.frame.y1 + measures.note + 12.0)
        drawn.append(_drawing(ZONE, rig, size, box, " ".join(zone_words(zone)), drawn_map.svg))
    strips, foot = draw_unrolled(sheet.plan, pull.expected, 2.0, units, light, sheet.limits())
    words = (
        f"The line of {title}, unrolled: tension from the drum to the made-fast end, expected and at stall."
    )
    drawn.append(_drawing(LINE, rig, size, (measures.width, foot + 6.0), words, strips))
    return drawn


def _drawing(what: str, rig: str, size: str, box: tuple[float, float], words: str, inner: str) -> PageDrawing:
    head = sheet_head(*box, plain_glyphs(words), find_light("page"))
    return PageDrawing(what, rig, size, f"{head}{inner}</svg>")
