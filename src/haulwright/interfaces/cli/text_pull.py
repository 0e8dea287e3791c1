"""Plan, published values and the demo in words and tables."""

from __future__ import annotations

from typing import TYPE_CHECKING

from haulwright.interfaces.cli.output import notices, rows, table
from haulwright.interfaces.cli.text_sure import show_siblings, show_uncertainty
from haulwright.interfaces.cli.text_trial import show_configurations, show_devices
from haulwright.publishing.wording import force, of_limit, percent, plus_minus

if TYPE_CHECKING:
    from rich.console import Console

    from haulwright.workflows import Candidate, Demo, Files, Plan, PublishedCheck


MOST_RANKED = 12
MOST_REJECTED = 8
FIRST = ("STOP_PROFESSIONAL", "RUNAWAY", "DRUM_FULL")  # what must be read before any number


def show_plan(out: Console, plan: Plan, units: str) -> None:
    """Print the advice first, then the ranked rigs, every item of the chosen one, zone, checklist and brief."""
    show_advice(out, plan, units)
    show_rigs_ranked(out, plan, units)
    if plan.best:
        show_items(out, plan.best, units)
        show_uncertainty(out, plan.best, units)
        show_siblings(out, plan.best, units)
    show_zone(out, plan)
    out.print("Before the pull:", style="bold")
    for line in plan.checklist:
        out.print(f"  [ ] {line}")
    show_marks(out, plan, units)
    show_briefs(out, plan)
    if plan.closing:
        out.print("The end of the pull:", style="bold")
    for line in plan.closing:
        out.print(f"  [ ] {line}")


def show_advice(out: Console, plan: Plan, units: str) -> None:
    """Print what a colleague would say in a minute: what to do, with what margin, and what to do first."""
    r, best = plan.resistance_N, plan.best
    out.print(plan.pull, style="bold")
    for line in (n.message for n in plan.notices if n.code in FIRST):
        out.print(f"  {line}", style="bold red")
    out.print(
        f"  It needs {force(r.likely, units)}, from {force(r.low, units)} to {force(r.high, units)}, by {r.chosen}; to start it "
        f"up to {force(r.breakout, units)}."
    )
    if best is None:
        out.print("  No rig of this kit can be used here.", style="bold red")
        return
    told = {"inside": "inside every limit", "tight": "tight"}.get(
        best.verdict, f"{best.verdict}: not as it stands"
    )
    style = "bold" if best.verdict in ("inside", "tight") else "bold red"
    out.print(f"  Best here: {best.rig}, {told}.", style=style)
    out.print(
        f"  The winch pulls {force(best.effort_N.likely, units)} to {force(best.effort_N.high, units)}"
        + (f" of {force(best.winch_limit_N, units)} it has on its last layer" if best.winch_limit_N else "")
        + f"; it stalls at {force(best.stall_N, units)}, and every piece is judged at that."
    )
    out.print(f"  {best.why}")
    first = [
        n.message.removeprefix("Before rigging: ")
        for n in plan.notices
        if n.message.startswith("Before rigging: ")
    ]
    if first:
        out.print(f"  Before any of it: {'; '.join(words.rstrip('.') for words in first)}.")


def show_briefs(out: Console, plan: Plan) -> None:
    """Print the brief; of the one for other numbers of people, only what differs."""
    for crew, brief in plan.briefs.items():
        if brief == plan.brief:
            out.print(f"Brief, to be read aloud, for {crew}:", style="bold")
            for line in brief:
                out.print(f"  {line}")
    for crew, brief in plan.briefs.items():
        other = [line for line in brief if line not in plan.brief]
        if other:
            out.print(f"With only {crew} people, in place of the tasks above:", style="bold")
            for line in other:
                out.print(f"  {line}")


def show_zone(out: Console, plan: Plan) -> None:
    """Print where nobody may stand, and the nearest places where one may."""
    zone = plan.zone
    out.print(
        f"Nobody within {zone.radius_m:.1f} m ({zone.rule}); never {'; '.join(zone.never)}.", style="bold"
    )
    if zone.parts and not zone.stand_m:
        out.print(
            "  No place near was found that every rule allows: stand farther off, or behind cover that holds."
        )
    for along, aside in zone.stand_m:
        side = "left" if aside > 0.0 else "right"
        where = f"{abs(along):.0f} m {'ahead of' if along >= 0.0 else 'behind'} the stuck vehicle's start"
        out.print(f"  Clear by every rule: {where}, {abs(aside):.0f} m to the {side} of its way.")


def show_marks(out: Console, plan: Plan, units: str) -> None:
    """Print what the cells should read while it pulls, and where to stop."""
    if not plan.marks:
        return
    out.print("While it pulls, where there are cells:", style="bold")
    for mark in plan.marks:
        out.print(
            f"  {mark.place}: about {force(mark.low_N, units)} to {force(mark.high_N, units)}; stop at "
            f"{force(mark.stop_N, units)}, {mark.stop_why}."
        )


def show_rigs_ranked(out: Console, plan: Plan, units: str) -> None:
    """Print the ranked rigs with the reason of each place; rejected ones say what they lacked."""
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
        for c in plan.candidates[:MOST_RANKED]
    )
    if plan.candidates:
        out.print(rows(grid, lines))
    for c in plan.candidates[:MOST_RANKED]:
        out.print(f"{c.rank}  {c.why}")
    further = len(plan.candidates) - MOST_RANKED
    if further > 0:
        out.print(f"{further} more rig{'' if further == 1 else 's'}, further down; --json lists every one.")
    for rejected in plan.rejected[:MOST_REJECTED]:
        out.print(f"Not possible: {rejected.rig}, it lacks {rejected.lacked}")
    more = plan.rejected[MOST_REJECTED:]
    if more:
        many = sum(one.count for one in more)
        them = "1 more rig; --json tells it" if many == 1 else f"{many} more rigs; --json lists every one"
        out.print(f"Not possible: {them}.")


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
            i.verdict if i.utilisation is None else f"{i.verdict} {of_limit(i.utilisation)}",
        )
        for i in chosen.items
    )
    out.print(rows(grid, lines))
    for item in chosen.items:
        if item.holds_N is not None:
            low, high = force(item.holds_N.low, units), force(item.holds_N.high, units)
            out.print(f"{item.item} is estimated to hold {low} to {high}: no rating.")
        if item.note:
            out.print(f"{item.item}: {item.note.rstrip('.')}.")
    notices(out, chosen.notices)


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
