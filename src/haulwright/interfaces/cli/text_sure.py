"""How far a rig's verdict holds over likely conditions, and the manual chains beside the solver, in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from haulwright.interfaces.cli.output import rows, table
from haulwright.publishing.wording import force

if TYPE_CHECKING:
    from collections.abc import Iterable

    from rich.console import Console

    from haulwright.quantities.measured import Measured
    from haulwright.workflows import Candidate

SHOWN = 0.005  # a smaller share is not worth a word


def show_uncertainty(out: Console, candidate: Candidate, units: str) -> None:
    """Print in which share of likely conditions a rig stays inside, what that hangs on, and what is not in it."""
    share, likely = candidate.inside_share, candidate.likely
    if share is None or likely is None:
        if candidate.likely_note:
            out.print(candidate.likely_note)
        return
    out.print(
        f"If the numbers are a little off ({likely.draws:,} likely conditions drawn, seed {likely.seed}):", style="bold"
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
    for one in likely.inputs:
        out.print(f"  {one.what}: {one.drawn}")
    out.print(f"  Not in it: {'; '.join(likely.left_out)}. It is no chance that nothing breaks.", style="bold")


def share_words(share: Measured) -> str:
    """Return a share of draws in words; the ends are what the number of draws leaves open.

    Examples
    --------
    >>> from haulwright.quantities.proportion import proportion
    >>> share_words(proportion(2000, 2000)), share_words(proportion(1951, 2000)), share_words(proportion(0, 2000))
    ('all of them', '97.5 % of them (96.8 to 98.1 % by the number of draws)', 'none of them')
    """
    if share.value in (0.0, 1.0):
        return "all of them" if share.value else "none of them"
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
        tenths = "its one sheave" if ours.sheaves == 1 else f"each of {ours.sheaves} sheaves"
        out.print(
            f"  Load {force(ours.resistance_N, units)} + a tenth of it for {tenths} "
            f"{force(ours.tackle_resistance_N, units)} = {force(ours.total_N, units)}; ÷ {ours.advantage:.3g} = fall line "
            f"{force(ours.fall_line_N, units)}."
        )
        grid = table("likely", "by hand", "solver", "difference")
        lines = [
            (what, f"{one.manual:.3g}", f"{one.solver:.3g}", f"{100.0 * one.difference:+.0f} %")
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
                f"{100.0 * one.difference:+.0f} %",
            )
            for what, one in (*fall, *held)
        ]
        out.print(rows(grid, lines))
    if found.raised:
        out.print(f"  {raised_words(candidate, units)}")
    for line in found.why:
        out.print(f"  {line}")


def raised_words(candidate: Candidate, units: str) -> str:
    """Return how the advantage is raised by hand at the high resistance until the fall line is inside the winch."""
    found = candidate.siblings
    if found is None or not found.raised:
        return ""
    last = found.raised[-1]
    tried = ", ".join(f"{one.advantage:.0f} to 1: {force(one.fall_line_N, units)}" for one in found.raised)
    end = f"by hand {last.advantage:.0f} to 1 is enough" if last.inside else "by hand no advantage is enough"
    return (
        f"At the high resistance of {force(last.resistance_N, units)}, winch {force(found.capacity_N, units)}: {tried}; {end}."
    )
