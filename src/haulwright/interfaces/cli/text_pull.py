"""Resistance, plan, kit, published values and the demo in words and tables."""

from __future__ import annotations

from typing import TYPE_CHECKING

from haulwright.interfaces.cli.output import notices, rows, table
from haulwright.interfaces.cli.text_trial import show_configurations, show_devices
from haulwright.publishing.wording import force, percent, plus_minus

if TYPE_CHECKING:
    from rich.console import Console

    from haulwright.workflows import Candidate, Demo, Files, KitCheck, Plan, PublishedCheck, Resistance


def show_resistance(out: Console, record: Resistance, units: str) -> None:
    """Print every rule side by side, what drives it, and which are left out."""
    out.print(f"Weight {force(record.weight_N, units)}. The plan takes: {record.chosen}.")
    grid = table("rule", f"low, {units}", "likely", "high", "breakout", "driven by<")
    out.print(
        rows(
            grid,
            (
                (
                    rule.name,
                    *(
                        force(x, units, unit=False)
                        for x in (rule.low_N, rule.likely_N, rule.high_N, rule.breakout_N)
                    ),
                    ", ".join(f"{d.name} {100 * d.share:.0f} %" for d in rule.drivers),
                )
                for rule in record.rules
            ),
        )
    )
    for rule in record.rules:
        out.print(f"{rule.name}: {rule.source}. {rule.note}")
    for left_out in record.left_out:
        out.print(f"Left out: {left_out.name}, {left_out.reason}")


def show_plan(out: Console, plan: Plan, units: str) -> None:
    """Print the ranked rigs, every item of the chosen one, zone, checklist and brief."""
    show_rigs_ranked(out, plan, units)
    if plan.best:
        show_items(out, plan.best, units)
    zone = plan.zone
    out.print(
        f"Nobody within {zone.radius_m:.1f} m ({zone.rule}); never {'; '.join(zone.never)}.", style="bold"
    )
    out.print("Before the pull:")
    for line in plan.checklist:
        out.print(f"  [ ] {line}")
    out.print("Brief:")
    for line in plan.brief:
        out.print(f"  {line}")


def show_rigs_ranked(out: Console, plan: Plan, units: str) -> None:
    """Print resistance and the ranked rigs; rejected ones say what they lacked."""
    r = plan.resistance_N
    out.print(
        f"{plan.pull}: needs {force(r.likely, units)} ({force(r.low, units)} to {force(r.high, units)}) "
        f"by {r.chosen}; to start it up to {force(r.breakout, units)}."
    )
    grid = table("rig", "verdict<", "advantage", "winch share", f"effort, {units}", f"at stall, {units}")
    grid.columns[0].min_width = 27
    lines = (
        (
            f"{c.rank}  {c.rig}",
            c.verdict,
            plus_minus(plan.measured(c, "advantage")),
            percent(plan.measured(c, "winch_share")),
            f"{force(c.effort_N.likely, units, unit=False)} to {force(c.effort_N.high, units, unit=False)}",
            force(c.stall_N, units, unit=False),
        )
        for c in plan.candidates
    )
    out.print(rows(grid, lines))
    for c in plan.candidates:
        out.print(f"{c.rank}  {c.why}")
    for rejected in plan.rejected:
        out.print(f"Not possible: {rejected.rig}, it lacks {rejected.lacked}")


def show_items(out: Console, chosen: Candidate, units: str) -> None:
    """Print every item of one rig: likely, at stall, its limit and the verdict."""
    out.print(f"\n{chosen.rig}: {chosen.sentence}", style="bold")
    grid = table("item", "where<", f"likely, {units}", "at stall", "limit", "basis<", "verdict<")
    lines = (
        (
            i.item,
            i.role,
            force(i.load_N.likely, units, unit=False),
            force(i.load_N.stall, units, unit=False),
            "unknown" if i.limit_N is None else force(i.limit_N, units, unit=False),
            i.basis,
            i.verdict if i.utilisation is None else f"{i.verdict} {100 * i.utilisation:.0f} %",
        )
        for i in chosen.items
    )
    out.print(rows(grid, lines))
    for item in chosen.items:
        if item.note:
            out.print(f"{item.item}: {item.note.rstrip('.')}.")
    notices(out, chosen.notices)


def show_kit(out: Console, record: KitCheck, units: str) -> None:
    """Print every item with its limit against the greatest winch stall of the kit."""
    out.print(
        f"{record.kit_name}: winch stall {force(record.stall_N, units)}"
        if record.stall_N
        else record.kit_name
    )
    grid = table("item", "kind<", f"limit, {units}", "basis<", f"load at stall, {units}", "verdict<", "note<")
    lines = (
        (
            i.item,
            i.role,
            "unknown" if i.limit_N is None else force(i.limit_N, units, unit=False),
            i.basis,
            force(i.load_N.stall, units, unit=False) if record.stall_N else "–",
            i.verdict,
            i.note,
        )
        for i in record.items
    )
    out.print(rows(grid, lines))


def show_check(out: Console, record: PublishedCheck) -> None:
    """Print every published value beside the computed one, source by source."""
    for source in dict.fromkeys(row.source for row in record.rows):
        out.print(source, style="bold")
        grid = table("printed item", "printed", "computed", "difference", "tolerance", "agrees<")
        grid.columns[0].width = 44
        lines = (
            (
                r.item,
                f"{r.printed_text} {r.unit}".removesuffix(" 1"),
                f"{r.computed:.6g}",
                f"{r.difference:+.2g}",
                f"{r.tolerance:.2g}",
                {True: "yes", False: "NO", None: "not counted"}[r.ok],
            )
            for r in record.rows
            if r.source == source
        )
        out.print(rows(grid, lines))
    tally = f"{record.checked} checked, {record.agreeing} agree, {record.differing} differ"
    carried = f"{record.carried} of them are entries of the catalogue held against their print"
    out.print(f"{tally}; {carried}; {record.from_memory} from memory shown only.")


def show_files(out: Console, record: Files) -> None:
    """Print the files that were written."""
    for file in record.files:
        out.print(f"{file.path}  {file.what}")


def show_demo(out: Console, record: Demo, units: str) -> None:
    """Print what the demo measured, planned and wrote."""
    out.print("Invented demo data: no real device, place or person.\n", style="bold")
    out.print("Measured on the drag lane", style="bold")
    campaign, plan = record._campaign, record._plan
    if campaign is None or plan is None:
        return
    show_configurations(out, campaign)
    show_devices(out, campaign, units)
    out.print("Planned with the measured friction", style="bold")
    show_rigs_ranked(out, plan, units)
    if plan.best:
        show_items(out, plan.best, units)
    out.print("\nFiles", style="bold")
    show_files(out, record)
