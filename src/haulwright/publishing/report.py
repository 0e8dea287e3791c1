"""The report of a campaign as one web page that needs nothing else: fonts, charts and numbers are inside.

Plain words first, numbers with their uncertainty next, cautions beside them, then what it all rests on and
every single run. Contents follow ISO/IEC 17025:2017, 7.8.2 and 7.8.3; what the campaign does not say is
printed as "not stated".
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from markupsafe import Markup

from haulwright.errors import FileRefusal
from haulwright.notices import Code, Notice
from haulwright.progress import Progress, Step, silent
from haulwright.publishing import look
from haulwright.publishing.charts import comparison_chart, trace_chart
from haulwright.publishing.charts.canvas import Chart
from haulwright.publishing.pages import templates
from haulwright.publishing.report_cells import (
    cells_table,
    checks_table,
    gain_lines,
    level_tables,
    of_cells,
    reading_lines,
    readings_table,
    series_lines,
)
from haulwright.publishing.report_day import (
    OVER_THE_DAY,
    check_lines,
    conditions_table,
    heat_table,
    load_lines,
    no_chart,
    noted_lines,
    over_the_day,
    prediction_table,
    too_warm,
    typed_line,
)
from haulwright.publishing.report_words import (
    basis,
    budget_table,
    configuration_table,
    device_table,
    found,
    head,
    invented_mark,
    missing,
    rebuild_command,
    run_budget,
    run_channels,
    run_lines,
    run_title,
    sentence_case,
    short_path,
    with_devices,
)
from haulwright.publishing.wording import (
    NOT_STATED,
    cautions,
    check_units,
    comparison_sentence,
    comparison_word,
    others,
    stretch_sentence,
)
from haulwright.trials.result import CampaignCheck, CampaignResult, TrialResult
from haulwright.version import __version__

WIDE_PX = 650.0  # the width of an A4 page inside its margins
NARROW_PX = 328.0  # a phone of 360 px inside its margins


@dataclass(frozen=True)
class _Drawn:
    """A chart laid out for a page and for a phone."""

    wide: Markup
    narrow: Markup


def report_html(
    campaign: CampaignResult,
    *,
    units: str = "kN",
    check: CampaignCheck | None = None,
    progress: Progress = silent,
    final: bool = False,
) -> str:
    """Return the report of a campaign as one self-contained HTML page.

    Parameters
    ----------
    campaign : CampaignResult
        The record; nothing is computed again.
    units : str
        Unit of the forces: kN, kgf, lbf, t or N.
    check : CampaignCheck or None
        The same-day check of the same runs, where it is to be shown.
    progress : callable
        Is told each run as it is drawn.
    final : bool
        Refuse where something is not stated; else the report is a draft and says what is missing.

    Returns
    -------
    str
        HTML that fetches nothing, reads on a phone of 360 px and prints on A4. The same record gives the same
        bytes.

    Raises
    ------
    UsageRefusal
        If the unit is not known.
    FileRefusal
        NOT_FINAL: something is not stated that a final report must say.

    References
    ----------
    ISO/IEC 17025:2017, General requirements for the competence of testing and calibration laboratories,
    7.8.2 (what every report holds) and 7.8.3 (conditions and uncertainty of a test).
    """
    check_units(units)
    lacks = missing(campaign.about)
    if final and lacks:
        raise FileRefusal(
            "NOT_FINAL",
            f"{campaign.name}: a final report must say {', '.join(lacks)}. State them in campaign.yaml (report, site), or "
            "publish it as a draft.",
            lacks,
        )
    folder = Path(__file__).with_name("templates")
    pages = templates()
    rows = pages.get_template("rows.html.j2")
    page = pages.get_template("report.html.j2").render(
        **_words(campaign),
        **_numbers(campaign, units),
        **_beside(campaign, units),
        check=check_lines(check) if check else None,
        runs=_runs(campaign, units, progress),
        chart=_both(campaign, "c") if with_devices(campaign) else None,
        fonts=Markup(look.css_fonts()),
        tokens=Markup(look.css_tokens()),
        css=Markup((folder / "report.css").read_text(encoding="utf-8")),
        rows=lambda table: Markup(rows.render(table=table)),
    )
    return page.replace(" ± ", "\u00a0±\u00a0")  # a value and its uncertainty stay on one line


def _words(campaign: CampaignResult) -> dict[str, Any]:
    about, notices = campaign.about, _all_notices(campaign)
    made = campaign.made
    return {
        "title": about.get("title") or f"Pull test: {campaign.name}",
        "name": campaign.name,
        "invented": invented_mark(campaign),
        "head": head(about),
        "not_stated": NOT_STATED,
        "missing": missing(about),
        "number": str(about.get("number", "") or campaign.name),
        "not_tested": sentence_case(str(about.get("not_tested", "") or "")).rstrip("."),
        "cautions": cautions(notices),
        "notes": _left_to_say(campaign),
        "excluded": [(row.get("run", NOT_STATED), row.get("why") or NOT_STATED) for row in campaign.excluded],
        "method": made.method if made else NOT_STATED,
        "sources": made.sources if made else (),
        "rebuild": rebuild_command(made),
        "version": made.version if made else __version__,
    }


def _left_to_say(campaign: CampaignResult) -> list[Notice]:
    """Return the notices that no section of its own says."""
    said = {*of_cells(campaign, campaign.notices)}
    own = (Code.INVENTED.name, *OVER_THE_DAY)
    return [n for n in others(campaign.notices) if n.code not in own and n not in said]


def _beside(campaign: CampaignResult, units: str) -> dict[str, Any]:
    """Return what stands beside the results: cells, conditions, heat, changes over the day, predictions."""
    return {
        "cells": cells_table(campaign, units),
        "checks": checks_table(campaign, units),
        "levels": level_tables(campaign, units),
        "gains": gain_lines(campaign),
        "series": series_lines(campaign),
        "of_cells": others(of_cells(campaign, campaign.notices)),
        "readings": readings_table(campaign),
        "loads": load_lines(campaign, units),
        "predictions": prediction_table(campaign),
        "typed": typed_line(campaign),
        "conditions": conditions_table(campaign, units),
        "heat": heat_table(campaign),
        "too_warm": too_warm(campaign),
        "day": over_the_day(campaign.notices),
    }


def _numbers(campaign: CampaignResult, units: str) -> dict[str, Any]:
    return {
        "found": found(campaign),
        "comparisons": [(comparison_word(c), comparison_sentence(c)) for c in campaign.comparisons],
        "configurations": configuration_table(campaign),
        "devices": device_table(campaign, units),
        "basis": basis(campaign, units),
        "budget": budget_table(campaign),
    }


def _all_notices(campaign: CampaignResult) -> Iterable[Notice]:
    yield from campaign.notices
    for run in campaign.runs:
        yield from run.notices


def _runs(campaign: CampaignResult, units: str, progress: Progress) -> list[dict[str, Any]]:
    drawn = []
    for number, run in enumerate(campaign.runs, start=1):
        words = f"drawing run {number} of {len(campaign.runs)}: {run.run}"
        progress(Step(words, (number - 1) / len(campaign.runs)))
        drawn.append(_run(run, number, units))
    return drawn


def _run(run: TrialResult, number: int, units: str) -> dict[str, Any]:
    drawn = None
    if run._traces is not None and run._traces.time_s:
        charts = [
            trace_chart(run, units=units, width_px=px, title=False, notes=False)
            for px in (WIDE_PX, NARROW_PX)
        ]
        drawn = _drawn(charts[0], charts[1], f"r{number}")
    return {
        "title": run_title(run),
        "answer": [*run_lines(run, units), *reading_lines(run), *noted_lines(run)],
        "no_chart": no_chart(run),
        "stretches": [stretch_sentence(stretch) for stretch in run.steady],
        "channels": run_channels(run, units),
        "budget": run_budget(run),
        "notices": [*cautions(run.notices), *others(run.notices)],
        "files": [(short_path(file.get("path", "")), file.get("sha256", "")) for file in run.files],
        "chart": drawn,
    }


def _both(campaign: CampaignResult, prefix: str) -> _Drawn:
    tested = replace(campaign, configurations=with_devices(campaign))
    wide, narrow = (comparison_chart(tested, width_px=px, title=False) for px in (WIDE_PX, NARROW_PX))
    return _drawn(wide, narrow, prefix)


def _drawn(wide: Chart, narrow: Chart, prefix: str) -> _Drawn:
    return _Drawn(
        Markup(wide.inline(f"{prefix}w-").replace("<svg ", '<svg class="wide" ', 1)),
        Markup(narrow.inline(f"{prefix}n-").replace("<svg ", '<svg class="narrow" ', 1)),
    )
