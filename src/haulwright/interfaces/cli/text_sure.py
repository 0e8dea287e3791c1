"""How far a rig's verdict holds over likely conditions, and the manual chains beside the solver, in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from haulwright.interfaces.cli.output import rows, table
from haulwright.publishing.wording import force

if TYPE_CHECKING:
    from collections.abc import Iterable

    from rich.console import Console

    from haulwright.quantities.measured import Measured
    from haulwright.workflows import Candidate, ManualStep

SHOWN = 0.005  # a smaller share is not worth a word


def show_uncertainty(out: Console, candidate: Candidate, units: str) -> None:
    """Print in which share of likely conditions a rig stays inside, what that hangs on, and what is not in it."""
    share, likely = candidate.inside_share, candidate.likely
    if share is None or likely is None:
        if candidate.likely_note:
            out.print(candidate.likely_note)
        return
    out.print(
        f"If the numbers are a little off ({likely.draws:,} likely conditions drawn, seed {likely.seed}):",
        style="bold",
    )
    out.print(
        f"  In {share_words(share)} the winch pulls it and every rated piece stays within its limit at the pull then needed."
    )
    out.print(
        f"  Were the winch to stall, every rated piece would be within its limit in {share_words(likely.at_stall)}.",
        style="bold red" if likely.at_stall.value < 1.0 else None,
    )
    out.print(f"  Least margin: {_shares((name, part) for name, part in likely.tightest.items())}.")
    if candidate.drivers:
        out.print(
            f"  What that margin hangs on: {_shares((driver.what, driver.share) for driver in candidate.drivers)}."
        )
    for drawn in dict.fromkeys(one.drawn for one in likely.inputs):
        out.print(f"  {', '.join(one.what for one in likely.inputs if one.drawn == drawn)}: {drawn}")
    out.print(
        f"  Not in it: {'; '.join(likely.left_out)}. It is no chance that nothing breaks.", style="bold"
    )


def share_words(share: Measured) -> str:
    """Return a share of draws in words; the ends are what the number of draws leaves open.

    Examples
    --------
    >>> from haulwright.quantities.proportion import proportion
    >>> share_words(proportion(2000, 2000)), share_words(proportion(0, 2000))
    ('all of them (99.8 % or more by the number of draws)', 'none of them (0.192 % or less by the number of draws)')
    >>> share_words(proportion(1951, 2000))
    '97.5 % of them (96.8 to 98.1 % by the number of draws)'
    """
    if share.value == 1.0:
        return f"all of them ({100.0 * share.lo:.3g} % or more by the number of draws)"
    if share.value == 0.0:
        return f"none of them ({100.0 * share.hi:.3g} % or less by the number of draws)"
    low, high = 100.0 * share.lo, 100.0 * share.hi
    return f"{100.0 * share.value:.4g} % of them ({low:.3g} to {high:.3g} % by the number of draws)"


def _shares(parts: Iterable[tuple[str, float]]) -> str:
    told = [f"{name} {100.0 * part:.0f} %" for name, part in parts if part >= SHOWN]
    return ", ".join(told)


def show_siblings(out: Console, candidate: Candidate, units: str) -> None:
    """Print the manual chains beside the solver's numbers, and why they differ."""
    found = candidate.siblings
    if found is None:
        return
    out.print("By hand, beside the solver (the military chain, and counting parts):", style="bold")
    ours = found.this_rig
    if ours is not None:
        out.print(f"  {chain_words(ours, units)}")
        grid = table("likely", "by hand", "solver", "difference")
        lines = [
            (
                what,
                f"{one.manual:.3g}",
                f"{one.solver:.3g}",
                f"{round(100.0 * one.difference, 0) + 0.0:+.0f} %",
            )
            for what, one in (("advantage without friction", found.advantage),)
            if one is not None
        ]
        held = [(f"dead line {name}, {units}", one) for name, one in found.dead_lines_N.items()]
        fall = [] if found.fall_line_N is None else [(f"fall line, {units}", found.fall_line_N)]
        lines += [
            (
                what,
                force(one.manual, units, unit=False),
                force(one.solver, units, unit=False),
                f"{round(100.0 * one.difference, 0) + 0.0:+.0f} %",
            )
            for what, one in (*fall, *held)
        ]
        out.print(rows(grid, lines))
    if found.raised:
        out.print(f"  {raised_words(candidate, units)}")
    for line in found.why:
        out.print(f"  {line}")


def chain_words(ours: ManualStep, units: str) -> str:
    """Return one pass of the chain: load, tackle resistance, total, fall line."""
    load, total = force(ours.resistance_N, units), force(ours.total_N, units)
    end = f"÷ {ours.advantage:.3g} = fall line {force(ours.fall_line_N, units)}."
    if not ours.sheaves:
        return f"Load {load}, no sheave; {end}"
    tenths = "its one sheave" if ours.sheaves == 1 else f"each of {ours.sheaves} sheaves"
    return f"Load {load} + a tenth of it for {tenths}, {force(ours.tackle_resistance_N, units)}, = {total}; {end}"


def raised_words(candidate: Candidate, units: str) -> str:
    """Return how the advantage is raised by hand at the high resistance until the fall line is inside the winch."""
    found = candidate.siblings
    if found is None or not found.raised:
        return ""
    last = found.raised[-1]
    tried = ", ".join(f"{one.advantage:.0f} to 1: {force(one.fall_line_N, units)}" for one in found.raised)
    end = f"by hand {last.advantage:.0f} to 1 is enough" if last.inside else "by hand no advantage is enough"
    return f"At the high resistance of {force(last.resistance_N, units)}, winch {force(found.capacity_N, units)}: {tried}; {end}."
