"""``haulwright publish``: charts, report, workbook, open data, run sheet and card, written from the records."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from haulwright import workflows
from haulwright.errors import UsageRefusal
from haulwright.interfaces.cli import options as o
from haulwright.interfaces.cli.output import emit, progress
from haulwright.interfaces.cli.text_publish import show_recomputed
from haulwright.interfaces.cli.text_pull import show_files

app = typer.Typer(
    help="Charts, report, workbook, open data, run sheet and card from a campaign or a pull.",
    rich_markup_mode=None,
)
Folder = o.CampaignFolder
OutDir = Annotated[Path, typer.Option("--out", help="Folder for what is written.", metavar="DIR")]
OUT = Path("haulwright-out")


@app.command()
def chart(
    given: Annotated[
        Path,
        typer.Argument(help="Campaign folder, or a pull file.", metavar="FOLDER_OR_PULL"),
    ],
    out: OutDir = OUT,
    rig: Annotated[
        str | None,
        typer.Option("--rig", help="Of a pull: a rig of the plan, or one rig to check.", metavar="RIG"),
    ] = None,
    friction: Annotated[
        Path | None, typer.Option("--friction", help="Of a pull: devices.toml to use.", metavar="FILE")
    ] = None,
    kit: Annotated[
        Path | None, typer.Option("--kit", help="Of a pull: kit file to use.", metavar="FILE")
    ] = None,
    charts: Annotated[
        list[str] | None,
        typer.Option("--chart", help="One of the charts; all if not given. Repeat it.", metavar="NAME"),
    ] = None,
    size: Annotated[
        str, typer.Option("--size", help="laptop, phone (360 px wide), or video (16:9, 1920 dots across).")
    ] = "laptop",
    light: Annotated[str, typer.Option("--light", help="paper, sun, night or print.")] = "paper",
    units: o.Units = "kN",
    jobs: o.Jobs = None,
    as_json: o.AsJson = False,
) -> int:
    """The charts of a campaign or of a pull, as SVG and PNG.

    Of a campaign: comparison, winch-share, efficiency-loss, friction, friction-load, agreement, prediction; of each run
    trace and budget. Of a pull: pull-plan (the chosen rig on the ground with the zone where nobody stands), pull-steps
    (what it needs along its travel), drum-layers, parts. Files of another size end in its name; traces, pull-plan and
    pull-steps have no picture of 16:9. Runs are kept in FOLDER/results/cache/, as campaign measure keeps them: only what
    changed is measured again. Exit 1: the drawn rig is over or unknown.
    """
    if _is_folder(given):
        for name, value in (("--rig", rig), ("--friction", friction), ("--kit", kit)):
            if value is not None:
                raise UsageRefusal(
                    "USAGE", f"{name} is of a pull, and {given} is a campaign folder.", (name,)
                )
        result = workflows.kept_campaign(given, progress=progress, jobs=o.jobs(jobs))
        emit(
            workflows.publish_charts(result, out, units=units, charts=charts, light=light, size=size),
            as_json,
            show_files,
        )
        return 0
    if jobs is not None:
        raise UsageRefusal("USAGE", f"--jobs is of a campaign, and {given} is not its folder.", ("--jobs",))
    found = workflows.plan_rig(given, rig=rig, friction=friction, kit=kit)
    emit(
        workflows.publish_pull(found, out, units=units, charts=charts, light=light, size=size),
        as_json,
        show_files,
    )
    return workflows.plan_exit_code(found.plan)


def _is_folder(given: Path) -> bool:
    """Tell whether a path is a folder; what the system cannot look up is none, and is refused where it is read."""
    try:
        return given.is_dir()
    except OSError:
        return False


@app.command()
def report(
    folder: Folder,
    out: OutDir = OUT,
    units: o.Units = "kN",
    words: o.Words = "AU",
    final: Annotated[
        bool, typer.Option("--final", help="Refuse it while something is not stated that it must say.")
    ] = False,
    jobs: o.Jobs = None,
    as_json: o.AsJson = False,
) -> None:
    """The test report as one self-contained HTML file; a draft while something is not stated.

    Runs are kept in FOLDER/results/cache/, as campaign measure keeps them: only what changed is measured again.
    """
    result = workflows.kept_campaign(folder, progress=progress, jobs=o.jobs(jobs))
    check = workflows.check_campaign(folder, progress=progress, jobs=o.jobs(jobs), kept=True)
    emit(workflows.publish_report(result, out, units=units, check=check, final=final), as_json, show_files)


@app.command()
def workbook(
    folder: Folder, out: OutDir = OUT, units: o.Units = "kN", jobs: o.Jobs = None, as_json: o.AsJson = False
) -> None:
    """A workbook (XLSX): every reading, the rows averaged, results as formulas on them, charts.

    What a spreadsheet can reckon stands as a formula, beside the record's own number; uncertainties and fits stand as
    values. Runs are kept in FOLDER/results/cache/, as campaign measure keeps them.
    """
    written = workflows.publish_workbook(folder, out, units=units, progress=progress, jobs=o.jobs(jobs))
    emit(written, as_json, show_files)


@app.command()
def bundle(
    folder: Folder,
    out: OutDir = OUT,
    licence: Annotated[
        str | None,
        typer.Option(
            "--licence",
            help="Licence, as CC-BY-4.0, in place of the one in campaign.yaml; none hands the data out without one.",
            metavar="NAME",
        ),
    ] = None,
    jobs: o.Jobs = None,
    as_json: o.AsJson = False,
) -> None:
    """Open data: logs and run sheet byte for byte, results as JSON and tables, data dictionary, how to recompute.

    A Data Package as a folder and as a zip of it. Only the files the campaign is measured from go in.
    """
    written = workflows.publish_bundle(folder, out, licence=licence, progress=progress, jobs=o.jobs(jobs))
    emit(written, as_json, show_files)


@app.command()
def recompute(
    given: Annotated[Path, typer.Argument(help="Open data: its folder, or the zip.", metavar="BUNDLE")],
    jobs: o.Jobs = None,
    as_json: o.AsJson = False,
) -> int:
    """Reckon open data again: compare every file with its hash, measure the logs, compare every number.

    Exit 1: a number or text differs; the first is named. A file that is not what datapackage.json says is refused.
    """
    found = workflows.recompute_bundle(given, progress=progress, jobs=o.jobs(jobs))
    emit(found, as_json, show_recomputed)
    return workflows.recompute_exit_code(found)


@app.command()
def sheet(
    given: Annotated[Path, typer.Argument(help="Campaign folder, or a kit file.", metavar="FOLDER_OR_KIT")],
    out: OutDir = OUT,
    units: o.Units = "kN",
    words: o.Words = "AU",
    as_json: o.AsJson = False,
) -> None:
    """A sheet to print and to write on, as one self-contained HTML file.

    Of a campaign the run sheet; of a kit the inspection sheet: every piece with its mark, what puts it out of use, and
    boxes to tick.
    """
    if _is_folder(given):
        emit(workflows.publish_run_sheet(given, out), as_json, show_files)
    else:
        emit(workflows.publish_inspection_sheet(given, out, units=units), as_json, show_files)


@app.command()
def problems(
    out: OutDir = OUT,
    seed: Annotated[
        int, typer.Option("--seed", help="The same seed draws the same problems.", metavar="N")
    ] = 1,
    count: Annotated[int, typer.Option("--count", help="How many, 1 to 40.", metavar="N")] = 8,
    words: o.Words = "AU",
    as_json: o.AsJson = False,
) -> None:
    """Worked problems for a class: advantage, friction, anchors at stall, spot the fault.

    Two HTML files to print: for students with room to reckon, for the instructor with answers and working.
    """
    emit(
        workflows.publish_problems(workflows.make_problems(seed=seed, count=count), out), as_json, show_files
    )


@app.command()
def card(
    pull: Annotated[Path, typer.Argument(help="Pull file.", metavar="PULL")],
    out: OutDir = OUT,
    friction: Annotated[
        Path | None, typer.Option("--friction", help="devices.toml to use.", metavar="FILE")
    ] = None,
    paper: Annotated[
        str,
        typer.Option(
            "--paper",
            help="a6, a5, a4 or letter; a6x4 is four A6 cards on an A4 sheet to cut, a6x2 two on a letter sheet.",
        ),
    ] = "a6",
    format: Annotated[
        str, typer.Option("--format", help="pdf to print; svg or png to look at; html to reckon on a phone.")
    ] = "pdf",
    date: Annotated[
        str | None, typer.Option("--date", help="Date printed on it; today if not given.", metavar="DATE")
    ] = None,
    units: o.Units = "kN",
    words: o.Words = "AU",
    as_json: o.AsJson = False,
) -> int:
    """The chosen rig of a pull on one page. Exit 1: chosen rig over or unknown.

    html is another card: every named rig with the kit, winches and frictions of the pull, in one page that reckons on
    any phone without a network. Rig, device and load are chosen there.
    """
    if format == "html":
        pocket = workflows.pocket_card(pull, friction=friction, day=date)
        emit(workflows.publish_pocket_card(pocket, out, units=units), as_json, show_files)
        return 0
    plan = workflows.make_plan(pull, friction=friction)
    emit(
        workflows.publish_card(plan, out, units=units, paper=paper, date=date, format=format),
        as_json,
        show_files,
    )
    return workflows.plan_exit_code(plan)
