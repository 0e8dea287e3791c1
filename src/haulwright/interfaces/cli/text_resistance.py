"""Resistance and what was seen after, in words and tables."""

from __future__ import annotations

from typing import TYPE_CHECKING

from haulwright.interfaces.cli.output import rows, table
from haulwright.publishing.wording import force, force_plus_minus, force_range, plus_minus

if TYPE_CHECKING:
    from rich.console import Console

    from haulwright.workflows import PullSeen, Resistance, ResistanceRule

MOST_SAVINGS = 6


def show_resistance(out: Console, record: Resistance, units: str) -> None:
    """Print what to reckon with, every rule side by side, what drives it, what would lower it."""
    for notice in record.notices:
        if notice.code in ("RUNAWAY", "STOP_PROFESSIONAL"):
            out.print(notice.message, style="bold")
    rule = next(one for one in record.rules if one.name == record.chosen)
    out.print(_reckon(rule, units), style="bold")
    most = max(rule.drivers, key=lambda driver: driver.force_N)
    out.print(
        f"By {record.chosen}, of a weight of {force(record.weight_N, units)}; most of it is {most.name}."
    )
    if rule.clear_N is not None and 0.0 < rule.clear_N < 0.95 * rule.likely_N:
        out.print(f"Once out of its hole, about {force(rule.clear_N, units)}.")
    hold_N = max(one.hold_N for one in record.rules)
    if hold_N > 0.0:
        out.print(f"It may have to be held back with up to {force(hold_N, units)}.")
    _rules(out, record, units)
    _savings(out, record, units)
    _own(out, record)
    _sources(out, record)


def _reckon(rule: ResistanceRule, units: str) -> str:
    if rule.low_N <= 0.0:
        return f"It may need up to {force(rule.high_N, units)} to move, or none at all."
    whole = f"Reckon with {force(rule.likely_N, units)} to keep it moving ({force_range(rule.low_N, rule.high_N, units)})"
    return f"{whole}, and up to {force(rule.breakout_N, units)} to start it."


def _sources(out: Console, record: Resistance) -> None:
    """Print each rule's source and remarks; what all of them say once."""
    remarks = [one.note.split("; ") for one in record.rules]
    shared = (
        [text for text in remarks[0] if all(text in other for other in remarks)] if len(remarks) > 1 else []
    )
    for one, texts in zip(record.rules, remarks, strict=True):
        own = "; ".join(text for text in texts if text not in shared)
        out.print(f"{one.name}: {one.source}.{f' Remarks: {own}.' if own else ''}")
    if shared:
        out.print(f"All of them: {'; '.join(shared)}.")


def _rules(out: Console, record: Resistance, units: str) -> None:
    grid = table("rule", f"low, {units}", "likely", "high", "to start", "clear", "what it counts<")
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
                    "–" if rule.clear_N is None else force(rule.clear_N, units, unit=False),
                    ", ".join(f"{d.name} {force(d.force_N, units, unit=False)}" for d in rule.drivers),
                )
                for rule in record.rules
            ),
        )
    )


def _savings(out: Console, record: Resistance, units: str) -> None:
    if record.savings:
        out.print("Before rigging, the greatest saving first:")
    for saving in record.savings[:MOST_SAVINGS]:
        by = (
            ""
            if saving.rule == record.chosen
            else f", by {saving.rule}: {record.chosen} has no number for it"
        )
        saved = f"about {force(saving.saved_N, units)} less, {100 * saving.share:.0f} %"
        out.print(f"  {saving.what}: {saved}{by}")
        worse = [rule for rule, saved_N in saving.by_rule_N.items() if saved_N < 0.0]
        if worse:
            out.print(f"    but {', '.join(worse)} asks for more then")
    if record.also:
        out.print("May help too; no rule here puts a number on it:")
    for words in record.also:
        out.print(f"  {words}")


def _own(out: Console, record: Resistance) -> None:
    if not record.own:
        return
    out.print("Own pulls with the same surface and depth, seen ÷ foretold:")
    grid = table("rule", "pulls", "ratio", "scatter", "next pull, 95 %", "used<")
    lines = (
        (
            one.rule,
            one.n,
            f"{one.ratio:.2f}",
            "–" if one.scatter is None else f"{100 * one.scatter:.0f} %",
            "–" if one.low is None or one.high is None else f"{one.low:.2f} to {one.high:.2f}",
            "yes" if one.used else "too few yet",
        )
        for one in record.own
    )
    out.print(rows(grid, lines))


def show_seen(out: Console, record: PullSeen, units: str) -> None:
    """Print what was seen at the vehicle beside what every rule foretold."""
    moved = "asked for" if record.moved else "did not move at"
    out.print(f"{record.pull}: the vehicle {moved} {force_plus_minus(record.seen_N, units)}.", style="bold")
    line = f"Line {force_plus_minus(record.line_N, units)} × advantage {plus_minus(record.advantage)} of {record.rig}"
    out.print(f"{line}: {force_plus_minus(record.by_line_N, units)}.")
    if record.by_anchor_N is not None:
        out.print(
            f"By the anchor's reading: {force_plus_minus(record.by_anchor_N, units)}; the surer of the two is kept."
        )
    if record.breakout_N is not None:
        out.print(f"It started at {force_plus_minus(record.breakout_N, units)}.")
    grid = table("rule", f"low, {units}", "likely", "high", "seen ÷ likely", "seen lies<")
    words = {"inside": "inside", "below": "below its low end", "above": "above its high end"}
    lines = (
        (
            one.rule,
            *(force(x, units, unit=False) for x in (one.low_N, one.likely_N, one.high_N)),
            plus_minus(one.ratio),
            words[one.verdict],
        )
        for one in record.rules
    )
    out.print(rows(grid, lines))
    out.print(f"Entered in {record.file}, {record.entries} in all.")
