"""The load cells of a campaign in a report: certificates, checks against each other, gains, further cells."""

from __future__ import annotations

from collections.abc import Mapping

from haulwright.notices import Code, Notice
from haulwright.publishing.tables import Table, or_dash, several
from haulwright.publishing.wording import (
    NOT_STATED,
    force,
    force_plus_minus,
    force_range,
    percent,
    plus_minus,
)
from haulwright.quantities.measured import Measured
from haulwright.quantities.numerals import UNKNOWN, print_number
from haulwright.trials.result import CampaignResult, CellCheck, CellResult, TrialResult

CELL = "cell "  # what the keys of ``about`` that speak of a cell begin with


def cells_table(campaign: CampaignResult, units: str) -> Table:
    """Return the table of load cells: what is stated of each, gain and zero where the runs tell them."""
    stated = {
        key.removeprefix(CELL): str(text) for key, text in campaign.about.items() if key.startswith(CELL)
    }
    rows = [
        row
        for name, words in stated.items()
        for row in (
            [(shown, words or NOT_STATED, *_known(cell, units)) for shown, cell in _of_cell(campaign, name)]
            or [(name, words or NOT_STATED, "not known better than its class", UNKNOWN)]
        )
    ]
    shown = {row[0] for row in rows}
    rows += [
        (name, NOT_STATED, *_known(cell, units)) for name, cell in campaign.cells.items() if name not in shown
    ]
    heads = ("Cell", "Class or certificate, as stated", "Gain against the line cell", "Zero")
    caption = "Load cells: what is stated, and what the runs tell of them"
    return Table(caption, heads, tuple(rows), words=2, slim=True)


def _of_cell(campaign: CampaignResult, name: str) -> list[tuple[str, CellResult]]:
    return [(shown, cell) for shown, cell in campaign.cells.items() if name in (shown, cell._cell)]


def _known(cell: CellResult, units: str) -> tuple[str, str]:
    gain = "1 (reference)" if cell.gain.u == 0.0 else plus_minus(cell.gain)
    return gain, force_plus_minus(cell.zero_N, units) if cell.zero_N else NOT_STATED


def checks_table(campaign: CampaignResult, units: str) -> Table:
    """Return the table of series and swap checks: the ratio of the cells each gave, and how it was used."""
    rows = tuple(
        (
            check.how.capitalize(),
            ", ".join(check.runs),
            f"{check.anchor_cell} ÷ {check.line_cell}",
            check.session,
            plus_minus(check.ratio),
            _loads(check, units),
            or_dash(check.nonlinearity, _percent),
            or_dash(check.hysteresis, _percent),
            "yes" if check.used else "no",
        )
        for check in campaign.checks
    )
    heads = (
        "Check",
        "Runs",
        "Cells",
        "Day",
        "Ratio at one force",
        "Line force",
        "Bent by",
        "Down less up",
        "Used",
    )
    return Table("The cells against each other", heads, rows, words=3, slim=True).without_empty()


def _loads(check: CellCheck, units: str) -> str:
    loads = [step.line_N for step in check.steps]
    return force_range(min(loads), max(loads), units) if loads else ""


def _percent(share: float) -> str:
    return f"{print_number(100.0 * share, 2)}\u00a0%"


def level_tables(campaign: CampaignResult, units: str) -> list[Table]:
    """Return the levels of each series check that stood at more than one."""
    way = {"up": "going up", "down": "going down", "pull": "steady pull"}
    return [
        Table(
            f"Levels of series check {', '.join(check.runs)}",
            ("Way", "Line force", f"{check.anchor_cell} ÷ {check.line_cell}"),
            tuple(
                (way.get(step.direction, step.direction), force(step.line_N, units), plus_minus(step.ratio))
                for step in check.steps
            ),
            slim=True,
        )
        for check in campaign.checks
        if len(check.steps) > 1
    ]


