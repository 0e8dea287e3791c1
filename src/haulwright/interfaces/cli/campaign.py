"""``haulwright campaign``: design, rehearse, check, measure, fit and compare a folder of runs, and predict from it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Any

import typer

from haulwright import workflows
from haulwright.errors import UsageRefusal
from haulwright.interfaces.cli import options as o
from haulwright.interfaces.cli.grouped import grouped
from haulwright.interfaces.cli.output import console, emit, progress
from haulwright.interfaces.cli.text_design import show_check, show_design, show_rehearsal
from haulwright.interfaces.cli.text_predict import show_prediction
from haulwright.interfaces.cli.text_trial import show_campaign, show_devices
from haulwright.publishing.wording import comparison_sentence, comparison_word
from haulwright.quantities.numerals import read_number
from haulwright.quantities.units import parse_fraction

app = typer.Typer(
    help="A folder of runs: design, simulate, check, measure, fit, compare, predict.", rich_markup_mode=None
)
Folder = o.CampaignFolder

Rigs = Annotated[
    list[str],
    typer.Option(
        "--rig",
        help="Rig with every device in turn on all its blocks, or RIG=DEVICE;DEVICE from the drum. Repeat it.",
        metavar="RIG",
    ),
]
Names = Annotated[
    list[str] | None,
    typer.Option("--device", help="Device of campaign.yaml; all of them if none is given.", metavar="NAME"),
]
Repeats = Annotated[int, typer.Option("--repeats", help="Pulls of each rig with each device.", metavar="N")]
Series = Annotated[
    int, typer.Option("--series", help="Series pulls, from the first of the day to the last.", metavar="N")
]
Seed = Annotated[
    int, typer.Option("--seed", help="Of the order; the same seed gives the same sheet.", metavar="N")
]
Difference = Annotated[
    str | None,
    typer.Option(
        "--difference", help="Difference of advantage to be shown, e.g. 1%; else the margin.", metavar="D"
    ),
]
OnePull = Annotated[
    str | None,
    typer.Option(
        "--scatter", help="Standard deviation of one pull, from your own tests, e.g. 0.35%.", metavar="S"
    ),
]
Like = Annotated[
    Path | None,
    typer.Option(
        "--like", help="Earlier campaign folder whose scatter of one pull counts.", metavar="FOLDER"
    ),
]
Assumed = Annotated[
    list[str] | None,
    typer.Option(
        "--ratio", help="Tension ratio to reckon with, DEVICE=k; else that of its kind.", metavar="K"
    ),
]


@dataclass(frozen=True)
class Sheet:
    """What a run sheet is made from: the options that design and simulate share."""

    rig: Rigs
    device: Names = None
    repeats: Repeats = 2
    series: Series = 3
    seed: Seed = 1
    difference: Difference = None
    scatter: OnePull = None
    like: Like = None
    ratio: Assumed = None

    def choices(self) -> dict[str, Any]:
        """Return them as the verb takes them, but the rigs and the campaign it is like."""
        difference, scatter = self.difference, self.scatter
        return {
            "devices": self.device or (),
            "repeats": self.repeats,
            "series": self.series,
            "seed": self.seed,
            "difference": None if difference is None else parse_fraction(difference, what="--difference"),
            "scatter": None if scatter is None else parse_fraction(scatter, what="--scatter"),
            "ratios": dict(_assumed(text) for text in self.ratio or ()),
        }


@app.command()
@grouped
def design(
    folder: Folder,
    sheet: Sheet,
    one_log: Annotated[
        bool, typer.Option("--one-log", help="One joint log a run, not one of each cell.")
    ] = False,
    out: o.Out = None,
    as_json: o.AsJson = False,
) -> None:
    """A run sheet in random mirrored blocks with series pulls, and what it will tell; FOLDER needs campaign.yaml."""
    made = workflows.design_campaign(folder, sheet.rig, like=sheet.like, **sheet.choices())
    files = workflows.write_design(folder, made, out or folder / "results", one_log=one_log)
    emit(made, as_json, show_design)
    if not as_json:
        console().print("Written: " + ", ".join(str(file.path) for file in files.files))


@app.command()
@grouped
def simulate(
    folder: Folder,
    sheet: Sheet,
    campaigns: Annotated[int, typer.Option("--campaigns", help="How many are made up.", metavar="N")] = 60,
    logs: Annotated[
        bool, typer.Option("--logs", help="Make up the logs too and measure them: slow.")
    ] = False,
    as_json: o.AsJson = False,
) -> None:
    """The same design tried on made-up campaigns of known truth: will it answer the question?"""
    made = workflows.design_campaign(folder, sheet.rig, like=sheet.like, **sheet.choices())
    result = workflows.simulate_campaign(
        folder, made, campaigns=campaigns, seed=sheet.seed, logs=logs, progress=progress
    )
    emit(result, as_json, show_rehearsal)


@app.command()
def check(folder: Folder, as_json: o.AsJson = False) -> None:
    """Pass or redo for every run, with the reason, on the same day. Exit code 1 if any is to be redone or missing."""
    result = workflows.check_campaign(folder, progress=progress)
    emit(result, as_json, show_check)
    raise typer.Exit(workflows.check_exit_code(result))


@app.command()
def measure(
    folder: Folder,
    units: o.Units = "kN",
    out: o.Out = None,
    jobs: o.Jobs = None,
    so_far: Annotated[
        bool, typer.Option("--so-far", help="Only the runs whose logs are there; the others are told.")
    ] = False,
    as_json: o.AsJson = False,
) -> None:
    """Every run measured, repeats combined, devices fitted and compared; written to results/ (or --out).

    Runs are kept in its cache/: only what changed is measured again, and a stop in the middle loses nothing.
    """
    into = out or folder / "results"
    result = workflows.measure_campaign(folder, progress=progress, out=into, jobs=o.jobs(jobs), so_far=so_far)
    workflows.write_results(folder, result, into)
    emit(result, as_json, lambda screen, record: show_campaign(screen, record, units))


@app.command()
def fit(
    folder: Folder, units: o.Units = "kN", out: o.Out = None, jobs: o.Jobs = None, as_json: o.AsJson = False
) -> None:
    """Friction of every device over all rigs; written as devices.toml for plans to use."""
    into = out or folder / "results"
    result = workflows.measure_campaign(folder, progress=progress, out=into, jobs=o.jobs(jobs))
    files = workflows.write_devices(folder, result, into)
    emit(result, as_json, lambda screen, record: show_devices(screen, record, units))
    if not as_json:
        console().print(f"Written: {files.files[0].path}")


@app.command()
def compare(folder: Folder, as_json: o.AsJson = False) -> None:
    """Different, alike, or too few runs to tell: every pair of devices in the same rig."""
    result = workflows.measure_campaign(
        folder, progress=progress, out=folder / "results", jobs=o.jobs(None), keep=False
    )

    def show(screen, record):  # type: ignore[no-untyped-def]
        for one in record.comparisons:
            screen.print(f"{comparison_word(one)}: {comparison_sentence(one)}")

    emit(result, as_json, show)


@app.command()
def predict(
    folder: Folder,
    rig: Annotated[
        str,
        typer.Option("--rig", help="Named rig, one-line notation or rig file; angles too.", metavar="RIG"),
    ],
    device: Annotated[
        list[str] | None,
        typer.Option("--device", help="Device of the campaign at each block, from the drum.", metavar="NAME"),
    ] = None,
    load: o.Load = None,
    units: o.Units = "kN",
    jobs: o.Jobs = None,
    as_json: o.AsJson = False,
) -> None:
    """A rig that was not pulled, from the friction measured: advantage and winch share with their 95 % interval.

    For the mean of many pulls and for one new pull. Runs are kept in results/cache/, as measure keeps them.
    """
    found = workflows.predict_campaign(
        folder, rig, device or (), load=load, progress=progress, jobs=o.jobs(jobs)
    )
    emit(found, as_json, lambda screen, record: show_prediction(screen, record, units))


def _assumed(text: str) -> tuple[str, float]:
    name, _, k = text.partition("=")
    found = read_number(k) if k.strip() else None
    if found is None or not 1.0 <= found < 10.0:
        raise UsageRefusal("USAGE", f"--ratio {text!r}: expected DEVICE=k with k from 1 to 10.", (text,))
    return name.strip(), found
