"""``haulwright rig``: solve, draw, list and find rigs."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from haulwright import workflows
from haulwright.interfaces.cli import options as o
from haulwright.interfaces.cli.output import emit
from haulwright.interfaces.cli.text_rig import show_rigs, show_solution, show_tackles

app = typer.Typer(help="Solve, draw, list and find rigs.", rich_markup_mode=None)
Given = Annotated[str, typer.Argument(help="A rig file, one-line notation or a named rig.", metavar="RIG")]
Stall = Annotated[
    str | None,
    typer.Option(
        "--stall", help="Line pull of the winch at stall, shown beside; else the file's.", metavar="F"
    ),
]


@app.command()
def solve(
    rig: Given,
    ratio: o.Ratio = None,
    load: o.Load = None,
    effort: Annotated[
        str | None, typer.Option("--effort", help="Line pull at the drum instead of the load.", metavar="F")
    ] = None,
    stall: Stall = None,
    letting_back: Annotated[
        bool, typer.Option("--letting-back", help="Also let back under the same load.")
    ] = False,
    seized: o.Seized = None,
    law: o.Law = None,
    device: o.Device = None,
    travel: Annotated[
        str | None,
        typer.Option("--travel", help="Travel of the load wanted, in place of the file's.", metavar="LENGTH"),
    ] = None,
    monte_carlo: Annotated[
        int | None,
        typer.Option("--monte-carlo", help="Intervals from so many random draws, e.g. 10000.", metavar="N"),
    ] = None,
    seed: Annotated[
        int | None, typer.Option("--seed", help="Of the draws; the same seed, the same answer.", metavar="S")
    ] = None,
    units: o.Units = "kN",
    as_json: o.AsJson = False,
) -> None:
    """Every tension, load, travel and heat of a rig."""
    k = o.ratios(ratio)
    read = workflows.read_rig(rig, o.laws(law))
    solution = workflows.solve_rig(
        read,
        k,
        load=load,
        effort=effort,
        letting_back=letting_back,
        seized=o.seized(seized),
        devices=o.devices(device),
        travel=travel,
        **o.draws(monte_carlo, seed),
    )
    at_stall_N = workflows.stated_stall(read) if stall is None else stall
    at_stall = (
        ()
        if at_stall_N is None
        else workflows.solve_at_stall(read, k, at_stall_N, o.devices(device), o.seized(seized))
    )
    if at_stall:
        solution = workflows.with_stall(solution, at_stall, read)
    emit(solution, as_json, lambda out, record: show_solution(out, record, at_stall, units))


@app.command()
def draw(
    rig: Given,
    ratio: o.Ratio = None,
    load: o.Load = None,
    stall: Stall = None,
    seized: o.Seized = None,
    law: o.Law = None,
    device: o.Device = None,
    light: Annotated[str, typer.Option("--light", help="paper, sun, night or print.")] = "paper",
    size: Annotated[str, typer.Option("--size", help="laptop, phone or card.")] = "laptop",
    units: o.Units = "kN",
    out: Annotated[Path, typer.Option("--out", help="Folder the SVG is written to.", metavar="DIR")] = Path(
        "haulwright-out"
    ),
    as_json: o.AsJson = False,
) -> None:
    """The rig as a plan of the ground with the line unrolled beneath, as SVG."""
    files = workflows.draw_rig(
        workflows.read_rig(rig, o.laws(law)),
        o.ratios(ratio),
        load=load,
        stall=stall,
        seized=o.seized(seized),
        devices=o.devices(device),
        units=units,
        light=light,
        size=size,
        out=out,
    )
    emit(files, as_json, lambda console, record: console.print(f"Drawn: {record.files[0].path}"))


@app.command("list")
def list_(as_json: o.AsJson = False) -> None:
    """Every named rig with its path from the drum."""
    emit(workflows.list_rigs(), as_json, show_rigs)


@app.command()
def find(
    advantage: Annotated[
        float | None,
        typer.Option(
            "--advantage", help="Actual advantage to reach; without it the greatest come first.", metavar="X"
        ),
    ] = None,
    ratio: Annotated[
        float, typer.Option("--ratio", help="Tension ratio k of every block; 1 is no friction.", metavar="K")
    ] = 1.0,
    blocks: Annotated[
        int | None,
        typer.Option("--blocks", help="Single blocks there are, one for each sheave.", metavar="N"),
    ] = None,
    ropes: Annotated[
        int | None, typer.Option("--ropes", help="Lines there are, the winch line included.", metavar="N")
    ] = None,
    winch: Annotated[str | None, typer.Option("--winch", help="on-load or off-load.")] = None,
    limit: Annotated[int, typer.Option("--limit", help="Tackles listed.", metavar="N")] = 10,
    as_json: o.AsJson = False,
) -> None:
    """Tackles that reach an advantage with the gear there is, fewest sheaves first."""
    found = workflows.find_tackles(
        advantage, ratio=ratio, blocks=blocks, ropes=ropes, winch=winch, limit=limit
    )
    emit(found, as_json, show_tackles)
