"""The sheets of results: every run, the repeats of each configuration, configurations, the budget."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from haulwright.publishing.report_words import short_path
from haulwright.publishing.workbook.cells import LIVE, TEXT, VALUE, Cell, Column, Formula, Sheet
from haulwright.publishing.workbook.charts import advantage_chart
from haulwright.quantities.units import to_si, unit_name
from haulwright.trials.result import CampaignResult, Configuration, TrialResult

HEAD = 3
_SHARE, _RATIO, _FORCE = "0.00%", "0.0000", "0.0"
PERCENT = "%"


def title_of(configuration: Configuration) -> str:
    """Return a configuration's name, as comparisons call it."""
    return (
        f"{configuration.rig}: {' + '.join(configuration.devices)}"
        if configuration.devices
        else configuration.rig
    )


@dataclass(frozen=True)
class Where:
    """Where other sheets find the advantage of each run, or of each configuration."""

    advantage: Mapping[str, str]


def write_results(
    sheet: Sheet, campaign: CampaignResult, beside: Mapping[str, Mapping[str, str]], units: str
) -> Where:
    """Write one row for each run; return where the advantages stand."""
    spoken = [] if units == "N" else [unit_name(units, "force")]
    columns = [
        Column("Run", "", TEXT, 14),
        Column("Rig", "", TEXT, 20),
        Column("Devices, from the drum", "", TEXT, 22),
        Column("Grade", "", TEXT, 9),
        Column("Mean force of the line", "N", LIVE, 13, _FORCE),
        Column("Mean force of the anchor", "N", LIVE, 13, _FORCE),
        *(
            Column(f"Mean force of the {place}", one, LIVE, 13, "0.000")
            for one in spoken
            for place in ("line", "anchor")
        ),
        Column("Anchor ÷ line, as read", "1", LIVE, 12, _RATIO),
        Column("Advantage", "1", LIVE, 12, _RATIO),
        Column("Standard uncertainty", "1", VALUE, 12, _RATIO),
        Column("95 % from", "1", VALUE, 10, _RATIO),
        Column("95 % to", "1", VALUE, 10, _RATIO),
        Column("Standard uncertainty against runs with the same cells", "1", VALUE, 16, _RATIO),
        Column("Winch share", PERCENT, LIVE, 11, _SHARE),
        Column("95 % from", PERCENT, VALUE, 10, _SHARE),
        Column("95 % to", PERCENT, VALUE, 10, _SHARE),
        Column("Advantage without friction", "1", VALUE, 13, "0.###"),
        Column("Rig efficiency", PERCENT, LIVE, 11, _SHARE),
        Column("Logs", "", TEXT, 40),
    ]
    sheet.title(
        "Results of every run", "The formulas point to the run's own sheet, where its rows are averaged."
    )
    at = next(n for n, one in enumerate(columns) if one.head == "Advantage")
    places = {run.run: sheet.at(HEAD + 3 + n, at) for n, run in enumerate(campaign.runs)}
    rows = [_run_row(run, beside[run.run], units, spoken, places[run.run]) for run in campaign.runs]
    sheet.widths(columns)
    sheet.sheet.freeze_panes(HEAD + 3, 1)
    sheet.table(HEAD, columns, rows)
    return Where(places)


