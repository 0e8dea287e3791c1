"""``haulwright publish``: charts, report and card, written from the records."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from haulwright import workflows
from haulwright.interfaces.cli import options as o
from haulwright.interfaces.cli.output import emit, progress
from haulwright.interfaces.cli.text_pull import show_files

app = typer.Typer(help="Charts, report and card from a campaign or a pull.", rich_markup_mode=None)
Folder = o.CampaignFolder
OutDir = Annotated[Path, typer.Option("--out", help="Folder for what is written.", metavar="DIR")]
OUT = Path("haulwright-out")


@app.command()
def chart(
    folder: Folder, out: OutDir = OUT, units: o.Units = "kN", jobs: o.Jobs = None, as_json: o.AsJson = False
) -> None:
    """Trace of every run and the comparison of all configurations, as SVG and PNG.

    Runs are kept in FOLDER/results/cache/, as campaign measure keeps them: only what changed is measured again.
    """
    result = workflows.kept_campaign(folder, progress=progress, jobs=o.jobs(jobs))
    emit(workflows.publish_charts(result, out, units=units), as_json, show_files)


@app.command()
def report(
    folder: Folder, out: OutDir = OUT, units: o.Units = "kN", jobs: o.Jobs = None, as_json: o.AsJson = False
) -> None:
    """The test report as one self-contained HTML file.

    Runs are kept in FOLDER/results/cache/, as campaign measure keeps them: only what changed is measured again.
    """
    result = workflows.kept_campaign(folder, progress=progress, jobs=o.jobs(jobs))
    check = workflows.check_campaign(folder, progress=progress, jobs=o.jobs(jobs), kept=True)
    emit(workflows.publish_report(result, out, units=units, check=check), as_json, show_files)


@app.command()
def card(
    pull: Annotated[Path, typer.Argument(help="Pull file.", metavar="PULL")],
    out: OutDir = OUT,
    friction: Annotated[
        Path | None, typer.Option("--friction", help="devices.toml to use.", metavar="FILE")
    ] = None,
    paper: Annotated[str, typer.Option("--paper", help="a6 or a5.")] = "a6",
    date: Annotated[
        str | None, typer.Option("--date", help="Date printed on it; today if not given.", metavar="DATE")
    ] = None,
    units: o.Units = "kN",
    as_json: o.AsJson = False,
) -> int:
    """The chosen rig of a pull on one page, as PDF. Exit 1: chosen rig over or unknown."""
    plan = workflows.make_plan(pull, friction=friction)
    emit(workflows.publish_card(plan, out, units=units, paper=paper, date=date), as_json, show_files)
    return workflows.plan_exit_code(plan)
