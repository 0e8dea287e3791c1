"""A log, a run and a campaign in words and tables."""

from __future__ import annotations

from typing import TYPE_CHECKING

from haulwright.interfaces.cli.output import rows, table
from haulwright.interfaces.cli.text_cells import show_beside, show_checks
from haulwright.publishing.wording import (
    comparison_sentence,
    comparison_word,
    device_list,
    force,
    force_plus_minus,
    force_range,
    left_out_sentence,
    percent,
    plus_minus,
    scatter_sentence,
    seconds,
    stretch_sentence,
)

if TYPE_CHECKING:
    from rich.console import Console
    from rich.table import Table

    from haulwright.workflows import CampaignResult, LogRecord, TrialResult


def show_log(out: Console, log: LogRecord, units: str) -> None:
    """Print what was understood of a log."""
    for file in log.files:
        out.print(f"{file['path']}  sha256 {file['sha256'][:16]}…")
    out.print(
        "Read as: " + "; ".join(f"{key.replace('_', ' ')} {value}" for key, value in log.format.items())
    )
    out.print(_channels(log, units))
    out.print(
        "Rows: " + ", ".join(f"{count} {fate.replace('_', ' ')}" for fate, count in log.rows.items() if count)
    )
    if log.phases:
        out.print("Phases: " + ", ".join(f"{p.name} to {seconds(p.end_s)}" for p in log.phases))
    hauls = len({p.name for p in log.phases if p.name.startswith("haul")})
    if hauls:
        silences = sum(p.name == "silence" for p in log.phases)
        out.print(f"Hauls: {hauls}; silences: {silences}")


def _channels(record: LogRecord | TrialResult, units: str) -> Table:
    grid = table(
        "channel",
        "cell<",
        "unit",
        "per second",
        "used",
        "gaps",
        "clock offset, s",
        f"zero, {units}",
    )
    return rows(
        grid,
        (
            (
                place,
                c.cell or "not told",
                c.unit_read,
                f"{c.rate_Hz:.2g}",
                c.n,
                c.gaps,
                plus_minus(c.clock_offset_s) if c.clock_offset_s.u else "reference",
                force_plus_minus(c.zero_N, units, unit=False) if c.zero_N else "none",
            )
            for place, c in record.channels.items()
        ),
    )


def show_trial(out: Console, t: TrialResult, units: str) -> None:
    """Print one run."""
    devices = f" on {device_list(t.devices)}" if t.devices else ""
    out.print(f"{t.run}: {t.rig}{devices}")
    out.print(
        f"advantage    {plus_minus(t.advantage)}   (95 %; frictionless {t.frictionless:g})", style="bold"
    )
    lo, hi = t.interval95_repeatability
    out.print(f"             {lo:.4f} to {hi:.4f} against runs with the same cells")
    out.print(f"winch share  {percent(t.winch_share)}")
    for name, device in t.friction.items():
        valid = f", tested from {force_range(*device.valid_N, units)}" if device.valid_N else ""
        out.print(f"{name}: k {plus_minus(device.k)}, efficiency {plus_minus(device.efficiency)}{valid}")
    show_beside(out, t)
    for stretch in t.steady:
        out.print(stretch_sentence(stretch))
    out.print(
        "Mean forces: " + ", ".join(f"{place} {force_plus_minus(m, units)}" for place, m in t.mean_N.items())
    )
    out.print(_channels(t, units))
    grid = table("what it rests on", "u of the advantage", "share of the variance")
    out.print(rows(grid, ((b.term, f"{b.u:.4f}", f"{100 * b.share:.0f} %") for b in t.budget)))
    if t.sensitivity:
        changes = [100.0 * moved.change for moved in t.sensitivity]
        out.print(
            f"Moving or trimming the stretch by 5 s changes it by {min(changes):+.2f} to {max(changes):+.2f} %."
        )
    for what, how in t.choices.items():
        if what != "steady stretch":
            out.print(f"{what}: {how}")
    out.print("Quality: " + "; ".join(f"{key.replace('_', ' ')} {value}" for key, value in t.quality.items()))


def show_campaign(out: Console, c: CampaignResult, units: str) -> None:
    """Print a campaign: every run, every configuration, devices, comparisons, cells."""
    out.print(c.name, style="bold")
    runs = table("run", "rig<", "devices from the drum<", "line, " + units, "anchor, " + units, "advantage")
    out.print(
        rows(
            runs,
            (
                (
                    t.run if t.grade == "logged" else f"{t.run} ({t.grade})",
                    t.rig,
                    device_list(t.devices) or "none",
                    *(force(t.mean_N[place].value, units, unit=False) for place in ("line", "anchor")),
                    plus_minus(t.advantage),
                )
                for t in c.runs
            ),
        )
    )
    show_configurations(out, c)
    show_devices(out, c, units)
    if c.scatter:
        out.print(scatter_sentence(c.scatter))
    if c.left_out:
        out.print(left_out_sentence(c.left_out))
    for comparison in c.comparisons:
        out.print(f"{comparison_word(comparison)}: {comparison_sentence(comparison)}")
    for name, cell in c.cells.items():
        out.print(f"Cell {name}: gain {plus_minus(cell.gain)} of the line cell's")
    show_checks(out, c, units)
    for left_out in c.excluded:
        out.print(f"Left out: {left_out['run']}, {left_out['why']}", style="bold")


def show_configurations(out: Console, c: CampaignResult) -> None:
    """Print the configurations."""
    grid = table("rig", "devices from the drum<", "runs", "advantage", "ideal", "winch share")
    lines = (
        (
            one.rig,
            device_list(one.devices) or "none",
            one.n,
            plus_minus(one.advantage),
            f"{one.frictionless:g}",
            percent(one.winch_share),
        )
        for one in c.configurations
    )
    out.print(rows(grid, lines))


def show_devices(out: Console, c: CampaignResult, units: str) -> None:
    """Print the friction of the devices."""
    grid = table("device", "k of one pass", "efficiency", "tested at line pulls<")
    lines = (
        (
            name,
            plus_minus(d.k),
            plus_minus(d.efficiency),
            force_range(*d.valid_N, units) if d.valid_N else "not told",
        )
        for name, d in c.devices.items()
    )
    out.print(rows(grid, lines))
