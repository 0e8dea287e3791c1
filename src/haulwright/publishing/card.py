"""The card: one printed page for the field, with the rig, every piece at stall, the zone and when to stop.

The same page as PDF to print, or as SVG or PNG to look at first.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Final

import typst

from haulwright.errors import HaulwrightError, RigRefusal, UsageRefusal
from haulwright.mechanics.solution import RigSolution
from haulwright.planning.result import Candidate, Plan
from haulwright.publishing.card_words import card_words
from haulwright.publishing.diagram import rig_svg
from haulwright.publishing.look import font_folder, with_faces
from haulwright.publishing.over import over_parts
from haulwright.publishing.papers import FORMATS, PAPERS, Format
from haulwright.publishing.spelling import spelled_all
from haulwright.publishing.wording import check_units
from haulwright.quantities.measured import Measured

_PNG_PPI: Final = 300.0


def card_page(
    plan: Plan,
    candidate: Candidate,
    solution: RigSolution,
    stall: RigSolution | Sequence[RigSolution],
    *,
    title: str,
    units: str = "kN",
    paper: str = "a6",
    stamp: str,
    ratios: Mapping[str, Measured] | None = None,
    as_: str = "pdf",
) -> bytes:
    """Return the card of one rig as one page for black-and-white print.

    Parameters
    ----------
    plan : Plan
        For the resistance, the zone, the stop list and the cautions.
    candidate : Candidate
        The rig the card is of.
    solution : RigSolution
        That rig at the likely resistance.
    stall : RigSolution or sequence of them
        That rig at winch stall. Give it with friction and without: the greatest load of each piece is drawn, as in
        the candidate's own figures.
    title : str
        Head of the card.
    units : str
        kN, kgf, lbf, t or N; the second line of the two large figures is in kgf (kN where the card is in kgf).
    paper : str
        One of :data:`PAPERS`.
    stamp : str
        Date and version, printed at the foot.
    ratios : mapping block -> Measured, optional
        Tension ratio k of each block with its interval, where it is known.
    as_ : str
        ``pdf`` to print; ``svg`` or ``png`` to look at: the same page from the same words.

    Returns
    -------
    bytes
        The same input gives the same bytes.

    Raises
    ------
    UsageRefusal
        ``PAPER``, ``FORMAT`` or ``UNITS``.
    RigRefusal
        ``CARD_FULL`` if even the leanest card does not fit one page; ``OTHER_RIG`` if the records do not belong
        together.

    Notes
    -----
    What does not fit gives way in a fixed order: pieces that are inside become one line with the worst of them, the
    rest are run together, the drawing goes. Pieces that are over, unknown or tight and every stall figure always stay.
    """
    check_units(units)
    if paper not in PAPERS:
        raise UsageRefusal(
            "PAPER", f"paper = {paper!r}: give {', '.join(PAPERS[:-1])} or {PAPERS[-1]}.", ("paper",)
        )
    form = next((one for one in FORMATS if one == as_), None)
    if form is None:
        raise UsageRefusal(
            "FORMAT", f"format = {as_!r}: give {', '.join(FORMATS[:-1])} or {FORMATS[-1]}.", ("format",)
        )
    words = card_words(plan, candidate, solution, title=title, units=units, stamp=stamp, ratios=ratios or {})
    drawing, why_not = _drawing(candidate, solution, stall, units)
    if drawing and as_ == "svg":  # a drawing within an SVG page finds no typeface but its own
        drawing = with_faces(drawing)
    words["paper"], words["no_drawing"] = paper, why_not
    return _compile(json.dumps(spelled_all(words), ensure_ascii=False), drawing, candidate.rig, form)


def _drawing(
    candidate: Candidate, solution: RigSolution, stall: RigSolution | Sequence[RigSolution], units: str
) -> tuple[str, str]:
    """Return the drawing, or why there is none: the figures stand without it."""
    try:
        return rig_svg(
            solution,
            stall=stall,
            units=units,
            light="print",
            size="card",
            over=over_parts(candidate, solution),
        ), ""
    except RigRefusal as refused:
        if refused.code == "OTHER_RIG":
            raise
        return "", f"No drawing: {refused.message}"


def _compile(words: str, drawing: str, rig: str, as_: Format) -> bytes:
    source = Path(__file__).with_name("card.typ")
    try:
        page = typst.compile(
            source,
            format=as_,
            ppi=_PNG_PPI if as_ == "png" else None,
            sys_inputs={"words": words, "drawing": drawing},
            font_paths=[font_folder()],
            ignore_system_fonts=True,
            timestamp=0,
        )
    except typst.TypstError as error:
        if "card is full" not in str(error):
            raise
        raise RigRefusal(
            "CARD_FULL",
            f"{rig}: its pieces do not fit one card, even run together. Print it on A5, or take the report.",
        ) from error
    if not isinstance(page, bytes):
        raise HaulwrightError(f"{rig}: the typesetter returned not one page.")
    return page
