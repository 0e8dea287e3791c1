"""``haulwright campaign``: measure, fit and compare a folder of runs."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from haulwright import workflows
from haulwright.interfaces.cli import options as o
from haulwright.interfaces.cli.output import console, emit, progress
from haulwright.interfaces.cli.text_trial import show_campaign, show_devices
from haulwright.publishing.wording import comparison_sentence, comparison_word

app = typer.Typer(help="A folder of runs: measure, fit, compare.", rich_markup_mode=None)
Folder = Annotated[
    Path, typer.Argument(help="Campaign folder with campaign.yaml and runs.csv.", metavar="FOLDER")
]


@app.command()
def measure(folder: Folder, units: o.Units = "kN", out: o.Out = None, as_json: o.AsJson = False) -> None:
    """Every run measured, repeats combined, devices fitted and compared; written to results/ (or --out)."""
    result = workflows.measure_campaign(folder, progress=progress)
    workflows.write_results(folder, result, out or folder / "results")
    emit(result, as_json, lambda screen, record: show_campaign(screen, record, units))


@app.command()
def fit(folder: Folder, units: o.Units = "kN", out: o.Out = None, as_json: o.AsJson = False) -> None:
    """Friction of every device over all rigs; written as devices.toml for plans to use."""
    result = workflows.measure_campaign(folder, progress=progress)
    files = workflows.write_devices(folder, result, out or folder / "results")
    emit(result, as_json, lambda screen, record: show_devices(screen, record, units))
    if not as_json:
        console().print(f"Written: {files.files[0].path}")


@app.command()
def compare(folder: Folder, as_json: o.AsJson = False) -> None:
    """Different, alike, or too few runs to tell: every pair of devices in the same rig."""
    result = workflows.measure_campaign(folder, progress=progress)

    def show(screen, record):  # type: ignore[no-untyped-def]
        for one in record.comparisons:
            screen.print(f"{comparison_word(one)}: {comparison_sentence(one)}")

    emit(result, as_json, show)
