"""The sheets of results: every run, the repeats of each configuration, configurations, the budget."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from haulwright.publishing.report_words import short_path
from haulwright.publishing.workbook.cells import LIVE, TEXT, VALUE, Cell, Column, Formula, Sheet
from haulwright.quantities.units import to_si, unit_name
from haulwright.trials.result import CampaignResult, TrialResult

HEAD = 3
_SHARE, _RATIO, _FORCE = "0.00%", "0.0000", "0.0"
PERCENT = "%"
EFFICIENCY = (
    Column("Rig efficiency", PERCENT, LIVE, 11, "0.00%"),
    Column("95 % from", PERCENT, LIVE, 10, "0.00%"),
    Column("95 % to", PERCENT, LIVE, 10, "0.00%"),
)
"""Advantage ÷ that without friction, with the ends of its interval."""


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
        Column("Standard uncertainty", "N", VALUE, 12, _FORCE),
        Column("Mean force of the anchor", "N", LIVE, 13, _FORCE),
        Column("Standard uncertainty", "N", VALUE, 12, _FORCE),
        *(
            Column(f"Mean force of the {place}", one, LIVE, 13, "0.000")
            for one in spoken
            for place in ("line", "anchor")
        ),
        Column("Anchor ÷ line, as read", "1", LIVE, 12, _RATIO),
        Column("Standard uncertainty", "1", VALUE, 12, _RATIO),
        Column("Advantage", "1", LIVE, 12, _RATIO),
        Column("Standard uncertainty", "1", VALUE, 12, _RATIO),
        Column("95 % from", "1", VALUE, 10, _RATIO),
        Column("95 % to", "1", VALUE, 10, _RATIO),
        Column("Standard uncertainty against runs with the same cells", "1", VALUE, 16, _RATIO),
        Column("Winch share", PERCENT, LIVE, 11, _SHARE),
        Column("95 % from", PERCENT, VALUE, 10, _SHARE),
        Column("95 % to", PERCENT, VALUE, 10, _SHARE),
        Column("Advantage without friction", "1", VALUE, 13, "0.###"),
        *EFFICIENCY,
        Column("Logs", "", TEXT, 40),
    ]
    sheet.title(
        "Results of every run", "The formulas point to the run's own sheet, where its rows are averaged."
    )
    at = next(n for n, one in enumerate(columns) if one.head == "Advantage")
    places = {run.run: sheet.at(HEAD + 3 + n, at) for n, run in enumerate(campaign.runs)}
    ends = [at, at + 2, at + 3]  # advantage, and both ends of its interval
    rows = [
        _run_row(
            run, beside[run.run], units, spoken, [sheet.at(HEAD + 3 + n, one).split("!")[1] for one in ends]
        )
        for n, run in enumerate(campaign.runs)
    ]
    sheet.widths(columns)
    sheet.sheet.freeze_panes(HEAD + 3, 1)
    sheet.table(HEAD, columns, rows)
    return Where(places)


def _run_row(
    run: TrialResult, beside: Mapping[str, str], units: str, spoken: Sequence[str], interval: Sequence[str]
) -> list[Cell]:
    a, share = run.advantage, run.winch_share
    means = [(beside[place], run.mean_N[place]) for place in ("line", "anchor")]
    factor = to_si(1.0, units, "force")
    return [
        run.run,
        run.rig,
        "; ".join(run.devices),
        run.grade,
        *(one for cell, mean in means for one in (Formula(f"={cell}", mean.value), mean.u)),
        *(Formula(f"={cell}/{factor!r}", mean.value / factor) for _ in spoken for cell, mean in means),
        Formula(f"={beside['ratio']}", run.ratio.value),
        run.ratio.u,
        Formula(f"={beside['advantage']}", a.value),
        a.u,
        a.lo,
        a.hi,
        run.u_repeatability,
        Formula(f"={beside['share']}", share.value),
        share.lo,
        share.hi,
        run.frictionless,
        *(
            Formula(f"={cell}/{run.frictionless!r}", value / run.frictionless)
            for cell, value in zip(interval, (a.value, a.lo, a.hi), strict=True)
        ),
        ", ".join(short_path(file.get("path", "")) for file in run.files) or "typed from the displays",
    ]


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
