"""A pull step by step in words: where it stops, what the winch does, where each piece is loaded most."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from haulwright.interfaces.cli.output import rows, table
from haulwright.publishing.wording import force, of_limit

if TYPE_CHECKING:
    from rich.console import Console

    from haulwright.workflows import PullStep, PullSteps

_NONE = "–"
_MOST_ROWS = 14
_WHAT = {
    "layer": "layer begins",
    "too weak": "WINCH TOO WEAK",
    "reset": "set anew",
    "rest": "rest the motor",
    "battery": "battery low",
    "rig": "rig ends",
}


def show_pull_steps(out: Console, record: PullSteps, units: str) -> None:
    """Print a pull along its travel: a short table, stop points, peaks, what it takes, and fewer parts beside it."""
    r = record.resistance_N
    ups = "one set-up" if record.setups == 1 else f"{record.setups} set-ups"
    out.print(
        f"{record.pull}: {record.rig}, {record.travel_m:.1f} m of {record.wanted_m:.1f} m wanted, in {ups}; winch "
        f"{record.winch} on {record.winch_on}. Resistance {force(r.likely, units)} ({force(r.low, units)} to "
        f"{force(r.high, units)}), to start it up to {force(record.breakout_N, units)}.",
        style="bold",
    )
    _show_way(out, record, units)
    for stop in record.stops:
        out.print(f"At {stop.travel_m:.1f} m: {stop.message}")
    if not record.stops:
        out.print(
            "No stop on the way: one layer, one set-up, and the winch pulls the high resistance all along."
        )
    _show_peaks(out, record, units)
    _show_work(out, record)
    _show_fleet(out, record, units)
    _show_parts(out, record, units)


def _show_way(out: Console, record: PullSteps, units: str) -> None:
    grid = table("at, m", "what<", "layer", f"needs, {units}", "winch has", "aside", "A", "m/min", "time")
    grid.columns[1].min_width = 14
    out.print(rows(grid, (_way(step, what, units) for step, what in _chosen(record))))


def _chosen(record: PullSteps) -> list[tuple[PullStep, str]]:
    """Return the steps worth a row: start, stop points, the greatest effort and side pull, end."""
    steps = record.steps
    named: dict[int, list[str]] = {0: ["start"]}
    for stop in record.stops[: _MOST_ROWS - 4]:
        here = next(
            (n for n, step in enumerate(steps) if step.travel_m >= stop.travel_m - 1e-9), len(steps) - 1
        )
        named.setdefault(here, []).append(_WHAT.get(stop.what, stop.what))
    order = range(len(steps))
    hardest = max(order, key=lambda n: (round(steps[n].effort_N.high, 3), -n))
    aside = max(order, key=lambda n: (round(steps[n].side_pull_N.likely, 3), -n))
    if steps[hardest].effort_N.high > 1.005 * min(step.effort_N.high for step in steps):
        named.setdefault(hardest, []).append("most effort")
    if steps[aside].side_pull_N.likely > 0.005 * record.resistance_N.likely:
        named.setdefault(aside, []).append("most side pull")
    named.setdefault(len(steps) - 1, []).append("end")
    return [(steps[n], ", ".join(dict.fromkeys(named[n]))) for n in sorted(named)]


def _way(step: PullStep, what: str, units: str) -> tuple[str, ...]:
    effort, speed = step.effort_N, step.load_speed_m_s.likely
    return (
        f"{step.travel_m:.1f}",
        what,
        _NONE if step.layer is None else str(step.layer),
        f"{force(effort.likely, units, unit=False)} to {force(effort.high, units, unit=False)}",
        _NONE if step.line_pull_N is None else force(step.line_pull_N, units, unit=False),
        force(step.side_pull_N.likely, units, unit=False),
        _NONE if step.current_A.likely is None else f"{step.current_A.likely:.0f}",
        _NONE if speed is None else f"{60 * speed:.1f}",
        _time(step.time_s.likely),
    )


def _time(value_s: float | None) -> str:
    if value_s is None:
        return _NONE
    return f"{value_s:.0f} s" if value_s < 120.0 else f"{value_s / 60.0:.1f} min"


def _show_peaks(out: Console, record: PullSteps, units: str) -> None:
    out.print("Where each piece carries most, with friction or without:")
    grid = table("item", "where<", f"likely, {units}", "at, m", "at stall", "at, m", "of its limit")
    lines = (
        (
            peak.item,
            peak.role,
            force(peak.load_N.likely, units, unit=False),
            f"{peak.at_m.likely:.1f}",
            force(peak.load_N.stall, units, unit=False),
            f"{peak.at_m.stall:.1f}",
            "unknown" if peak.utilisation is None else of_limit(peak.utilisation),
        )
        for peak in record.peaks
    )
    out.print(rows(grid, lines))


def _show_work(out: Console, record: PullSteps) -> None:
    work = record.work
    if work.time_s.likely is not None:
        out.print(_taken(record))
    if work.with_rests_s.likely is not None and work.with_rests_s.likely != work.time_s.likely:
        out.print(f"With the rests of its duty {_time(work.with_rests_s.likely)}.")
    held = work.battery
    if held is not None and held.charge_end is not None:
        low, high = held.charge_end
        text = f"The battery ends at {100 * max(low, 0.0):.0f} to {100 * max(high, 0.0):.0f} % of its marked capacity"
        if work.lasts_s is not None:
            text += f"; at the greatest current it lasts {_lasts(work.lasts_s)} to the least you stated"
        out.print(f"{text}.")
    if held is not None and held.voltage_V is not None:
        low, high = held.voltage_V
        out.print(
            f"At the greatest current {low:.1f} to {high:.1f} V reach the motor; with less voltage it runs slower."
        )
    for block in record.blocks:
        if block.heat_J.likely:
            rise = "" if block.rise_K.likely is None else f", at most {block.rise_K.likely:.0f} K warmer"
            out.print(
                f"{block.item} at {block.block} takes {block.heat_J.likely / 1e3:.1f} kJ of heat{rise}."
            )


def _taken(record: PullSteps) -> str:
    work = record.work
    text = f"Running time {_time(work.time_s.likely)}"
    if work.time_s.high is not None:
        text += f", {_time(work.time_s.high)} at the high resistance"
    else:
        text += "; at the high resistance the winch stalls on the way"
    if work.charge_Ah.likely is not None and work.greatest_current_A.likely is not None:
        text += f"; {work.charge_Ah.likely:.1f} Ah, up to {work.greatest_current_A.likely:.0f} A"
    if work.battery_J.likely and work.load_J.likely and work.efficiency.likely:
        text += (
            f"; {work.battery_J.likely / 1e3:.0f} kJ from the battery for {work.load_J.likely / 1e3:.0f} kJ on the vehicle "
            f"({100 * work.efficiency.likely:.0f} %)"
        )
    return f"{text}."


def _lasts(ends: tuple[float, float]) -> str:
    low, high = (("without end" if math.isinf(x) else _time(x)) for x in ends)
    return low if low == high else f"{low} to {high}"


def _show_fleet(out: Console, record: PullSteps, units: str) -> None:
    fleet = record.fleet
    if fleet.greatest_rad > 1e-3:
        out.print(
            f"The line leaves the winch up to {math.degrees(fleet.greatest_rad):.1f}° from {fleet.straight}, at "
            f"{fleet.at_m:.1f} m, and loads the fairlead with {force(fleet.fairlead_N.likely, units)}, at stall "
            f"{force(fleet.fairlead_N.stall, units)}."
        )
    if fleet.drum_rad is not None:
        out.print(
            f"Between fairlead and drum the line runs up to {math.degrees(fleet.drum_rad):.0f}° at the flange "
            f"({math.degrees(fleet.limit_rad):.0f}° at most for {fleet.valid}, {fleet.source}): it needs guiding by the winch, "
            "never by hand near the fairlead."
        )


def _show_parts(out: Console, record: PullSteps, units: str) -> None:
    if not record.parts:
        return
    out.print("This winch and the likely resistance with parallel parts of line:")
    grid = table("parts", f"effort, {units}", "layer", "m/min", "A", "time", "Ah", "battery, kJ", "load, kJ")
    lines = (
        (
            str(row.parts),
            force(row.effort_N, units, unit=False),
            _NONE if row.layer is None else str(row.layer),
            _NONE if row.load_speed_m_s is None else f"{60 * row.load_speed_m_s:.2f}",
            _NONE if row.current_A is None else f"{row.current_A:.0f}",
            _time(row.time_s),
            _NONE if row.charge_Ah is None else f"{row.charge_Ah:.1f}",
            _NONE if row.battery_J is None else f"{row.battery_J / 1e3:.0f}",
            _NONE if row.load_J is None else f"{row.load_J / 1e3:.0f}",
        )
        for row in record.parts
    )
    out.print(rows(grid, lines))
    for row in record.parts:
        if row.lacks:
            out.print(f"With {row.parts} {'part' if row.parts == 1 else 'parts'}: {row.lacks}.")
    if record.parts_words:
        out.print(record.parts_words)
