"""``haulwright trial``: read one log, measure one run."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any

import typer

from haulwright import workflows
from haulwright.interfaces.cli import options as o
from haulwright.interfaces.cli.grouped import grouped
from haulwright.interfaces.cli.output import emit
from haulwright.interfaces.cli.text_trial import show_log, show_trial

app = typer.Typer(help="One run: read its log, measure it.", rich_markup_mode=None)
Logs = Annotated[
    list[str], typer.Argument(help="One joint log, or line log and anchor log.", metavar="LOG [LOG2]")
]
Line = Annotated[
    str | None,
    typer.Option("--line", help="Column of the winch-line cell, by label or number.", metavar="COLUMN"),
]
Anchor = Annotated[
    str | None,
    typer.Option("--anchor", help="Column of the anchor cell, by label or number.", metavar="COLUMN"),
]
Unit = Annotated[
    str | None,
    typer.Option(
        "--unit",
        help="Unit of the forces, where the file does not tell: kgf, or line=kN,anchor=kgf.",
        metavar="UNIT",
    ),
]
Dates = Annotated[
    str | None,
    typer.Option(
        "--dates",
        help="day-first, month-first or year-first, where the stamps can be read both ways.",
        metavar="ORDER",
    ),
]
Time = Annotated[str | None, typer.Option("--time", help="Column of the time.", metavar="COLUMN")]
Clock = Annotated[
    str | None,
    typer.Option(
        "--clock",
        help="Unit of a plain time column: s, ms, us, min, h, day; or mm:ss, hh:mm.",
        metavar="CLOCK",
    ),
]
Separator = Annotated[
    str | None,
    typer.Option("--separator", help="tab, semicolon, comma, bar or space.", metavar="MARK"),
]
Decimal = Annotated[
    str | None, typer.Option("--decimal", help="Decimal mark: point or comma.", metavar="MARK")
]
Encoding = Annotated[
    str | None, typer.Option("--encoding", help="Text encoding, such as utf-8 or cp1252.", metavar="NAME")
]
SheetName = Annotated[
    str | None, typer.Option("--sheet", help="Sheet of a workbook, by name or number.", metavar="SHEET")
]

Zone = Annotated[
    str | None,
    typer.Option(
        "--zone",
        help="Zone of stamps that state none: UTC, +02:00, Europe/Paris, or line=UTC,anchor=+02:00.",
        metavar="ZONE",
    ),
]


@dataclass(frozen=True)
class LogFormat:
    """What is not to be found out about the format of a log: the options that read and measure share."""

    line: Line = None
    anchor: Anchor = None
    unit: Unit = None
    dates: Dates = None
    time: Time = None
    clock: Clock = None
    separator: Separator = None
    decimal: Decimal = None
    encoding: Encoding = None
    sheet: SheetName = None
    zone: Zone = None

    def choices(self) -> dict[str, Any]:
        """Return them as the verbs take them."""
        return {
            "line_column": self.line,
            "anchor_column": self.anchor,
            "unit": self.unit,
            "date_order": self.dates,
            "time_column": self.time,
            "clock": self.clock,
            "separator": self.separator,
            "decimal": self.decimal,
            "encoding": self.encoding,
            "sheet": self.sheet,
            "zone": self.zone,
        }


@app.command()
@grouped
def read(logs: Logs, log: LogFormat, units: o.Units = "kN", as_json: o.AsJson = False) -> None:
    """What was understood of a log: format, units, clocks, every row's fate, phases."""
    record = workflows.read_trial(logs, **log.choices())
    emit(record, as_json, lambda out, found: show_log(out, found, units))


@app.command()
@grouped
def measure(
    logs: Annotated[
        list[str] | None,
        typer.Argument(
            help="One joint log, or line log and anchor log; none with --typed.", metavar="LOG [LOG2]"
        ),
    ] = None,
    *,
    rig: Annotated[
        str, typer.Option("--rig", help="Named rig, one-line notation or rig file.", metavar="RIG")
    ],
    device: Annotated[
        list[str] | None,
        typer.Option("--device", help="Device at each block, from the drum.", metavar="NAME"),
    ] = None,
    log: LogFormat,
    anchor_at: Annotated[
        str | None,
        typer.Option(
            "--anchor-at",
            help="Place of the anchor cell, if it does not read the whole load.",
            metavar="PLACE",
        ),
    ] = None,
    cell_class: Annotated[
        str | None,
        typer.Option("--cell-class", help="Accuracy class of both cells, of reading.", metavar="0.5%"),
    ] = None,
    cell: Annotated[
        list[str] | None,
        typer.Option("--cell", help="One cell: line:class=0.5%,of=range,capacity=3t.", metavar="SPEC"),
    ] = None,
    typed: Annotated[
        list[str] | None,
        typer.Option(
            "--typed",
            help="Forces typed from the displays in place of a log: line=612kgf anchor='1120 ± 10 kgf'.",
            metavar="PLACE=FORCE",
        ),
    ] = None,
    steady: Annotated[
        list[str] | None,
        typer.Option(
            "--steady", help="Steady stretch by hand, seconds of the line's clock.", metavar="95:160"
        ),
    ] = None,
    clock_offset: Annotated[
        list[str] | None,
        typer.Option(
            "--clock-offset",
            help="Anchor's stamp less the line's, by hand; PLACE=1.2s of another channel.",
            metavar="1.2s",
        ),
    ] = None,
    zero: Annotated[
        list[str] | None,
        typer.Option("--zero", help="Zero to take off by hand.", metavar="line=2kgf"),
    ] = None,
    by: Annotated[str, typer.Option("--by", help="Who chose by hand.", metavar="NAME")] = "",
    why: Annotated[str, typer.Option("--why", help="Why.", metavar="TEXT")] = "",
    units: o.Units = "kN",
    as_json: o.AsJson = False,
) -> None:
    """The advantage a run really reached, with its uncertainty, and the friction of its device."""
    record = workflows.measure_trial(
        o.logs_or_typed(logs, typed),
        rig=rig,
        devices=tuple(device or ()),
        anchor_at=anchor_at,
        cells=o.cells(cell, cell_class),
        steady=steady or (),
        clock_offset=o.clock_offsets(clock_offset),
        zeros=o.zeros(zero),
        by=by,
        why=why,
        **log.choices(),
    )
    emit(record, as_json, lambda out, result: show_trial(out, result, units))
