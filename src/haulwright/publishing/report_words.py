"""Sentences and table rows of a campaign report, from its record."""

from __future__ import annotations

import shlex
from collections.abc import Mapping
from pathlib import PurePath

from haulwright.notices import Code
from haulwright.publishing.report_cells import CELL
from haulwright.publishing.report_day import grade_mark
from haulwright.publishing.tables import Table
from haulwright.publishing.wording import (
    NOT_STATED,
    count,
    device_list,
    force_plus_minus,
    force_range,
    left_out_sentence,
    percent,
    plus_minus,
    scatter_sentence,
)
from haulwright.quantities.numerals import UNKNOWN, print_number
from haulwright.records import Made
from haulwright.trials.result import BudgetTerm, CampaignResult, Configuration, DeviceFriction, TrialResult

_HEAD = (
    ("number", "Number"),
    ("laboratory", "Tested by"),
    ("customer", "Tested for"),
    ("site", "Where"),
    ("date", "When"),
    ("issued", "Issued"),
    ("authorised_by", "Answers for it"),
    ("method", "Method"),
    ("interests", "Interests"),
)
_SAID_ELSEWHERE = {"title", "not_tested", "invented", "name", "margin"}
_NO = {"", "no", "false", "0", "none"}


def head(about: Mapping[str, str]) -> list[tuple[str, str]]:
    """Return the rows of the head: what every report must say, then whatever else the campaign says but of the cells.

    Examples
    --------
    >>> head({"customer": "own use", "rope_age": "2 years"})[2], head({"rope_age": "2 years"})[-1]
    (('Tested for', 'own use'), ('Rope age', '2 years'))
    """
    rows = [(word, str(about.get(key, "") or "")) for key, word in _HEAD]
    known = {key for key, _ in _HEAD} | _SAID_ELSEWHERE
    more = [
        (sentence_case(key), str(text))
        for key, text in about.items()
        if key not in known and not key.startswith(CELL)
    ]
    return rows + [row for row in more if row[1]]


def missing(about: Mapping[str, str]) -> tuple[str, ...]:
    """Return what a final report must say and the campaign does not, as it is called in ``campaign.yaml``.

    References
    ----------
    ISO/IEC 17025:2017, 7.8.2.1: title, laboratory, customer, unique number, method, place, dates of test and issue, who
    authorises it. Interests and what was not tested are a house rule.

    Examples
    --------
    >>> missing({"title": "t", "number": "7", "customer": "c", "laboratory": "l", "site": "s", "date": "2025-06-02"})
    ('issued', 'authorised_by', 'method', 'interests', 'not_tested')
    """
    needed = ("title", *(key for key, _ in _HEAD), "not_tested")
    return tuple(key for key in needed if not str(about.get(key, "") or "").strip())


def sentence_case(text: str) -> str:
    """Return text that begins with a capital; underscores become spaces."""
    words = text.replace("_", " ")
    return words[:1].upper() + words[1:]


def invented_mark(campaign: CampaignResult) -> str:
    """Return the sentence that marks invented data, or nothing."""
    told = next((n.message for n in campaign.notices if n.code == Code.INVENTED.name), "")
    said = str(campaign.about.get("invented", "")).strip()
    return told or (Code.INVENTED.sentence if said.lower() not in _NO else "")


def with_devices(campaign: CampaignResult) -> tuple[Configuration, ...]:
    """Return the configurations that test something: a series check compares the cells, not devices."""
    return tuple(c for c in campaign.configurations if c.devices)


def found(campaign: CampaignResult) -> list[str]:
    """Return what was found, in plain sentences, one per rig."""
    rigs: dict[str, list[Configuration]] = {}
    for configuration in with_devices(campaign):
        rigs.setdefault(configuration.rig, []).append(configuration)
    if not rigs:
        return ["No configuration gave a number."]
    return [_rig_sentence(rig, rows) for rig, rows in rigs.items()]


def _rig_sentence(rig: str, rows: list[Configuration]) -> str:
    def said(c: Configuration) -> str:
        return f"{percent(c.winch_share, figures=1)} of the load ({device_list(c.devices)})"

    ordered = sorted(rows, key=lambda c: c.winch_share.value)
    frictionless = print_number(100.0 / ordered[0].frictionless, 1).removesuffix(".0")
    tail = f"Without friction it would be {frictionless}\u00a0%."
    if len(ordered) == 1:
        return f"In the {rig} the winch pulled {said(ordered[0])}. {tail}"
    return f"In the {rig} the winch pulled from {said(ordered[0])} to {said(ordered[-1])}. {tail}"


def configuration_table(campaign: CampaignResult) -> Table:
    """Return the table of configurations."""
    rows = tuple(
        (
            device_list(c.devices),
            c.rig,
            print_number(c.n, 0),
            plus_minus(c.advantage),
            f"{c.frictionless:g}",
            plus_minus(c.winch_share, scale=100.0),
            _scatter(c),
        )
        for c in campaign.configurations
    )
    heads = (
        "Devices, from the drum",
        "Rig",
        "Runs",
        "Advantage",
        "Frictionless",
        "Winch share, %",
        "Scatter reckoned with",
    )
    return Table("Advantage reached, load ÷ effort", heads, rows, words=2)


def _scatter(c: Configuration) -> str:
    if c.n < 2:
        return UNKNOWN
    return print_number(c.between_run_sd, 4) if c.between_run_sd >= 5e-5 else "none seen"


