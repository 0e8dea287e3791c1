"""A solved rig in words and tables."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from typing import TYPE_CHECKING

from haulwright.interfaces.cli.output import rows, table
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
    out.print(
        f"advantage    {_value(s, 'advantage', s.advantage)}   (ideal {print_number(s.ideal_advantage, 3)})",
        style="bold",
    )
    out.print(f"winch share  {_share(s)}")
    out.print(f"travel       {_travel(s)}")
    for told in _places(s):
        out.print(told)
    if not shares:
        out.print(
            f"needs        {force(s.resistance_N, units)} at the load, {force(_effort(s), units)} at the drum"
        )
        out.print(
            f"holding      any effort from {force(s.holding_N[0], units)} to {force(s.holding_N[1], units)}"
            if s.holding_N
            else ""
        )
    _letting_back(out, s, units, shares)
    for told in _stretch(s, stall):
        out.print(told)
    out.print()
    out.print(_forces(s, stall, units, shares))
    out.print(_contacts(s))
    if not stall:
        out.print(
            "At stall: not shown, no stall pull is given. Add --stall F; gear is judged at winch stall.",
            style="bold",
        )


def _effort(s: RigSolution) -> float:
    return next(iter(s.effort_N.values()))


def _share(s: RigSolution) -> str:
    found = s.uncertainty.get("winch_share")
    return percent(found) if found else f"{print_number(100.0 * s.winch_share, 1)} % (k taken as exact)"


def _value(s: RigSolution, path: str, value: float) -> str:
    found = s.uncertainty.get(path)
    return plus_minus(found) if found else f"{print_number(value, 3)} (k taken as exact)"


def _travel(s: RigSolution) -> str:
    ratio = next(iter(s.travel_ratio.values()))
    return f"{print_number(ratio, 3)} m of line for each metre of load"


def _places(s: RigSolution) -> Iterator[str]:
    """Yield where each block came to rest that finds its own place."""
    if s.mode != "ground":
        return
    for name, at in (s.positions_m or {}).items():
        if s._roles.get(name) == "floating":
            axes = at if any(place[2] for place in (s.positions_m or {}).values()) else at[:2]
            yield f"place        {name} comes to rest at ({', '.join(print_number(x, 2) for x in axes)}) m"


def _stretch(s: RigSolution, stall: Sequence[RigSolution]) -> Iterator[str]:
    """Yield line needed, stretch and stored energy of each line, and take-up; beside each the greatest at stall."""

    def twin(of: Callable[[RigSolution], float], decimals: int, unit: str) -> str:
        return f", at stall {print_number(max(map(of, stall)), decimals)} {unit}" if stall else ""

    for line in (s.line_m or {}).values():
        needed = line["needed"]
        if needed is not None:
            yield f"line needed  {print_number(needed, 2)} m, without the wraps that stay on the drum"

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
    if back.holds_itself or back.effort_N is None or back.load_per_effort is None:
        out.print("letting back it holds itself: friction alone holds the load")
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
        "contact, from the standing end", "wrap", "k", "line runs<", "m per m of load", "heat, J per m"
    )
    lines = (
        (
            c.at,
            f"{math.degrees(c.wrap_rad):.0f}°",
            print_number(c.ratio, 3),
            c.direction,
            print_number(c.rim_speed_ratio, 2),
            f"{c.heat_J_per_m:.0f}",
        )
        for c in s.contacts
    )
    return rows(grid, lines)
