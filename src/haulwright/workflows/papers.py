"""Verbs of what is printed."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from haulwright.errors import FileRefusal, PlanRefusal
from haulwright.progress import Progress, silent
from haulwright.publishing.output import Files, output_folder, record_of
from haulwright.workflows.rigs import solve_at_stall, solve_rig

if TYPE_CHECKING:
    from haulwright.planning.result import Plan
    from haulwright.trials.result import CampaignCheck, CampaignResult


def publish_charts(
    result: CampaignResult,
    out: str | Path,
    *,
    units: str = "kN",
    charts: Sequence[str] | None = None,
    light: str = "paper",
    size: str = "laptop",
) -> Files:
    """Write the charts of a campaign and of its runs, as SVG and PNG.

    Parameters
    ----------
    result : CampaignResult
    out : path
    units : str
    charts : sequence of str, optional
        ``comparison``, ``winch-share``, ``efficiency-loss``, ``friction``, ``friction-load``, ``agreement``,
        ``prediction``, of each run ``trace`` and ``budget``; all that the campaign has something for, unless told.
    light, size : str
        ``paper``, ``sun``, ``night`` or ``print``; ``laptop``, ``phone`` or ``video`` (16:9, all but traces).

    Raises
    ------
    UsageRefusal
        CHART for a chart named that is none, or that the campaign has nothing for; LIGHT, SIZE, UNITS.
    """
    from haulwright.publishing.chart_files import write_campaign_charts

    with output_folder(out) as folder:
        return record_of(
            write_campaign_charts(result, folder, units=units, charts=charts, light=light, size=size)
        )


def publish_report(
    result: CampaignResult,
    out: str | Path,
    *,
    units: str = "kN",
    check: CampaignCheck | None = None,
    progress: Progress = silent,
    final: bool = False,
) -> Files:
    """Write the test report; ``check`` is what :func:`check_campaign` says of the same folder.

    ``final`` refuses a report that does not say all a final one must (NOT_FINAL).
    """
    from haulwright.publishing.writing import write_report

    with output_folder(out) as folder:
        return record_of([write_report(result, folder, units, check, progress, final)])


def publish_chart(
    result: CampaignResult, out: str | Path, *, run: str | None = None, units: str = "kN"
) -> Files:
    """Write the trace of one run, or the comparison of all configurations, as SVG and PNG.

    Parameters
    ----------
    result : CampaignResult
    out : path
    run : str or None
        Of the campaign; None is the comparison.
    units : str

    Raises
    ------
    FileRefusal
        UNKNOWN_RUN; TRACE for a run that was typed from the displays or left out.
    """
    from haulwright.publishing.chart_files import write_campaign_charts, write_run_chart

    found = None if run is None else next((one for one in result.runs if one.run == run), None)
    if run is not None and found is None:
        known = ", ".join(one.run for one in result.runs)
        raise FileRefusal(
            "UNKNOWN_RUN", f"There is no run {run!r} with a number here. There is: {known}.", (run,)
        )
    if found is not None and found.grade != "logged":
        raise FileRefusal(
            "TRACE", f"{run}: its forces were typed from the displays, so it has no trace.", (found.run,)
        )
    with output_folder(out) as folder:
        return record_of(
            write_campaign_charts(result, folder, charts=("comparison",))
            if found is None
            else write_run_chart(found, folder, units)
        )


def publish_run_sheet(campaign: str | Path, out: str | Path) -> Files:
    """Write the run sheet of a campaign folder as a page to print and to write on.

    Parameters
    ----------
    campaign : path
        Its ``runs.csv`` gives the order; runs whose logs are there are ticked.
    out : path

    Raises
    ------
    Refusal
        A folder that cannot be read; a sheet without a run.
    """
    from haulwright.files.campaign import read_campaign
    from haulwright.publishing.run_sheet_page import SheetRow
    from haulwright.publishing.writing import write_run_sheet
    from haulwright.trials.check import so_far

    read = read_campaign(campaign, logs_needed=False)
    logged = {entry.run for entry in so_far(read).runs}
    rows = [
        SheetRow(entry.run, entry.rig, entry.devices, entry.run in logged, entry.notes) for entry in read.runs
    ]
    with output_folder(out) as folder:
        return record_of([write_run_sheet(read.spec.name, rows, folder, invented=read.spec.invented)])


def publish_card(
    plan: Plan,
    out: str | Path,
    *,
    units: str = "kN",
    paper: str = "a6",
    date: str | None = None,
    format: str = "pdf",
) -> Files:
    """Write the field card of a plan's chosen rig.

    Parameters
    ----------
    plan : Plan
    out : path
    units, paper, format : str
        As :func:`haulwright.publishing.card.card_page` takes them.
    date : str or None
        Printed on it; today if not given.

    Raises
    ------
    PlanRefusal
        NO_RIG where the plan chose none.
    UsageRefusal
        PAPER, FORMAT or UNITS.
    """
    from haulwright.planning.drawing import ratios_of
    from haulwright.publishing.writing import card_stamp, write_card

    chosen = plan.best
    if chosen is None:
        lacked = "; ".join(f"{r.rig} lacks {r.lacked}" for r in plan.rejected)
        raise PlanRefusal(
            "NO_RIG", f"{plan.pull}: no rig is chosen, so there is no card. {lacked}", (plan.pull,)
        )
    ratios = ratios_of(plan, chosen)
    rig = chosen.ground_rig or chosen.path
    expected = solve_rig(rig, ratios, load=plan.resistance_N.likely)
    stall = solve_at_stall(rig, ratios, chosen.stall_N)
    stamp = card_stamp(date)
    with output_folder(out) as folder:
        written = write_card(
            plan,
            chosen,
            (expected, stall),
            folder,
            units=units,
            paper=paper,
            stamp=stamp,
            ratios=ratios,
            as_=format,
        )
        return record_of([written])
