"""``haulwright resistance``, ``plan`` and ``kit``: the stuck vehicle, the ranked rigs, the gear."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from haulwright import workflows
from haulwright.interfaces.cli import options as o
from haulwright.interfaces.cli.output import emit
from haulwright.interfaces.cli.text_pull import show_kit, show_plan, show_resistance

plan_app = typer.Typer(help="From a stuck vehicle to ranked rigs.", rich_markup_mode=None)
kit_app = typer.Typer(help="The gear that is owned.", rich_markup_mode=None)
PullFile = Annotated[Path, typer.Argument(help="Pull file.", metavar="PULL")]


def resistance(pull: PullFile, units: o.Units = "kN", as_json: o.AsJson = False) -> None:
    """The stuck vehicle's resistance by several published rules side by side."""
    emit(
        workflows.estimate_resistance(pull), as_json, lambda out, record: show_resistance(out, record, units)
    )


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


@kit_app.command("show")
def kit_show(
    kit: Annotated[Path, typer.Argument(help="Kit file.", metavar="KIT")],
    units: o.Units = "kN",
    as_json: o.AsJson = False,
) -> None:
    """Every item with its working limit, the basis of it, and what is not known."""
    emit(workflows.show_kit(kit), as_json, lambda out, record: show_kit(out, record, units))
