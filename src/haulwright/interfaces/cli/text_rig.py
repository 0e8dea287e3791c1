"""A solved rig in words and tables."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from typing import TYPE_CHECKING

from haulwright.interfaces.cli.output import rows, table
from haulwright.interfaces.cli.text_findings import findings
from haulwright.interfaces.cli.text_places import places
from haulwright.notices import Code
from haulwright.publishing.wording import force, percent, plus_minus
from haulwright.quantities.numerals import print_number

if TYPE_CHECKING:
    from rich.console import Console
    from rich.table import Table

    from haulwright.workflows import RigList, RigSolution, TackleList


def show_rigs(out: Console, record: RigList) -> None:
    """Print the named rigs."""
    grid = table("rig", "ideal", "contacts", "path from the drum (X anchor, O load, ~M floating)<")
    out.print(rows(grid, ((r.name, f"{r.ideal_advantage:g}", r.contacts, r.path) for r in record.rigs)))


def show_tackles(out: Console, record: TackleList) -> None:
    """Print the tackles found."""
    if not record.tackles:
        return
    wanted = "" if record.at_least is None else f" with an advantage of {record.at_least:g} or more"
    out.print(
        f"{record.reached} tackles{wanted}, k {record.ratio:g} at every sheave; "
        f"the first {len(record.tackles)}:"
    )
    grid = table(
        "path from the drum (X anchor, O load, ~M moving block)",
        "actual",
        "ideal",
        "sheaves",
        "ropes",
        "name<",
    )
    lines = (
        (t.path, print_number(t.advantage, 3), f"{t.ideal_advantage:.4g}", t.sheaves, t.ropes, t.name)
        for t in record.tackles
    )
    out.print(rows(grid, lines))


def show_solution(out: Console, s: RigSolution, stall: Sequence[RigSolution], units: str) -> None:
    """Print a solved rig, each force beside its twin at winch stall."""
    out.print(s.sentence)
    out.print(f"Friction: {s.law}.", end="\n\n")
    shares = any(notice.code == Code.UNIT_LOAD.name for notice in s.notices)
    for told, style in _shares(s):
        out.print(told, style=style)
    out.print(f"travel       {_travel(s)}")
    if not shares:
        out.print(f"needs        {force(s.resistance_N, units)} at the load, {_efforts(s, units)}")
        out.print(
            f"holding      any effort from {force(s.holding_N[0], units)} to {force(s.holding_N[1], units)}{_solved_at(s)}"
            if s.holding_N
            else ""
        )
    _letting_back(out, s, units, shares)
    for told in (*places(s, stall, units, shares), *findings(s, units, shares)):
        out.print(told)
    for told in (*_sharing(s, stall, units, shares), *_stretch(s, stall)):
        out.print(told)
    out.print()
    out.print(_forces(s, stall, units, shares))
    out.print(_contacts(s))
    if not stall:
        out.print(
            "At stall: not shown, no stall pull is given. Add --stall F; gear is judged at winch stall.",
            style="bold",
        )


def _efforts(s: RigSolution, units: str) -> str:
    """Return the line pull of the winch, or of each of several by name."""
    if len(s.effort_N) == 1:
        return f"{force(next(iter(s.effort_N.values())), units)} at the drum"
    return ", ".join(f"{force(effort, units)} at {drum}" for drum, effort in s.effort_N.items())


def _solved_at(s: RigSolution) -> str:
    """Return at which of several winches the holding band is: the one whose effort is its upper end."""
    if s.holding_N is None or len(s.effort_N) == 1:
        return ""
    return f" at {min(s.effort_N, key=lambda drum: abs(s.effort_N[drum] - (s.holding_N or (0.0, 0.0))[1]))}"


def _at_drum(s: RigSolution, effort_N: float, drum: str, units: str, shares: bool) -> str:
    if shares:
        return f"{print_number(100.0 * effort_N / s.resistance_N, 1)} % of the load at {drum}"
    return f"{force(effort_N, units)} at {drum}"


def _shares(s: RigSolution) -> Iterator[tuple[str, str | None]]:
    """Yield advantage and winch share with their style; with several winches what reaches the load of their work."""
    if s.advantage is not None and s.ideal_advantage is not None and s.winch_share is not None:
        ideal = print_number(s.ideal_advantage, 3)
        yield f"advantage    {_value(s, 'advantage', s.advantage)}   (ideal {ideal})", "bold"
        yield f"winch share  {_share(s, 'winch_share', s.winch_share)}", None
        return
    yield "advantage    none: it is load ÷ effort of one winch, and there are several", "bold"
    if s.rig_efficiency is not None:
        yield (
            f"efficiency   {_share(s, 'rig_efficiency', s.rig_efficiency)} of the winches' work reaches the load",
            None,
        )


def _share(s: RigSolution, path: str, value: float) -> str:
    found = s.uncertainty.get(path)
    return percent(found) if found else f"{print_number(100.0 * value, 1)} % (k taken as exact)"


def _value(s: RigSolution, path: str, value: float) -> str:
    found = s.uncertainty.get(path)
    return plus_minus(found) if found else f"{print_number(value, 3)} (k taken as exact)"


def _travel(s: RigSolution) -> str:
    ratios = s.travel_ratio
    if len(ratios) == 1:
        return f"{print_number(next(iter(ratios.values())), 3)} m of line for each metre of load"
    told = ", ".join(f"{drum} {print_number(ratio, 3)} m" for drum, ratio in ratios.items())
    return f"{told} of line for each metre of load"


def _sharing(s: RigSolution, stall: Sequence[RigSolution], units: str, shares: bool) -> Iterator[str]:
    """Yield what each of the lines carries that share, what 10 mm of length change, and the greatest share at stall."""
    for name, one in (s.shares or {}).items():
        if name in s.slack:
            told = "hangs slack"
        elif one["share"] is not None:
            told = f"carries {print_number(100.0 * one['share'], 1)} % of the load"
        if one["per_10_mm_N"] is not None and not shares:
            told += f", ± {force(one['per_10_mm_N'], units)} if a line is 10 mm longer or shorter"
        if stall:
            most = max(
                r.lines[name].parts[i].tension_N for r in stall for i in range(len(s.lines[name].parts))
            )
            told += f"; at stall {force(most, units)}"
        yield f"share        {name} {told}"


def _stretch(s: RigSolution, stall: Sequence[RigSolution]) -> Iterator[str]:
    """Yield stretch and stored energy of each line, and take-up; beside each the greatest at stall."""

    def twin(of: Callable[[RigSolution], float], decimals: int, unit: str) -> str:
        return f", at stall {print_number(max(map(of, stall)), decimals)} {unit}" if stall else ""

    def stretched(name: str) -> Callable[[RigSolution], float]:
        return lambda r: (r.stretch or {})[name]["stretch_m"]

    def stored(name: str) -> Callable[[RigSolution], float]:
        return lambda r: (r.stretch or {})[name]["stored_J"] / 1000.0

    for name in s.stretch or {}:
        long, energy = stretched(name), stored(name)
        yield (
            f"stretch      {name} {print_number(long(s), 3)} m{twin(long, 3, 'm')}; "
            f"stores {print_number(energy(s), 2)} kJ{twin(energy, 2, 'kJ')}, let go at once if anything parts"
        )
    if s.take_up_m is not None:
        more = twin(lambda r: r.take_up_m or 0.0, 3, "m")
        yield f"take-up      {print_number(s.take_up_m, 3)} m of line{more}, before the load moves"


def _letting_back(out: Console, s: RigSolution, units: str, shares: bool) -> None:
    back = s.letting_back
    if back is None:
        return
    if back.holds_itself:
        out.print("letting back it holds itself: friction alone holds the load")
        return
    if back.effort_N is None or back.load_per_effort is None:
        told = (_at_drum(s, effort, drum, units, shares) for drum, effort in back.efforts_N.items())
        out.print(f"letting back {', '.join(told)}")
        return
    words = "" if shares else f", {force(back.effort_N, units)} at the drum"
    out.print(f"letting back load ÷ effort {print_number(back.load_per_effort, 3)}{words}")


def _forces(s: RigSolution, stall: Sequence[RigSolution], units: str, shares: bool) -> Table:
    """Return the table of parts, blocks and bodies: expected, and at stall the greatest with or without friction."""
    unit = "% of load" if shares else units
    grid = table("force", f"expected, {unit}", f"at stall, {units}")

    def figure(value: float) -> str:
        return print_number(100.0 * value / s.resistance_N, 1) if shares else force(value, units, unit=False)

    def add(name: str, of: Callable[[RigSolution], float]) -> None:
        twin = force(max(map(of, stall)), units, unit=False) if stall else "–"
        grid.add_row(name, figure(of(s)), twin)

    for name, of in _figures(s):
        add(name, of)
    return grid


def _figures(s: RigSolution) -> Iterator[tuple[str, Callable[[RigSolution], float]]]:
    """Return the name of every force and where to find it in a solution of the same rig."""

    def part(line: str, i: int) -> Callable[[RigSolution], float]:
        return lambda r: r.lines[line].parts[i].tension_N

    def pin(block: str) -> Callable[[RigSolution], float]:
        return lambda r: r.blocks[block].pin_N

    def with_becket(block: str) -> Callable[[RigSolution], float]:
        return lambda r: r.blocks[block].with_becket_N

    def body(name: str) -> Callable[[RigSolution], float]:
        return lambda r: r.bodies[name].load_N

    for line, solved in s.lines.items():
        yield from ((f"{line}: {one.from_} to {one.to}", part(line, i)) for i, one in enumerate(solved.parts))
    for name, block in s.blocks.items():
        yield f"block {name}", pin(name)
        if not math.isclose(block.with_becket_N, block.pin_N):
            yield f"block {name} with its becket", with_becket(name)
    yield from ((f"{name}, all lines", body(name)) for name in s.bodies)


def _contacts(s: RigSolution) -> Table:
    grid = table(
        "contact, from the standing end",
        "wrap, between",
        "k",
        "line runs<",
        "m per m of load",
        "heat, J per m",
    )
    lines = (
        (
            c.at,
            f"{math.degrees(c.wrap_rad):.0f}°, {180.0 - math.degrees(c.wrap_rad):.0f}°",
            print_number(c.ratio, 3),
            c.direction,
            print_number(c.rim_speed_ratio, 2),
            f"{c.heat_J_per_m:.0f}",
        )
        for c in s.contacts
    )
    return rows(grid, lines)
