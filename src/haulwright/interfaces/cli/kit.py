"""``haulwright kit``: the gear that is owned, and what it stands."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import Annotated

import typer

from haulwright import workflows
from haulwright.interfaces.cli import options as o
from haulwright.interfaces.cli.output import emit
from haulwright.interfaces.cli.text_kit import check_kit, show_kinds, show_kit

kit_app = typer.Typer(help="The gear that is owned.", rich_markup_mode=None)
KitFile = Annotated[Path, typer.Argument(help="Kit file.", metavar="KIT")]
Day = Annotated[
    dt.datetime | None,
    typer.Option(
        "--day", formats=["%Y-%m-%d"], help="Day the due dates are held against; today.", metavar="DATE"
    ),
]


@kit_app.command("show")
def kit_show(kit: KitFile, day: Day = None, units: o.Units = "kN", as_json: o.AsJson = False) -> None:
    """Every item with its mark, the basis of it, its working limit, its dates, and what is not known."""
    record = workflows.show_kit(kit, day=_date(day))
    emit(record, as_json, lambda out, found: show_kit(out, found, units))


@kit_app.command("check")
def kit_check(
    kit: KitFile,
    pull: Annotated[
        list[Path] | None,
        typer.Option(
            "--pull",
            help="Also the places of a pull's chosen rig, planned with this kit; once or more.",
            metavar="PULL",
        ),
    ] = None,
    day: Day = None,
    units: o.Units = "kN",
    as_json: o.AsJson = False,
) -> int:
    """Every item against winch stall in each use it could have. Exit 1: an item is over or unknown (with --pull: there)."""
    pulls = None if not pull else pull[0] if len(pull) == 1 else pull
    record = workflows.show_kit(kit, pull=pulls, day=_date(day))
    emit(record, as_json, lambda out, found: check_kit(out, found, units))
    return workflows.kit_exit_code(record)


@kit_app.command("kinds")
def kit_kinds(as_json: o.AsJson = False) -> None:
    """Every kind of piece: where its mark is, what the mark usually means, and when it is taken out of use."""
    emit(workflows.list_kit_kinds(), as_json, show_kinds)


def _date(day: dt.datetime | None) -> dt.date | None:
    return None if day is None else day.date()
