"""What a solved rig says beyond its forces, in lines of text: laws, seized sheaves, set-ups, line, heat."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from haulwright.publishing.wording import force
from haulwright.quantities.numerals import print_number

if TYPE_CHECKING:
    from haulwright.workflows import RigSolution


def findings(s: RigSolution, units: str, shares: bool) -> Iterator[str]:
    """Yield the lines; ``shares`` where no resistance is given, so that forces are shares of the load."""
    yield from _laws(s, units, shares)
    yield from _seized(s, units, shares)
    yield from _setup(s)
    yield from _line(s)
    yield from _heat(s)


def _effort(efforts_N: Mapping[str, float] | None, s: RigSolution, units: str, shares: bool) -> str:
    if not efforts_N:
        return "refused"
    told = [
        f"{print_number(100.0 * x / s.resistance_N, 1)} % of the load" if shares else force(x, units)
        for x in efforts_N.values()
    ]
    return " and ".join(told)


def _laws(s: RigSolution, units: str, shares: bool) -> Iterator[str]:
    if s.law_source:
        yield f"law          {s.law_source}"
    for case in s.law_band[1:]:
        advantage = "" if case.advantage is None else f", advantage {print_number(case.advantage, 3)}"
        block = ""
        if case.greatest_block_N is not None and not shares:
            block = f", {case.greatest_block} carries {force(case.greatest_block_N, units)}"
        yield f"by other law {case.law}: effort {_effort(case.effort_N, s, units, shares)}{advantage}{block}"


def _seized(s: RigSolution, units: str, shares: bool) -> Iterator[str]:
    found = s.seized
    if found is None:
        return
    names = " and ".join(f"{name} (mu {mu:g})" for name, mu in found.blocks.items())
    rise = "" if found.rise is None else f", {print_number(found.rise, 2)} times that"
    running = _effort(found.running_effort_N, s, units, shares)
    yield f"seized       {names}: running it takes {running}, seized {_effort(s.effort_N, s, units, shares)}{rise}"
    band = "; ".join(f"mu {case.mu:g} {_effort(case.effort_N, s, units, shares)}" for case in found.band)
    yield f"             published range: {band}"


def _setup(s: RigSolution) -> Iterator[str]:
    found = s.clearance
    if found is None or found.setup_m is None:
        return
    first = found.gaps[0] if found.gaps else None
    words = found.limit
    if first is not None and found.limit == "blocks meet":
        house = " (house number)" if first.least_from == "house number" else ""
        words = f"{first.from_} and {first.to} are {print_number(first.least_m, 1)} m apart{house}"
    resets = (
        ""
        if found.resets is None
        else f"; {found.resets} resets for {print_number(found.wanted_m or 0.0, 1)} m"
    )
    yield f"one set-up   {print_number(found.setup_m, 2)} m of travel, then {words}{resets}"


def _line(s: RigSolution) -> Iterator[str]:
    needs = s.clearance.line if s.clearance else {}
    several = len(s.effort_N) > 1
    for drum, line in (s.line_m or {}).items():
        name = f"{drum}: " if several else ""
        need = needs.get(drum)
        if line["needed"] is not None and need is not None:
            parts = (
                (need.sheaves_m, "round the sheaves"),
                (need.kept_m, "that stay on the drum"),
                (need.tail_m, "tail"),
            )
            added = [f"{print_number(x, 2)} m {what}" for x, what in parts if x]
            kept = "" if need.kept_m else ", without the wraps that stay on the drum"
            with_ = f", {', '.join(added)} included" if added else ""
            yield f"line needed  {name}{print_number(line['needed'], 2)} m{with_}{kept}"
        if line["taken_in"] is not None:
            yield f"taken in     {name}{print_number(line['taken_in'], 2)} m of line over the travel wanted"


def _heat(s: RigSolution) -> Iterator[str]:
    for name, block in s.blocks.items():
        if block.heat_J is None:
            continue
        rise = "" if block.rise_K is None else f", warms it by {print_number(block.rise_K, 1)} K at most"
        power = "" if block.heat_W is None else f", {print_number(block.heat_W, 0)} W"
        yield f"heat         {name} {print_number(block.heat_J / 1000.0, 2)} kJ over the pull{power}{rise}"
