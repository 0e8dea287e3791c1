"""A design, its rehearsal and the check of the day in words and tables."""

from __future__ import annotations

from typing import TYPE_CHECKING

from haulwright.interfaces.cli.output import rows, table
from haulwright.publishing.wording import device_list, plus_minus
from haulwright.quantities.numerals import print_number

if TYPE_CHECKING:
    from rich.console import Console

    from haulwright.workflows import CampaignCheck, CampaignDesign, CampaignRehearsal

VERDICTS = {"pass": "pass", "redo": "REDO", "missing": "MISSING", "left_out": "left out"}


def show_design(out: Console, d: CampaignDesign) -> None:
    """Print a run sheet and what it will tell."""
    out.print(f"{d.name}: {len(d.runs)} runs, seed {d.seed}", style="bold")
    grid = table("run", "rig<", "devices from the drum<", "block")
    lines = (
        (r.run, r.rig, device_list(r.devices) if r.devices else "none", r.block or "series") for r in d.runs
    )
    out.print(rows(grid, lines))
    grid = table("device", "k assumed", "k will be known to ±, 95 %")
    out.print(
        rows(
            grid,
            (
                (name, f"{one.k:.3f}", "not at all" if one.half95 is None else print_number(one.half95, 4))
                for name, one in d.devices.items()
            ),
        )
    )
    p = d.pulls
    out.print(
        f"Difference of {_percent(p.difference)}: chance {100 * p.power_difference:.0f} % with {d.repeats} pulls of each; "
        f"80 % takes {p.to_differ}. Alike within {_percent(p.margin)}: chance {100 * p.power_equivalent:.0f} %; "
        f"80 % takes {p.to_equal}. One pull scatters by {_percent(p.scatter)}."
    )


def show_rehearsal(out: Console, r: CampaignRehearsal) -> None:
    """Print how a design did on made-up campaigns."""
    how = "measured from made-up logs" if r.from_logs else "results made directly"
    out.print(f"{r.name}: {r.campaigns} made-up campaigns, {how}, seed {r.seed}", style="bold")
    grid = table("pair", "true, %", "different", "alike", "small but real", "undecided")
    out.print(
        rows(
            grid,
            (
                (
                    f"{p.a} / {p.b}",
                    f"{100 * (p.ratio - 1):+.2f}",
                    *(f"{100 * x:.0f} %" for x in (p.different, p.equivalent, p.small_but_real, p.undecided)),
                )
                for p in r.pairs
            ),
        )
    )
    grid = table("value", "true", "rms error", "half 95 % interval", "held the truth")
    values = [*((f"k of {name}", one) for name, one in r.devices.items())]
    values += [(name.removesuffix(": "), one) for name, one in r.advantages.items()]
    out.print(
        rows(
            grid,
            (
                (n, f"{v.true:.4f}", f"{v.rmse:.4f}", f"{v.half95:.4f}", f"{100 * v.held:.0f} %")
                for n, v in values
            ),
        )
    )


def show_check(out: Console, c: CampaignCheck) -> None:
    """Print pass or redo for every run, and files that belong to none."""
    out.print(c.name, style="bold")
    grid = table("run", "verdict<", "advantage", "why<")
    out.print(
        rows(
            grid,
            (
                (
                    r.run,
                    VERDICTS[r.verdict],
                    plus_minus(r.advantage) if r.advantage else "",
                    "; ".join(r.reasons),
                )
                for r in c.runs
            ),
        )
    )
    if c.unmatched:
        out.print("Logs of no run: " + ", ".join(c.unmatched), style="bold")
    counts = {word: sum(r.verdict == word for r in c.runs) for word in VERDICTS}
    out.print(", ".join(f"{n} {VERDICTS[word]}" for word, n in counts.items() if n))


def _percent(value: float) -> str:
    return f"{print_number(100.0 * value, 2)} %"
