"""Verbs of a campaign that is still to be run: design, run sheet, rehearsal."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from haulwright.errors import FileRefusal
from haulwright.progress import Progress
from haulwright.publishing.output import Files, output_folder, record_of
from haulwright.workflows.campaigns import measure_campaign

if TYPE_CHECKING:
    from haulwright.trials.design.result import CampaignDesign, CampaignRehearsal


def design_campaign(
    folder: str | Path, rigs: Sequence[str], *, like: str | Path | None = None, **choices: Any
) -> CampaignDesign:
    """Return a run sheet for a campaign's devices and what it will tell.

    Parameters
    ----------
    folder : path
        Holds ``campaign.yaml``; a run sheet need not be there.
    rigs : sequence of str
        Names or paths, each device in turn on all blocks; or ``rig=device;device`` from the drum.
    like : path or None
        An earlier campaign whose scatter of one pull is reckoned with.
    **choices
        ``devices``, ``repeats``, ``series``, ``seed``, ``difference``, ``scatter``, ``ratios`` as
        :func:`haulwright.trials.design.design_campaign` takes them.
    """
    from haulwright.files.campaign import read_spec
    from haulwright.trials.design import design_campaign as design
    from haulwright.trials.design.make import scatter_of

    spec = read_spec(folder)
    if like is not None:
        choices["scatter"] = scatter_of(measure_campaign(like, out=Path(like) / "results", keep=False))
    return design(spec, rigs, **choices)


def write_design(
    folder: str | Path, design: CampaignDesign, out: str | Path, *, one_log: bool = False
) -> Files:
    """Write a design as ``runs.csv``, as a sheet to print and as its record; a ``runs.csv`` that is there stays.

    Raises
    ------
    FileRefusal
        EXISTS: there is a run sheet in that folder already.
    """
    from haulwright.files.campaign import read_spec
    from haulwright.publishing.run_sheet import run_sheet_text
    from haulwright.publishing.writing import write_record
    from haulwright.trials.design.sheet import sheet_csv

    cells = [*read_spec(folder).cells]
    pair = (cells[0], cells[1]) if len(cells) == 2 else ("", "")
    with output_folder(out) as target:
        sheet, paper = target / "runs.csv", target / "run-sheet.txt"
        if sheet.exists():
            raise FileRefusal(
                "EXISTS",
                f"{sheet} is there already and is not overwritten. Give another --out.",
                (str(sheet),),
            )
        sheet.write_text(sheet_csv(design.runs, pair, one_log=one_log), encoding="utf-8")
        paper.write_text(run_sheet_text(design), encoding="utf-8")
        written = [(sheet, "run sheet, to be filled on the day"), (paper, "run sheet to print")]
        return record_of(
            [*written, write_record(design, target / "design.json", "the design, machine-readable")]
        )


def sheet_of_design(
    folder: str | Path,
    design: CampaignDesign,
    *,
    one_log: bool = False,
    instead: bool = False,
    more: bool = False,
) -> dict[str, bytes]:
    """Return a design as the campaign's run sheet: what changes in its folder, by path; nothing is written.

    Parameters
    ----------
    folder : path
        Of the campaign.
    design : CampaignDesign
    one_log : bool
        One joint log a run, not one of each cell.
    instead : bool
        Put it in the place of a sheet whose runs have logs.
    more : bool
        Put its runs below those of the sheet that is there.

    Raises
    ------
    FileRefusal
        EXISTS: runs of the sheet that is there have logs.
    """
    from haulwright.files.campaign import read_campaign, read_spec
    from haulwright.files.field_day import below
    from haulwright.trials.check import so_far
    from haulwright.trials.design.sheet import sheet_csv

    cells = [*read_spec(folder).cells]
    pair = (cells[0], cells[1]) if len(cells) == 2 else ("", "")
    text = sheet_csv(design.runs, pair, one_log=one_log)
    if (Path(folder) / "runs.csv").is_file() and not instead:
        if more:
            return below(Path(folder), text)
        logged = so_far(read_campaign(folder, logs_needed=False, runs_needed=False)).runs
        if logged:
            raise FileRefusal(
                "EXISTS",
                f"{len(logged)} runs of the sheet that is there have logs. Put the new runs below them, or say that the new "
                "sheet is to stand in its place; the logs and the earlier sheet stay in the book.",
                ("runs.csv",),
            )
    return {"runs.csv": text.encode()}


def simulate_campaign(
    folder: str | Path,
    design: CampaignDesign,
    *,
    campaigns: int = 60,
    seed: int = 1,
    logs: bool = False,
    progress: Progress | None = None,
) -> CampaignRehearsal:
    """Return how a design does on made-up campaigns of known truth: will it answer the question?

    Parameters
    ----------
    folder : path
        Holds ``campaign.yaml``, for the cells.
    design : CampaignDesign
    campaigns, seed : int
    logs : bool
        Make up the logs as well and measure them.
    progress : callable, optional
    """
    from haulwright.files.campaign import read_spec
    from haulwright.trials.design import rehearse
    from haulwright.trials.design.make import truth_of

    spec = read_spec(folder)
    return rehearse(
        design.name,
        design.runs,
        truth_of(spec, design),
        margin=spec.margin,
        campaigns=campaigns,
        seed=seed,
        logs=logs,
        progress=progress,
    )
