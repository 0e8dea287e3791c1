"""The sheets of what was tested together: the repeats with their weights, and the configurations with their charts."""

from __future__ import annotations

from collections.abc import Mapping

from haulwright.publishing.workbook.cells import LIVE, TEXT, VALUE, Cell, Column, Formula, Sheet
from haulwright.publishing.workbook.charts import Bars, advantage_chart, efficiency_chart
from haulwright.publishing.workbook.result_pages import EFFICIENCY, HEAD, PERCENT, Where
from haulwright.trials.result import CampaignResult, Configuration

_SHARE, _RATIO = "0.00%", "0.0000"


def title_of(configuration: Configuration) -> str:
    """Return a configuration's name, as comparisons call it."""
    return (
        f"{configuration.rig}: {' + '.join(configuration.devices)}"
        if configuration.devices
        else configuration.rig
    )


def write_repeats(sheet: Sheet, campaign: CampaignResult, runs: Where) -> dict[int, tuple[int, int]]:
    """Write the runs of each configuration with their weights; return first and last row of each."""
    columns = [
        Column("Configuration", "", TEXT, 36),
        Column("Run", "", TEXT, 14),
        Column("Advantage", "1", LIVE, 12, _RATIO),
        Column("Standard uncertainty against runs with the same cells", "1", VALUE, 16, _RATIO),
        Column("Scatter between runs reckoned with", "1, relative", VALUE, 16, "0.00000"),
        Column("Weight", "1", LIVE, 14, "0.00"),
    ]
    told = "Weight: 1 ÷ (relative uncertainty² + scatter²). The configurations take the weighted mean of the logarithms."
    sheet.title("Repeats of each configuration", told)
    by_run = {run.run: run for run in campaign.runs}
    rows: list[list[Cell]] = []
    found: dict[int, tuple[int, int]] = {}
    for n, configuration in enumerate(campaign.configurations):
        first = HEAD + 3 + len(rows)
        scatter = configuration.between_run_sd / configuration.advantage.value
        for name in configuration.runs:
            run, row = by_run[name], HEAD + 4 + len(rows)
            u = run.u_repeatability
            weight = 1.0 / ((u / run.advantage.value) ** 2 + scatter**2)
            advantage = Formula(f"={runs.advantage[name]}", run.advantage.value)
            formula = Formula(f"=1/((D{row}/C{row})^2+E{row}^2)", weight)
            rows.append([title_of(configuration), name, advantage, u, scatter, formula])
        found[n] = (first, HEAD + 2 + len(rows))
    sheet.widths(columns)
    sheet.sheet.freeze_panes(HEAD + 3, 2)
    sheet.table(HEAD, columns, rows)
    return found


def write_configurations(
    sheet: Sheet, campaign: CampaignResult, repeats: Sheet, spans: Mapping[int, tuple[int, int]]
) -> Where:
    """Write every configuration with the chart of all; return where the advantages stand."""
    columns = [
        Column("Configuration", "", TEXT, 36),
        Column("Runs", "runs", VALUE, 7, "0"),
        Column("Names of the runs", "", TEXT, 28),
        Column("Advantage", "1", LIVE, 12, _RATIO),
        Column("In the record", "1", VALUE, 12, _RATIO),
        Column("Standard uncertainty", "1", VALUE, 12, _RATIO),
        Column("95 % from", "1", VALUE, 10, _RATIO),
        Column("95 % to", "1", VALUE, 10, _RATIO),
        Column("Advantage without friction", "1", VALUE, 13, "0.###"),
        Column("Winch share", PERCENT, LIVE, 11, _SHARE),
        Column("95 % from", PERCENT, VALUE, 10, _SHARE),
        Column("95 % to", PERCENT, VALUE, 10, _SHARE),
        *EFFICIENCY,
        Column("Bar up, for the chart", "1", LIVE, 11, _RATIO),
        Column("Bar down", "1", LIVE, 11, _RATIO),
        Column("Bar up, for the second chart", PERCENT, LIVE, 12, _SHARE),
        Column("Bar down", PERCENT, LIVE, 11, _SHARE),
    ]
    told = "Repeats of one rig with the same devices together. Intervals come from the library: class of the cells counted once."
    sheet.title("Advantage by rig and devices", told)
    rows = []
    for n, one in enumerate(campaign.configurations):
        w, a = (repeats.range(*spans[n], column) for column in (5, 2))
        rows.append(_configuration_row(one, HEAD + 4 + n, w, a))
    sheet.widths(columns)
    sheet.sheet.freeze_panes(HEAD + 3, 1)
    below = sheet.table(HEAD, columns, rows)
    _charts(sheet, below, len(rows))
    return Where({title_of(one): sheet.at(HEAD + 3 + n, 3) for n, one in enumerate(campaign.configurations)})


def _configuration_row(one: Configuration, row: int, weights: str, advantages: str) -> list[Cell]:
    a, share, ideal = one.advantage, one.winch_share, one.frictionless
    mean = f"=EXP(SUMPRODUCT({weights},LN({advantages}))/SUM({weights}))"
    return [
        title_of(one),
        one.n,
        ", ".join(one.runs),
        Formula(mean, a.value),
        *(a.value, a.u, a.lo, a.hi, ideal),
        Formula(f"=1/D{row}", share.value),
        *(share.lo, share.hi),
        Formula(f"=D{row}/I{row}", a.value / ideal),
        Formula(f"=G{row}/I{row}", a.lo / ideal),
        Formula(f"=H{row}/I{row}", a.hi / ideal),
        Formula(f"=H{row}-D{row}", a.hi - a.value),
        Formula(f"=D{row}-G{row}", a.value - a.lo),
        Formula(f"=O{row}-M{row}", (a.hi - a.value) / ideal),
        Formula(f"=M{row}-N{row}", (a.value - a.lo) / ideal),
    ]


def _charts(sheet: Sheet, below: int, n: int) -> None:
    """Put both charts below the table: the advantage, and how much of the frictionless one it is."""
    if not n:
        return
    cells = [sheet.range(HEAD + 3, HEAD + 2 + n, column) for column in range(19)]
    advantage = Bars(cells[0], cells[3], cells[15], cells[16], cells[8], n)
    efficiency = Bars(cells[0], cells[12], cells[17], cells[18], None, n)
    sheet.sheet.insert_chart(below + 1, 0, advantage_chart(sheet.book, advantage))
    sheet.sheet.insert_chart(below + 29, 0, efficiency_chart(sheet.book, efficiency))
