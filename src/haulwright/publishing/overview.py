"""A campaign's record in words, for its page: the sentences, figures and tables of the report, nothing computed again."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from haulwright.publishing.overview_record import (
    CampaignOverview,
    ShownComparison,
    ShownConfiguration,
    ShownDevice,
    ShownRig,
    ShownRun,
    ShownTable,
)
from haulwright.publishing.report_cells import (
    cells_table,
    checks_table,
    gain_lines,
    level_tables,
    of_cells,
    readings_table,
    series_lines,
)
from haulwright.publishing.report_day import (
    OVER_THE_DAY,
    conditions_table,
    heat_table,
    load_lines,
    over_the_day,
    prediction_table,
    too_warm,
    typed_line,
)
from haulwright.publishing.report_words import (
    basis,
    budget_table,
    configuration_table,
    found,
    head,
    invented_mark,
    sentence_case,
    with_devices,
)
from haulwright.publishing.tables import Table
from haulwright.publishing.wording import (
    NOT_STATED,
    check_units,
    comparison_sentence,
    comparison_word,
    device_list,
    force_plus_minus,
    force_range,
    left_out_sentence,
    moved_range,
    others,
    percent,
    plus_minus,
    sensitivity_sentence,
    stretch_sentence,
)
from haulwright.records import Made
from haulwright.trials.result import (
    CampaignCheck,
    CampaignResult,
    Comparison,
    Configuration,
    DeviceFriction,
    RunVerdict,
    TrialResult,
)

_DEVICE = "device "  # what the keys of ``about`` that speak of a device begin with


def campaign_overview(
    campaign: CampaignResult, check: CampaignCheck, *, units: str = "kN"
) -> CampaignOverview:
    """Return what a campaign found and what it rests on, as its page shows it.

    Parameters
    ----------
    campaign : CampaignResult
    check : CampaignCheck
        Of the same folder: its runs stand in the order of the sheet.
    units : str
        Unit of the forces in words: kN, kgf, lbf, t or N.

    Raises
    ------
    UsageRefusal
        UNITS.
    """
    check_units(units)
    about = campaign.about
    tables = {
        "configurations": configuration_table(campaign),
        "cells": cells_table(campaign, units),
        "checks": checks_table(campaign, units),
        "readings": readings_table(campaign),
        "predictions": prediction_table(campaign),
        "conditions": conditions_table(campaign, units),
        "heat": heat_table(campaign),
        "budget": budget_table(campaign),
    }
    cells = [*gain_lines(campaign), *series_lines(campaign)]
    cells += [notice.message for notice in others(of_cells(campaign, campaign.notices))]
    return CampaignOverview(
        name=campaign.name,
        title=about.get("title") or campaign.name,
        invented=invented_mark(campaign),
        sentences=tuple(found(campaign)),
        basis=basis(campaign, units),
        rigs=_rigs(campaign),
        devices=tuple(_device(campaign, name, one, units) for name, one in campaign.devices.items()),
        comparisons=tuple(_comparison(one) for one in campaign.comparisons),
        margin=_margin(campaign),
        runs=_runs(campaign, check, units),
        counts=check.counts,
        unmatched=check.unmatched,
        tables={name: _shown(table) for name, table in tables.items() if table.rows},
        levels=tuple(_shown(table) for table in level_tables(campaign, units)),
        of_cells=tuple(cells),
        day=tuple(
            words
            for words in (*over_the_day(campaign.notices), too_warm(campaign), typed_line(campaign))
            if words
        ),
        predicted=left_out_sentence(campaign.left_out) if campaign.left_out else "",
        not_tested=sentence_case(str(about.get("not_tested", "") or "")).rstrip("."),
        about=tuple(row for row in head(about) if row[1]),
        notices=tuple(n for n in campaign.notices if n.code not in OVER_THE_DAY),
        made=Made("the campaign's record in words", {"campaign": campaign.name, "units": units}),
    )


def _margin(campaign: CampaignResult) -> float:
    made = campaign.made
    return float(made.inputs.get("margin", 0.0)) if made else 0.0


def _shown(table: Table) -> ShownTable:
    return ShownTable(table.caption, table.head, table.rows, table.words, table.same)


def _rigs(campaign: CampaignResult) -> tuple[ShownRig, ...]:
    """Return the rigs that test something, in the order of the sheet, the devices from least to greatest advantage."""
    rigs: dict[str, list[Configuration]] = {}
    for one in with_devices(campaign):
        rigs.setdefault(one.rig, []).append(one)
    return tuple(
        ShownRig(
            rig,
            rows[0].frictionless,
            1.0 / rows[0].frictionless,
            found(replace(campaign, configurations=tuple(rows)))[0],
            tuple(_configuration(one) for one in sorted(rows, key=lambda c: -c.advantage.value)),
        )
        for rig, rows in rigs.items()
    )


def _configuration(one: Configuration) -> ShownConfiguration:
    text = {
        "advantage": plus_minus(one.advantage),
        "advantage_answer": plus_minus(one.advantage, figures=1),
        "winch_share": percent(one.winch_share),
        "winch_share_answer": percent(one.winch_share, figures=1),
        "rig_efficiency": percent(one.rig_efficiency, figures=1),
    }
    return ShownConfiguration(
        one.devices,
        device_list(one.devices),
        one.n,
        one.runs,
        one.advantage,
        one.winch_share,
        one.rig_efficiency,
        text,
    )


def _device(campaign: CampaignResult, name: str, one: DeviceFriction, units: str) -> ShownDevice:
    alone = replace(campaign, devices={name: one})
    text = {
        "k": plus_minus(one.k),
        "efficiency": plus_minus(one.efficiency),
        "efficiency_answer": percent(one.efficiency, figures=1),
        "valid": force_range(*one.valid_N, units) if one.valid_N else NOT_STATED,
    }
    return ShownDevice(
        name,
        str(campaign.about.get(f"{_DEVICE}{name}", "")),
        one.k,
        one.efficiency,
        one.valid_N,
        text,
        " ".join(load_lines(alone, units)),
        one.valid_N is not None and one.k.value >= 1.0,
    )


def _comparison(one: Comparison) -> ShownComparison:
    rig, _, a = one.a.partition(": ")
    b = one.b.partition(": ")[2]
    short = replace(one, a=a.replace(" + ", ", then "), b=b.replace(" + ", ", then ")) if a and b else one
    return ShownComparison(
        rig if a and b else "",
        short.a,
        short.b,
        one.verdict,
        comparison_word(one),
        comparison_sentence(replace(short, evidence="")),
        sentence_case(f"{one.evidence}.") if one.evidence else "",
        one.runs_needed,
        one.ratio,
    )


def _runs(campaign: CampaignResult, check: CampaignCheck, units: str) -> tuple[ShownRun, ...]:
    results = {run.run: run for run in campaign.runs}
    return tuple(_run(verdict, results.get(verdict.run), units) for verdict in check.runs)


def _run(verdict: RunVerdict, run: TrialResult | None, units: str) -> ShownRun:
    text: Mapping[str, str] = {}
    if run is not None:
        forces = {place: force_plus_minus(mean, units) for place, mean in run.mean_N.items()}
        text = {**forces, "advantage": plus_minus(run.advantage), "moved": moved_range(run.sensitivity)}
    return ShownRun(
        verdict.run,
        run.rig if run else verdict.rig,
        verdict.devices,
        device_list(verdict.devices),
        verdict.verdict,
        verdict.reasons,
        run.grade if run else "",
        run.advantage if run else None,
        run.frictionless if run else None,
        text,
        " ".join(stretch_sentence(one) for one in run.steady) if run else "",
        sensitivity_sentence(run.sensitivity) if run else "",
    )
