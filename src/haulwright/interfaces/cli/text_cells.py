"""What stands beside a run or a campaign: further cells, gains, checks of the cells, heat and notes, in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from haulwright.interfaces.cli.output import rows, table
from haulwright.publishing.wording import force, plus_minus

if TYPE_CHECKING:
    from rich.console import Console

    from haulwright.workflows import CampaignResult, TrialResult


def show_beside(out: Console, t: TrialResult) -> None:
    """Print the gain that was taken off, the further cells, the heat and the notes of one run."""
    if t.gain is not None:
        out.print(
            f"Gain taken off: anchor cell {plus_minus(t.gain)} of the line cell's; as read {plus_minus(t.ratio)}"
        )
    for place, one in t.readings.items():
        k = f", k {plus_minus(one.k)} by itself" if one.k else ""
        out.print(f"{place} ÷ line {plus_minus(one.ratio)} (frictionless {one.frictionless:g}){k}")
    if t.heat:
        show_heat(out, (t,))


def show_heat(out: Console, runs: tuple[TrialResult, ...]) -> None:
    """Print the heat of the blocks beside the temperatures noted."""
    grid = table(
        "run", "block<", "device<", "heat, kJ", "heat, W", "rise at most, K", "before, °C", "after, °C"
    )
    lines = (
        (
            t.run,
            block,
            one.device,
            _number(one.heat_J, 1000.0, 1),
            _number(one.heat_W),
            _number(one.rise_bound_K),
            _number(one.before_C),
            _number(one.after_C),
        )
        for t in runs
        for block, one in t.heat.items()
    )
    out.print(rows(grid, lines))


def show_checks(out: Console, c: CampaignResult, units: str) -> None:
    """Print the checks of the cells, the further cells and the heat of a campaign."""
    for check in c.checks:
        what = "" if check.used else "; not used"
        out.print(
            f"{check.how.capitalize()} check {', '.join(check.runs)}: {check.anchor_cell} ÷ {check.line_cell} "
            f"{plus_minus(check.ratio)}{what}"
        )
        if len(check.steps) > 1:
            levels = (f"{force(s.line_N, units)} {s.direction} {plus_minus(s.ratio)}" for s in check.steps)
            out.print("  " + ", ".join(levels))
    for run in c.runs:
        for place, one in run.readings.items():
            out.print(f"{run.run}: {place} ÷ line {plus_minus(one.ratio)}")
    if any(run.heat for run in c.runs):
        show_heat(out, tuple(run for run in c.runs if run.heat))


def _number(value: float | None, unit: float = 1.0, digits: int = 0) -> str:
    return "" if value is None else f"{value / unit:.{digits}f}"
