"""``haulwright trial``: read one log, measure one run."""

from __future__ import annotations

from typing import Annotated

import typer

from haulwright import workflows
from haulwright.interfaces.cli import options as o
from haulwright.interfaces.cli.output import emit
from haulwright.interfaces.cli.text_trial import show_log, show_trial

app = typer.Typer(help="One run: read its log, measure it.", rich_markup_mode=None)
Logs = Annotated[
    list[str], typer.Argument(help="One joint log, or line log and anchor log.", metavar="LOG [LOG2]")
]
Line = Annotated[str | None, typer.Option("--line", help="Column of the winch-line cell.", metavar="COLUMN")]
Anchor = Annotated[str | None, typer.Option("--anchor", help="Column of the anchor cell.", metavar="COLUMN")]
Unit = Annotated[
    str | None,
    typer.Option("--unit", help="Unit of the forces, where the file does not tell.", metavar="UNIT"),
]
Dates = Annotated[
    str | None,
    typer.Option(
        "--dates", help="day-first or month-first, where the stamps can be read both ways.", metavar="ORDER"
    ),
]


@app.command()
def read(
    logs: Logs,
    line: Line = None,
    anchor: Anchor = None,
    unit: Unit = None,
    dates: Dates = None,
    units: o.Units = "kN",
    as_json: o.AsJson = False,
) -> None:
    """What was understood of a log: format, units, clocks, every row's fate, phases."""
    record = workflows.read_trial(logs, line_column=line, anchor_column=anchor, unit=unit, date_order=dates)
    emit(record, as_json, lambda out, log: show_log(out, log, units))


@app.command()
def measure(
    logs: Logs,
    rig: Annotated[
        str, typer.Option("--rig", help="Named rig, one-line notation or rig file.", metavar="RIG")
    ],
    device: Annotated[
        list[str] | None,
        typer.Option("--device", help="Device at each block, from the drum.", metavar="NAME"),
    ] = None,
    line: Line = None,
    anchor: Anchor = None,
    anchor_at: Annotated[
        str | None,
        typer.Option(
            "--anchor-at",
            help="Place of the anchor cell, if it does not read the whole load.",
            metavar="PLACE",
        ),
    ] = None,
    unit: Unit = None,
    dates: Dates = None,
    cell_class: Annotated[
        str | None,
        typer.Option("--cell-class", help="Accuracy class of both cells, of reading.", metavar="0.5%"),
    ] = None,
    cell: Annotated[
        list[str] | None,
        typer.Option("--cell", help="One cell: line:class=0.5%,of=range,capacity=3t.", metavar="SPEC"),
    ] = None,
    units: o.Units = "kN",
    as_json: o.AsJson = False,
) -> None:
    """The advantage a run really reached, with its uncertainty, and the friction of its device."""
    record = workflows.measure_trial(
        logs,
        rig=rig,
        devices=tuple(device or ()),
        line_column=line,
        anchor_column=anchor,
        anchor_at=anchor_at,
        unit=unit,
        date_order=dates,
        cells=o.cells(cell, cell_class),
    )
    emit(record, as_json, lambda out, result: show_trial(out, result, units))
