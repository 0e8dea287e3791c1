"""A predicted rig in words: what it gives, how sure that is, what it rests on."""

from __future__ import annotations

from typing import TYPE_CHECKING

from haulwright.interfaces.cli.output import rows, table
from haulwright.publishing.wording import (
    device_list,
    force,
    force_plus_minus,
    force_range,
    left_out_sentence,
    percent,
    plus_minus,
    scatter_sentence,
)

if TYPE_CHECKING:
    from rich.console import Console

    from haulwright.workflows import Prediction


def show_prediction(out: Console, p: Prediction, units: str) -> None:
    """Print a prediction."""
    out.print(f"{p.rig} on {device_list(p.devices)}, from {p.campaign}")
    out.print(p.sentence)
    out.print(
        f"advantage    {plus_minus(p.advantage)}   (95 %, mean of many pulls; frictionless {p.frictionless:g})",
        style="bold",
    )
    out.print(f"             {plus_minus(p.advantage_one_pull)}   one new pull")
    out.print(f"winch share  {percent(p.winch_share)}   mean of many pulls")
    out.print(f"             {percent(p.winch_share_one_pull)}   one new pull")
    if p.effort_N is not None and p.load_N is not None:
        out.print(
            f"line pull    {force_plus_minus(p.effort_N, units)}   one new pull, at a load of {force(p.load_N, units)}"
        )
    if p.valid_load_N:
        out.print(
            f"holds for    loads of {force_range(*p.valid_load_N, units)}: what the devices were tested at"
        )
    grid = table("device", "k of one pass", "efficiency", "tested at<", "here<")
    lines = (
        (
            name,
            plus_minus(one.k),
            plus_minus(one.efficiency),
            force_range(*one.valid_N, units) if one.valid_N else "not told",
            f"{force_range(*one.haul_N, units)}{_inside(one.inside)}" if one.haul_N else "no load given",
        )
        for name, one in p.friction.items()
    )
    out.print(rows(grid, lines))
    for name, one in p.friction.items():
        if one.load_exponent is not None:
            out.print(f"{name}: k - 1 falls with the load to the power {plus_minus(one.load_exponent)}.")
    if p.tested:
        out.print(f"Measured in {', '.join(p.tested.runs)}: advantage {plus_minus(p.tested.advantage)}.")
    else:
        out.print("This rig with these devices was not measured in this campaign.")
    if p.scatter:
        out.print(scatter_sentence(p.scatter))
    if p.left_out:
        out.print(left_out_sentence(p.left_out))
    else:
        out.print(
            "How such predictions do is not known: no configuration could be predicted from the others."
        )


def _inside(inside: bool | None) -> str:
    return ", outside" if inside is False else ""
