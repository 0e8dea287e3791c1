"""``haulwright plan``: the ranked rigs."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from haulwright import workflows
from haulwright.interfaces.cli import options as o
from haulwright.interfaces.cli.output import emit
from haulwright.interfaces.cli.readings import check
from haulwright.interfaces.cli.resistance import seen
from haulwright.interfaces.cli.text_pull import show_plan
from haulwright.interfaces.cli.text_pull_steps import show_pull_steps

plan_app = typer.Typer(help="From a stuck vehicle to ranked rigs.", rich_markup_mode=None)
PullFile = Annotated[Path, typer.Argument(help="Pull file.", metavar="PULL")]


@plan_app.command()
def make(
    pull: PullFile,
    friction: Annotated[
        Path | None,
        typer.Option("--friction", help="devices.toml used in place of the pull's.", metavar="FILE"),
    ] = None,
    kit: Annotated[
        Path | None, typer.Option("--kit", help="Kit file used in place of the pull's.", metavar="FILE")
    ] = None,
    rig: Annotated[str | None, typer.Option("--rig", help="Check this one rig.", metavar="RIG")] = None,
    units: o.Units = "kN",
    as_json: o.AsJson = False,
) -> int:
    """Ranked rigs with every item's margin at the expected load and at stall. Exit 1: chosen rig over or unknown."""
    plan = workflows.make_plan(pull, friction=friction, kit=kit, rig=rig)
    emit(plan, as_json, lambda out, record: show_plan(out, record, units))
    return workflows.plan_exit_code(plan)


@plan_app.command("pull")
def pull_steps(
    pull: PullFile,
    rig: Annotated[
        str | None,
        typer.Option("--rig", help="A rig of the plan by its name, or one rig to check.", metavar="RIG"),
    ] = None,
    steps: Annotated[int, typer.Option("--steps", help="Steps of the whole travel.", metavar="N")] = 200,
    friction: Annotated[
        Path | None,
        typer.Option("--friction", help="devices.toml used in place of the pull's.", metavar="FILE"),
    ] = None,
    kit: Annotated[
        Path | None, typer.Option("--kit", help="Kit file used in place of the pull's.", metavar="FILE")
    ] = None,
    units: o.Units = "kN",
    as_json: o.AsJson = False,
) -> None:
    """The chosen rig along its travel: layers, line pull, current, peaks, and where to stop. --json has every step."""
    record = workflows.step_pull(pull, rig=rig, steps=steps, friction=friction, kit=kit)
    emit(record, as_json, lambda out, found: show_pull_steps(out, found, units))


plan_app.command("check")(check)
plan_app.command("seen")(seen)
