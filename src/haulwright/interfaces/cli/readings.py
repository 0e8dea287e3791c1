"""``haulwright plan check``: two readings under light tension against the rig as drawn."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from haulwright import workflows
from haulwright.interfaces.cli import options as o
from haulwright.interfaces.cli.output import emit, rows, table
from haulwright.publishing.wording import force, plus_minus

if TYPE_CHECKING:
    from rich.console import Console

    from haulwright.workflows import ReadingsCheck

_STYLE = {"as drawn": "bold", "suspect": "bold red", "cannot tell": "bold yellow"}


def check(
    pull: Annotated[Path, typer.Argument(help="Pull file.", metavar="PULL")],
    line: Annotated[
        str, typer.Option("--line", help="Reading of the cell in the winch line: '2.1 kN'.", metavar="F")
    ],
    anchor: Annotated[
        str, typer.Option("--anchor", help="Reading of the cell at the anchor: '3.9 ± 0.1 kN'.", metavar="F")
    ],
    at: Annotated[
        str | None,
        typer.Option("--at", help="Anchor whose cell it is; the most loaded, else.", metavar="NAME"),
    ] = None,
    rig: Annotated[
        str | None, typer.Option("--rig", help="The rig as rigged; the chosen one, else.", metavar="RIG")
    ] = None,
    friction: Annotated[
        Path | None,
        typer.Option("--friction", help="devices.toml used in place of the pull's.", metavar="FILE"),
    ] = None,
    moving: Annotated[bool, typer.Option("--moving", help="It hauls slowly and steadily.")] = False,
    zero: Annotated[
        str | None,
        typer.Option("--zero", help="How far the unloaded cells may be from zero: '30 N'.", metavar="F"),
    ] = None,
    units: o.Units = "kN",
    as_json: o.AsJson = False,
) -> int:
    """Whether the rig is as drawn, by two readings under light tension. Exit 1: suspect, too light to tell, or over the plan."""
    record = workflows.check_readings(
        pull, line=line, anchor=anchor, at=at, rig=rig, friction=friction, moving=moving, zero=zero
    )
    emit(record, as_json, lambda out, one: show_readings(out, one, units))
    return workflows.readings_exit_code(record)


def show_readings(out: Console, record: ReadingsCheck, units: str) -> None:
    """Print the verdict, what to do, and every explanation that was held against the readings."""
    state = "while it moves" if record.moving else "standing still"
    out.print(
        f"{record.verdict.upper()}: {record.pull}, {record.rig}, {state}.", style=_STYLE[record.verdict]
    )
    for line in record.words:
        out.print(f"  {line}")
    out.print(
        f"Line {force(record.line_N.value, units)}, {record.place} {force(record.anchor_N.value, units)}: "
        f"anchor ÷ line {plus_minus(record.ratio)}."
    )
    grid = table("what it would be", "in words<", "anchor ÷ line", "agrees<")
    lines = (
        (one.what, one.words, _range(one.low, one.high), "yes" if one.fits else "no")
        for one in record.explanations
    )
    out.print(rows(grid, lines))


def _range(low: float, high: float | None) -> str:
    if high is None:
        return f"from {low:.2f}"
    return f"{low:.2f}" if abs(high - low) < 0.005 else f"{low:.2f} to {high:.2f}"