def device_table(campaign: CampaignResult, units: str) -> Table:
    """Return the table of devices."""
    rows = tuple(
        (
            name,
            plus_minus(f.k),
            plus_minus(f.efficiency),
            force_range(*f.valid_N, units) if f.valid_N else NOT_STATED,
        )
        for name, f in campaign.devices.items()
    )
    return Table(
        "Friction of one 180° pass", ("Device", "Tension ratio k", "Efficiency", "Loads tested"), rows
    )


def basis(campaign: CampaignResult, units: str) -> str:
    """Return how much was measured, in words."""
    means = [run.mean_N["line"].value for run in campaign.runs if "line" in run.mean_N]
    loads = f" Mean line pulls: {force_range(min(means), max(means), units)}." if means else ""
    unseen = f" {left_out_sentence(campaign.left_out)}" if campaign.left_out else ""
    scatter = f" {scatter_sentence(campaign.scatter)}" if campaign.scatter else ""
    return f"{count(len(campaign.runs), 'run')} measured, {len(campaign.excluded)} left out.{loads}{scatter}{unseen}"


def budget_table(campaign: CampaignResult) -> Table:
    """Return the terms of the budget with their span over the runs, the largest first."""
    terms: dict[str, list[BudgetTerm]] = {}
    for run in campaign.runs:
        for term in run.budget:
            terms.setdefault(term.term, []).append(term)
    largest = sorted(terms.items(), key=lambda item: -max(t.share for t in item[1]))
    rows = tuple(
        (
            name,
            _span([print_number(t.u, 4) for t in sorted(ts, key=lambda t: t.u)]),
            _span([_share(t.share) for t in sorted(ts, key=lambda t: t.share)]),
        )
        for name, ts in largest
    )
    heads = ("Term", "Standard uncertainty", "Share of the variance, %")
    return Table("Uncertainty of the advantage of one run, span over all runs", heads, rows)


def _span(texts: list[str]) -> str:
    return texts[0] if texts[0] == texts[-1] else f"{texts[0]} to {texts[-1]}"


def run_title(run: TrialResult) -> str:
    """Return the heading of a run."""
    devices = f", {device_list(run.devices)}" if run.devices else ""
    return f"Run {run.run}: {run.rig}{devices}{grade_mark(run)}"


def run_lines(run: TrialResult, units: str) -> list[str]:
    """Return the answer of a run, its means and the friction it shows."""
    means = ", ".join(f"{place} {force_plus_minus(m, units)}" for place, m in run.mean_N.items())
    over = (
        "Mean forces over the steady stretch" if run.grade == "logged" else "Forces typed from the displays"
    )
    lines = [
        f"Advantage {plus_minus(run.advantage)}; winch share {percent(run.winch_share)}; "
        f"anchor ÷ line as read {plus_minus(run.ratio)}.",
        f"{over}: {means}.",
    ]
    return lines + [_friction_sentence(name, f, units) for name, f in run.friction.items()]


def _friction_sentence(name: str, f: DeviceFriction, units: str) -> str:
    loads = f", at {force_range(*f.valid_N, units)}" if f.valid_N else ""
    return f"{name}: tension ratio k {plus_minus(f.k)}, efficiency {plus_minus(f.efficiency)}{loads}."


def run_channels(run: TrialResult, units: str) -> Table:
    """Return what was read of each channel."""
    rows = tuple(
        (
            place,
            c.cell or NOT_STATED,
            c.unit_read or NOT_STATED,
            f"{print_number(c.n, 0)} at {print_number(c.rate_Hz, 1)}/s",
            "none" if c.gaps == 0 else print_number(c.gaps, 0),
            "0 (reference)" if place == "line" else plus_minus(c.clock_offset_s, unit="s"),
            force_plus_minus(c.zero_N, units) if c.zero_N else "not corrected",
        )
        for place, c in run.channels.items()
    )
    heads = ("Place", "Cell", "Read in", "Readings", "Gaps", "Clock late by", "Zero")
    return Table("Channels", heads, rows, words=3)


def run_budget(run: TrialResult) -> str:
    """Return the budget of a run in one sentence: standard uncertainty and share of the variance of each term."""
    if not run.budget:
        return f"What its uncertainty rests on: {NOT_STATED}."
    terms = "; ".join(f"{t.term} {print_number(t.u, 4)} ({_share(t.share)}\u00a0%)" for t in run.budget)
    return f"Standard uncertainty of the advantage, by term (share of the variance): {terms}."


def _share(share: float) -> str:
    return "under 1" if 0 < share < 0.005 else print_number(100 * share, 0)


def short_path(path: str) -> str:
    """Return a log's path as printed: an absolute one by its last folder and name only.

    Examples
    --------
    >>> short_path("/srv/trainer/lane/logs/a.csv"), short_path("examples/campaign/logs/a.csv")
    ('logs/a.csv', 'examples/campaign/logs/a.csv')
    """
    pure = PurePath(path)
    return "/".join(pure.parts[-2:]) if pure.is_absolute() else path


def rebuild_command(made: Made | None) -> str:
    """Return the command that makes the report again; a folder outside the present one is not spelled out.

    Examples
    --------
    >>> rebuild_command(Made("", {"folder": "examples/my campaign"}))
    "haulwright publish report 'examples/my campaign' --out DIR"
    """
    folder = str(made.inputs.get("folder", "")) if made else ""
    if not folder or PurePath(folder).is_absolute() or ".." in PurePath(folder).parts:
        folder = PurePath(folder).name or "FOLDER"
    return f"haulwright publish report {shlex.quote(folder)} --out DIR"
