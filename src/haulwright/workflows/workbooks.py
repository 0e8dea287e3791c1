"""Verbs of the workbook."""

from __future__ import annotations

from pathlib import Path

from haulwright.progress import Progress, within
from haulwright.publishing.output import Files, output_folder, record_of
from haulwright.workflows.campaigns import kept_campaign


def publish_workbook(
    folder: str | Path,
    out: str | Path,
    *,
    units: str = "kN",
    progress: Progress | None = None,
    jobs: int = 1,
) -> Files:
    """Write a campaign's workbook: every reading, the rows averaged, results as formulas, charts.

    Parameters
    ----------
    folder : path
        Campaign folder; runs are kept as :func:`kept_campaign` keeps them.
    out : path
        Folder it is written into.
    units : str
        Force unit in which the means stand beside newtons.
    progress : callable, optional
        Is told each step in words.
    jobs : int
        Processes that measure side by side.

    Raises
    ------
    Refusal
        A folder that cannot be read; TOO_LONG: a log with more readings than a sheet has rows; UNITS.
    """
    from haulwright.files.campaign import read_campaign
    from haulwright.publishing.wording import check_units
    from haulwright.publishing.workbook.write import write_workbook
    from haulwright.publishing.writing import file_name
    from haulwright.trials.channels.make import channels_of

    check_units(units)
    result = kept_campaign(folder, progress=within(progress, 0.0, 0.5), jobs=jobs)
    read = read_campaign(folder)
    entries = {entry.run: entry for entry in read.runs}
    with output_folder(out) as target:
        path = target / f"workbook-{file_name(result.name)}.xlsx"
        write_workbook(
            result,
            lambda run: channels_of(read, entries[run.run], run),
            path,
            units=units,
            progress=within(progress, 0.5, 1.0),
        )
        return record_of([(path, "workbook: readings, results as formulas, charts")])
