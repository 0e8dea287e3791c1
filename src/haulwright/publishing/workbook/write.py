"""A campaign's workbook, written sheet by sheet."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from haulwright.progress import Progress, Step, silent
from haulwright.publishing.wording import check_units
from haulwright.publishing.workbook.cells import CREATED, Looks, Sheet, sheet_name
from haulwright.publishing.workbook.configuration_pages import write_configurations, write_repeats
from haulwright.publishing.workbook.other_pages import (
    write_cautions,
    write_cells,
    write_comparisons,
    write_devices,
    write_left_out,
    write_notices,
)
from haulwright.publishing.workbook.result_pages import write_budget, write_results
from haulwright.publishing.workbook.run_pages import RunSheets, check_length, write_run
from haulwright.trials.channels.result import RunChannels
from haulwright.trials.result import CampaignResult, TrialResult

if TYPE_CHECKING:
    from xlsxwriter.workbook import Workbook

PAGES = {
    "Cautions": "cautions, how to read this, who and what",
    "Results": "every run: means, advantage, winch share",
    "Configurations": "repeats together, with a chart",
    "Comparisons": "which differ, by the decision rule stated there",
    "Devices": "friction of each device with ± and source",
    "Budget": "what the uncertainty of every run rests on",
    "Repeats": "the runs of each configuration and their weights",
    "Cells": "the load cells and the checks of them",
    "Left out": "runs that are not in the results, and why",
    "Notices": "everything that is to be known of the runs",
}


def write_workbook(
    campaign: CampaignResult,
    channels: Callable[[TrialResult], RunChannels],
    path: Path,
    *,
    units: str = "kN",
    progress: Progress = silent,
) -> None:
    """Write the workbook of a campaign.

    Parameters
    ----------
    campaign : CampaignResult
    channels : callable
        Returns the channels of one of its runs; asked once for each, in order, so that one run at a time is held.
    path : Path
        File to write.
    units : str
        Force unit in which the means stand beside newtons.
    progress : callable
        Is told each run.

    Raises
    ------
    UsageRefusal
        UNITS.
    FileRefusal
        TOO_LONG: more readings than a sheet has rows.

    Notes
    -----
    The same record and logs give the same bytes.
    """
    from xlsxwriter.workbook import Workbook

    check_units(units)
    part = path.with_name(f"{path.name}.part")
    try:
        with Workbook(str(part), {"constant_memory": True, "strings_to_numbers": False}) as book:
            book.set_properties({"title": f"Pull test {campaign.name}", "created": CREATED})
            book.set_calc_mode("auto")
            _write(book, campaign, channels, units, progress)
        part.replace(path)
    finally:
        part.unlink(missing_ok=True)


def _write(
    book: Workbook,
    campaign: CampaignResult,
    channels: Callable[[TrialResult], RunChannels],
    units: str,
    progress: Progress,
) -> None:
    looks = Looks(book)
    pages = {name: Sheet(book, name, looks) for name in PAGES}
    taken: dict[str, object] = {name.casefold(): None for name in PAGES}
    listed = list(PAGES.items())
    beside: dict[str, Mapping[str, str]] = {}
    for n, run in enumerate(campaign.runs, 1):
        progress(Step(f"writing run {n} of {len(campaign.runs)}: {run.run}", (n - 1) / len(campaign.runs)))
        given = channels(run)
        check_length(given)
        name = sheet_name(n, run.run, taken)
        taken[name.casefold()] = None
        rows = Sheet(book, name, looks)
        readings = Sheet(book, f"{name} r", looks) if given.rows is not None else None
        beside[run.run] = write_run(RunSheets(rows, readings), run, given)
        listed.append((name, f"run {run.run}: the rows averaged, results, steady stretches, chart"))
        if readings is not None:
            listed.append((readings.name, f"run {run.run}: every reading, as logged and as corrected"))
    runs = write_results(pages["Results"], campaign, beside, units)
    spans = write_repeats(pages["Repeats"], campaign, runs)
    where = write_configurations(pages["Configurations"], campaign, pages["Repeats"], spans)
    write_comparisons(pages["Comparisons"], campaign, where)
    write_devices(pages["Devices"], campaign)
    write_budget(pages["Budget"], campaign)
    write_cells(pages["Cells"], campaign)
    write_left_out(pages["Left out"], campaign)
    write_notices(pages["Notices"], campaign)
    write_cautions(pages["Cautions"], campaign, listed, units)
    pages["Cautions"].sheet.activate()
