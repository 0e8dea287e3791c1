"""Records to files: which file is written from which record, under which name.

Charts, pages and PDFs each need a heavy library, which is imported only where it is used.
"""

from __future__ import annotations

import datetime
import json
import re
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from haulwright.errors import FileRefusal, UsageRefusal
from haulwright.mechanics.solution import RigSolution
from haulwright.planning.result import Candidate, Plan
from haulwright.progress import Progress, silent
from haulwright.publishing.output import Written
from haulwright.publishing.spelling import spelled_page
from haulwright.quantities.measured import Measured
from haulwright.records import Record, write_whole
from haulwright.trials.result import CampaignCheck, CampaignResult
from haulwright.version import __version__

if TYPE_CHECKING:
    from haulwright.planning.kit_result import KitCheck, KitKinds
    from haulwright.publishing.pocket.record import PocketCard
    from haulwright.publishing.problem_record import ProblemSheet
    from haulwright.publishing.run_sheet_page import SheetRow


def file_name(text: str) -> str:
    """Return a text as the stem of a file name on any system.

    Examples
    --------
    >>> file_name("Wagon in the clearing / day 2")
    'wagon-in-the-clearing-day-2'
    """
    return re.sub(r"[^a-z0-9]+", "-", text.lower()).strip("-") or "unnamed"


def write_record(record: Record, path: Path, what: str) -> Written:
    """Write a record as JSON, keys in the order of the contract."""
    write_whole(path, json.dumps(record.to_dict(), ensure_ascii=False, allow_nan=False, indent=1) + "\n")
    return path, what


def write_run_sheet(name: str, rows: Sequence[SheetRow], folder: Path, *, invented: bool) -> Written:
    """Write a run sheet as one self-contained page."""
    from haulwright.publishing.run_sheet_page import run_sheet_html

    path = folder / "run-sheet.html"
    path.write_text(spelled_page(run_sheet_html(name, rows, invented=invented)), encoding="utf-8")
    return path, "run sheet to print, opens in any browser"


def write_inspection_sheet(
    kit: KitCheck, kinds: KitKinds, folder: Path, *, units: str, invented: bool
) -> Written:
    """Write the inspection sheet of a kit as one self-contained page."""
    from haulwright.publishing.inspection_sheet import inspection_sheet_html

    path = folder / "inspection-sheet.html"
    page = inspection_sheet_html(kit, kinds, units=units, invented=invented)
    path.write_text(spelled_page(page), encoding="utf-8")
    return path, "inspection sheet to print, opens in any browser"


def write_problems(sheet: ProblemSheet, folder: Path) -> list[Written]:
    """Write a sheet of problems twice: for students, and with answers for the instructor."""
    from haulwright.publishing.problem_sheet import problem_sheet_html

    written = []
    for answers, who in ((False, "students"), (True, "instructor")):
        path = folder / f"problems-{sheet.seed}-{who}.html"
        path.write_text(spelled_page(problem_sheet_html(sheet, answers=answers)), encoding="utf-8")
        written.append((path, f"worked problems, for {who}"))
    return written


def write_pocket_card(card: PocketCard, folder: Path, units: str) -> Written:
    """Write a pocket card as one self-contained page."""
    from haulwright.publishing.pocket import pocket_page

    path = folder / f"pocket-{file_name(card.title)}.html"
    path.write_text(spelled_page(pocket_page(card, units)), encoding="utf-8")
    return path, "pocket card: one page for any phone, needs no network"


def write_drawing(svg: str, name: str, folder: Path, format_: str = "svg") -> Written:
    """Write a drawing as PNG, or as an SVG file that carries its typefaces, so that it looks the same anywhere.

    Raises
    ------
    UsageRefusal
        ``FORMAT``: neither.
    """
    if format_ not in ("svg", "png"):
        raise UsageRefusal("FORMAT", f"format = {format_!r}: give svg or png.", ("format",))
    path = folder / f"rig-{file_name(name)}.{format_}"
    if format_ == "png":
        from haulwright.publishing.raster import drawing_png

        path.write_bytes(drawing_png(svg))
        return path, "the rig on the ground and its line unrolled"
    from haulwright.publishing.look import with_faces

    path.write_text(with_faces(svg), encoding="utf-8")
    return path, "the rig on the ground and its line unrolled"


def write_report(
    campaign: CampaignResult,
    folder: Path,
    units: str,
    check: CampaignCheck | None = None,
    progress: Progress = silent,
    final: bool = False,
) -> Written:
    """Write the test report as one self-contained page; ``progress`` is told each run that is drawn."""
    from haulwright.publishing.report import report_html

    path = folder / "report.html"
    page = report_html(campaign, units=units, check=check, progress=progress, final=final)
    path.write_text(spelled_page(page), encoding="utf-8")
    return path, "test report, opens in any browser"


def card_stamp(date: str | None) -> str:
    """Return the foot of a card: the day, today if not given, and the version.

    Raises
    ------
    FileRefusal
        VALUE for what is no date.

    Examples
    --------
    >>> card_stamp("2025-06-02").partition(",")[0]
    '2025-06-02'
    """
    try:
        day = datetime.date.today() if date is None else datetime.date.fromisoformat(date)
    except (ValueError, TypeError):
        raise FileRefusal(
            "VALUE", f"date = {date!r}: expected year-month-day, as 2025-06-02.", ("date",)
        ) from None
    return f"{day.isoformat()}, haulwright {__version__}"


def write_card(
    plan: Plan,
    candidate: Candidate,
    drawn: tuple[RigSolution, Sequence[RigSolution]],
    folder: Path,
    *,
    units: str,
    paper: str,
    stamp: str,
    ratios: Mapping[str, float | Measured] | None,
    as_: str = "pdf",
) -> Written:
    """Write the field card of one rig of a plan; ``drawn`` is the rig at the likely resistance and at stall."""
    from haulwright.publishing.card import card_page
    from haulwright.publishing.papers import FORMATS

    known = {block: k for block, k in (ratios or {}).items() if isinstance(k, Measured)}
    path = folder / f"card-{file_name(plan.pull)}.{as_ if as_ in FORMATS else FORMATS[0]}"
    expected, stall = drawn
    path.write_bytes(
        card_page(
            plan,
            candidate,
            expected,
            stall,
            title=candidate.title,
            units=units,
            paper=paper,
            stamp=stamp,
            ratios=known,
            as_=as_,
        )
    )
    return path, f"field card, {paper.upper()}, one page"