def gain_lines(campaign: CampaignResult) -> list[str]:
    """Return which gain was taken off which runs, in words."""
    by_gain: dict[Measured, list[str]] = {}
    for run in campaign.runs:
        if run.gain is not None:
            by_gain.setdefault(run.gain, []).append(run.run)
    lines = [
        f"Taken off the advantage of {_runs(names)}: anchor cell ÷ line cell {plus_minus(gain)}, from the checks and the "
        "classes together. The ratio as read stands with each run."
        for gain, names in by_gain.items()
    ]
    if not lines and any(check.used for check in campaign.checks):
        lines.append("No gain was taken off: the checks tell hardly more than the classes of the cells.")
    return lines


def _runs(names: list[str]) -> str:
    """Return the names of runs; of many, how many and from which to which."""
    if len(names) <= 8:
        return f"{'run' if len(names) == 1 else 'runs'} {several(names)}"
    return f"{len(names)} runs, {names[0]} to {names[-1]}"


def series_lines(campaign: CampaignResult) -> list[str]:
    """Return the series checks in words: both cells in one line, round no block, should read the same."""
    if campaign.checks:
        return []
    checks = [run for run in campaign.runs if not run.devices and run.path.count(">") == 1]
    if not checks:
        return ["No series check was run: how the two cells agree is not known from this campaign."]
    return [f"Series check {run.run}: anchor cell ÷ line cell {plus_minus(run.ratio)}." for run in checks]


def readings_table(campaign: CampaignResult) -> Table:
    """Return what each further cell read, and the friction it tells by itself."""
    rows = tuple(
        (
            run.run,
            place,
            _cell(run, place),
            plus_minus(one.ratio),
            f"{one.frictionless:g}",
            or_dash(one.k, plus_minus),
            or_dash(one.k, lambda k: plus_minus(_inverse(k))),
        )
        for run in campaign.runs
        for place, one in run.readings.items()
    )
    heads = (
        "Run",
        "Place",
        "Cell",
        "Place ÷ line, as read",
        "Frictionless",
        "k by itself",
        "Efficiency by itself",
    )
    return Table("Further cells", heads, rows, words=3, slim=True)


def _cell(run: TrialResult, place: str) -> str:
    channel = run.channels.get(place)
    return channel.cell if channel and channel.cell else NOT_STATED


def _inverse(k: Measured) -> Measured:
    """Return the efficiency of a tension ratio: the same number the other way up."""
    return Measured(1.0 / k.value, k.u / k.value**2, 1.0 / k.hi, 1.0 / k.lo)


def reading_lines(run: TrialResult) -> list[str]:
    """Return the gain taken off a run and its further cells, in words."""
    lines = []
    if run.gain is not None:
        lines.append(f"Gain taken off: anchor cell ÷ line cell {plus_minus(run.gain)}.")
    for place, one in run.readings.items():
        own = (
            f", k {plus_minus(one.k)}, efficiency {percent(_inverse(one.k))} by this cell alone"
            if one.k
            else ""
        )
        lines.append(
            f"{place[:1].upper()}{place[1:]} ÷ line, as read: {plus_minus(one.ratio)} "
            f"(frictionless {one.frictionless:g}){own}."
        )
    return lines


def of_cells(campaign: CampaignResult, notices: tuple[Notice, ...]) -> tuple[Notice, ...]:
    """Return the notices that speak of cells: calibration run out, cells that disagree, checks at one load only."""
    cells = _names(campaign.about) | {cell._cell or name for name, cell in campaign.cells.items()}
    for check in campaign.checks:
        cells |= {check.line_cell, check.anchor_cell}
    speaking = (Code.UNCHECKED.name, Code.OUT_OF_RANGE.name, Code.ADVICE.name)
    return tuple(n for n in notices if n.code in speaking and set(n.where) & cells)


def _names(about: Mapping[str, str]) -> set[str]:
    return {key.removeprefix(CELL) for key in about if key.startswith(CELL)}