def _run_row(
    run: TrialResult, beside: Mapping[str, str], units: str, spoken: Sequence[str], own: str
) -> list[Cell]:
    a, share = run.advantage, run.winch_share
    means = [(beside[place], run.mean_N[place].value) for place in ("line", "anchor")]
    factor = to_si(1.0, units, "force")
    advantage = own.split("!")[1]
    return [
        run.run,
        run.rig,
        "; ".join(run.devices),
        run.grade,
        *(Formula(f"={cell}", value) for cell, value in means),
        *(Formula(f"={cell}/{factor!r}", value / factor) for _ in spoken for cell, value in means),
        Formula(f"={beside['ratio']}", run.ratio.value),
        Formula(f"={beside['advantage']}", a.value),
        a.u,
        a.lo,
        a.hi,
        run.u_repeatability,
        Formula(f"={beside['share']}", share.value),
        share.lo,
        share.hi,
        run.frictionless,
        Formula(f"={advantage}/{run.frictionless!r}", a.value / run.frictionless),
        ", ".join(short_path(file.get("path", "")) for file in run.files) or "typed from the displays",
    ]


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
        Column("Bar up", "1", LIVE, 10, _RATIO),
        Column("Bar down", "1", LIVE, 10, _RATIO),
        Column("Advantage without friction", "1", VALUE, 13, "0.###"),
        Column("Winch share", PERCENT, LIVE, 11, _SHARE),
        Column("95 % from", PERCENT, VALUE, 10, _SHARE),
        Column("95 % to", PERCENT, VALUE, 10, _SHARE),
        Column("Rig efficiency", PERCENT, LIVE, 11, _SHARE),
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
    _chart(sheet, below, len(rows))
    return Where({title_of(one): sheet.at(HEAD + 3 + n, 3) for n, one in enumerate(campaign.configurations)})


def _configuration_row(one: Configuration, row: int, weights: str, advantages: str) -> list[Cell]:
    a, share = one.advantage, one.winch_share
    mean = f"=EXP(SUMPRODUCT({weights},LN({advantages}))/SUM({weights}))"
    return [
        title_of(one),
        one.n,
        ", ".join(one.runs),
        Formula(mean, a.value),
        a.value,
        a.u,
        a.lo,
        a.hi,
        Formula(f"=H{row}-D{row}", a.hi - a.value),
        Formula(f"=D{row}-G{row}", a.value - a.lo),
        one.frictionless,
        Formula(f"=1/D{row}", share.value),
        share.lo,
        share.hi,
        Formula(f"=D{row}/K{row}", one.rig_efficiency.value),
    ]


def _chart(sheet: Sheet, below: int, n: int) -> None:
    if not n:
        return
    first, last = HEAD + 3, HEAD + 2 + n
    series = {
        name: sheet.range(first, last, column)
        for name, column in (("advantage", 3), ("plus", 8), ("minus", 9), ("frictionless", 10))
    }
    chart = advantage_chart(sheet.book, sheet.range(first, last, 0), series, n)
    sheet.sheet.insert_chart(below + 1, 0, chart)


def write_budget(sheet: Sheet, campaign: CampaignResult) -> None:
    """Write the uncertainty budget of every run: its terms, their shares, their root sum of squares."""
    columns = [
        Column("Run", "", TEXT, 14),
        Column("Term", "", TEXT, 40),
        Column("Standard uncertainty of the advantage", "1", VALUE, 16, "0.00000"),
        Column("Share of the variance", PERCENT, LIVE, 12, "0.0%"),
        Column("In the record", "1", VALUE, 14, "0.00000"),
    ]
    told = "Terms from the library (JCGM 100:2008, 5.1.2). All of a run: the root of the sum of squares, beside the record's."
    sheet.title("Uncertainty budget of every run", told)
    rows: list[list[Cell]] = []
    for run in campaign.runs:
        first = HEAD + 4 + len(rows)
        block = f"$C${first}:$C${first + len(run.budget) - 1}"
        for n, term in enumerate(run.budget):
            share = Formula(f"=C{first + n}^2/SUMSQ({block})", term.share)
            rows.append([run.run, term.term, term.u, share, None])
        if run.budget:
            rows.append(
                [
                    run.run,
                    "all of it",
                    Formula(f"=SQRT(SUMSQ({block}))", run.advantage.u),
                    None,
                    run.advantage.u,
                ]
            )
    sheet.widths(columns)
    sheet.sheet.freeze_panes(HEAD + 3, 1)
    sheet.table(HEAD, columns, rows)
