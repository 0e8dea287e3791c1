"""What stands beside the forces in a report: the check of the same day, what was noted of each run, heat, changes."""

from __future__ import annotations

import re
from typing import Any

from haulwright.notices import Code, Notice
from haulwright.publishing.tables import Table, or_empty, several
from haulwright.publishing.wording import (
    count,
    device_list,
    force,
    force_plus_minus,
    plus_minus,
    sensitivity_sentence,
)
from haulwright.quantities.measured import Measured
from haulwright.quantities.numerals import print_number
from haulwright.quantities.units import show
from haulwright.trials.result import BlockHeat, CampaignCheck, CampaignResult, DeviceFriction, TrialResult

OVER_THE_DAY = (Code.TREND.name, Code.ASSOCIATION.name)
_VERDICTS = {"redo": "to be pulled again", "missing": "log missing", "left_out": "left out by decision"}
_TYPED = "typed"
_NOTED = ("Rope", "Weather", "Drum layer", "Travel", "Line speed", "Other")


def check_lines(check: CampaignCheck) -> tuple[str, Table]:
    """Return the same-day check of a campaign: how many runs passed, and a table of those that did not."""
    passed = sum(run.verdict == "pass" for run in check.runs)
    rows = tuple(
        (run.run, _VERDICTS.get(run.verdict, run.verdict), "; ".join(run.reasons))
        for run in check.runs
        if run.verdict != "pass"
    )
    words = f"{passed} of {count(len(check.runs), 'run')} passed the rules of the same day."
    if check.unmatched:
        words += f" Files in logs/ that belong to no run: {', '.join(check.unmatched)}."
    return words, Table("Runs that did not pass", ("Run", "Verdict", "Why"), rows, words=3, slim=True)


def typed_line(campaign: CampaignResult) -> str:
    """Return which runs were typed from the displays, in words; nothing where none was."""
    names = [run.run for run in campaign.runs if run.grade == _TYPED]
    if not names:
        return ""
    were = "Run {} was" if len(names) == 1 else "Runs {} were"
    return (
        f"{were.format(several(names))} typed from the displays, a lower grade: counted with its own wider uncertainty, and "
        "not in the scatter between runs. Nothing shows that the rope moved."
    )


def prediction_table(campaign: CampaignResult) -> Table:
    """Return how each configuration was predicted from the runs of all the others."""
    rows = tuple(
        (
            device_list(one.devices),
            one.rig,
            plus_minus(one.predicted),
            print_number(one.measured, 3),
            f"{print_number(100.0 * (one.measured / one.predicted.value - 1.0), 2)}\u00a0%",
            "inside" if one.inside else "outside",
        )
        for one in campaign.left_out
    )
    heads = ("Devices, from the drum", "Rig", "Predicted", "Read", "Off by", "Its 95\u00a0% interval")
    return Table("Advantage these cells were to read, predicted without its own runs", heads, rows, words=2)


def load_lines(campaign: CampaignResult, units: str) -> list[str]:
    """Return how the friction of each device changes with its load, where that was found."""
    return [
        f"{name}: k changes with the load. k − 1 goes with the load to the power "
        f"{plus_minus(_negative(device.load_exponent))}; the k above is that at {force(device.at_N, units)}"
        f"{_ends(device, units)}."
        for name, device in campaign.devices.items()
        if device.load_exponent is not None and device.at_N is not None
    ]


def _negative(b: Measured) -> Measured:
    return Measured(-b.value, b.u, -b.hi, -b.lo)


def _ends(device: DeviceFriction, units: str) -> str:
    if device.valid_N is None:
        return ""
    low, high = (force(end, units) for end in device.valid_N)
    return f", tested from {low} to {high}"


def conditions_table(campaign: CampaignResult, units: str) -> Table:
    """Return what was noted of each run, beside its line pull and its advantage."""
    rows = tuple(
        (
            run.run,
            device_list(run.devices) if run.devices else "",
            *_noted(run.conditions),
            or_empty(run.mean_N.get("line"), lambda m: force_plus_minus(m, units)),
            plus_minus(run.advantage),
        )
        for run in campaign.runs
        if run.conditions
    )
    heads = ("Run", "Devices", *_NOTED, "Line pull", "Advantage")
    table = Table("What was noted of each run", heads, rows, words=8, slim=True).without_empty()
    return table.with_same_said_once(*_NOTED)


def _noted(c: Any) -> tuple[str, ...]:
    air = or_empty(c.get("air_C"), lambda x: f"air {_celsius(x)}")
    return (
        ", ".join(word for word in (c.get("rope_state", ""), c.get("rope_age", "")) if word),
        ", ".join(word for word in (c.get("weather", ""), air) if word),
        or_empty(c.get("layer"), lambda x: print_number(x, 0)),
        or_empty(c.get("travel_m"), lambda x: show(x, "m")),
        or_empty(c.get("line_speed_m_s"), lambda x: f"{print_number(60.0 * x, 1)}\u00a0m/min"),
        "; ".join(f"{key} {text}" for key, text in c.get("notes", {}).items()),
    )


def _celsius(value: float) -> str:
    return f"{print_number(value, 0)}\u00a0°C"


def heat_table(campaign: CampaignResult) -> Table:
    """Return the heat of each block beside the surface temperatures that were noted."""
    rows = tuple(
        (
            run.run,
            f"{one.device}, at {block}",
            *_heat(one)[_metre_known(campaign) :],
            _surface(one),
            _rise(one),
            _bound(one),
        )
        for run in campaign.runs
        for block, one in run.heat.items()
    )
    heads = ("Heat of 1 m", "Heat of the pull", "Power")[_metre_known(campaign) :]
    return Table(
        "Heat from the forces, beside the surface as measured",
        ("Run", "Device, block", *heads, "Surface", "Warmed by", "At most, from the heat"),
        rows,
        words=2,
        slim=True,
    ).without_empty()


def _metre_known(campaign: CampaignResult) -> int:
    """Return how many columns of heat to leave out: that of a metre says nothing more where that of the pull is known."""
    return int(all(one.heat_J is not None for run in campaign.runs for one in run.heat.values()))


def _heat(one: BlockHeat) -> tuple[str, ...]:
    return (
        _spread(one.heat_J_per_m, one.u_share, "J/m"),
        or_empty(one.heat_J, lambda x: _spread(x / 1000.0, one.u_share, "kJ")),
        or_empty(one.heat_W, lambda x: _spread(x, one.u_share, "W")),
    )


def _bound(one: BlockHeat) -> str:
    return or_empty(one.rise_bound_K, lambda x: _spread(x, one.u_share, "K"))


def _surface(one: BlockHeat) -> str:
    before, after = (or_empty(x, lambda x: print_number(x, 0)) for x in (one.before_C, one.after_C))
    if before and after:
        return f"{before} to {after}\u00a0°C"
    return f"{before or after}\u00a0°C {'before' if before else 'after'}" if before or after else ""


def _spread(value: float, u_share: float | None, unit: str) -> str:
    """Return a heat with the uncertainty the ratios give it; it cannot be below 0."""
    if u_share is None:
        return f"{print_number(value, 1)}\u00a0{unit}"
    m = Measured.normal(value, value * u_share)
    return plus_minus(Measured(m.value, m.u, max(m.lo, 0.0), m.hi), unit=unit)


def _rise(one: BlockHeat) -> str:
    if one.before_C is None or one.after_C is None:
        return ""
    return f"{print_number(one.after_C - one.before_C, 0)}\u00a0K"


def too_warm(campaign: CampaignResult) -> str:
    """Return which runs warmed a surface by more than all the heat could, as their notices say; nothing if none did."""
    runs = [
        run.run
        for run in campaign.runs
        if any(n.code == Code.ADVICE.name and set(n.where) & set(run.heat) for n in run.notices)
    ]
    if not runs:
        return ""
    return (
        f"Warmed by more than all the heat could, taken through: {'run' if len(runs) == 1 else 'runs'} {several(runs)}. "
        "The surface runs ahead of the core, or travel, mass or thermometer is wrong."
    )


def noted_lines(run: TrialResult) -> list[str]:
    """Return what was noted of a run and the heat of its blocks, in words."""
    c = run.conditions
    words = ("rope", "weather", "drum layer", "travel", "line speed", "")
    told = [f"{word} {text}".strip() for word, text in zip(words, _noted(c), strict=True) if text]
    for word, key in (("before", "temperature_before_C"), ("after", "temperature_after_C")):
        if c.get(key):
            told.append(f"surface {word} {', '.join(_celsius(x) for x in c[key])}")
    lines = [f"Noted: {'; '.join(told)}."] if told else []
    for block, one in run.heat.items():
        (metre, pull, power), rise = _heat(one), _bound(one)
        parts = [f"{metre} of load travel", pull and f"{pull} over the pull", power]
        bound = f"; that can warm it by {rise} at most" if rise else ""
        lines.append(f"Heat of {one.device} at {block}: {', '.join(p for p in parts if p)}{bound}.")
    if moved := sensitivity_sentence(run.sensitivity):
        lines.append(moved)
    return lines


def over_the_day(notices: tuple[Notice, ...]) -> list[str]:
    """Return what drifted over the session and what the advantage went along with, as the record says it."""
    return [re.sub(r"(?<= )-(?=\d)", "−", n.message) for n in notices if n.code in OVER_THE_DAY]


def grade_mark(run: TrialResult) -> str:
    """Return the mark of a run's heading that is of a lower grade."""
    return " (typed from the displays)" if run.grade == _TYPED else ""


def no_chart(run: TrialResult) -> str:
    """Return why no trace is drawn of a run."""
    if run.grade == _TYPED:
        return "Two forces typed from the displays: there is no trace to draw."
    return "No traces are kept with this record, so none are drawn."
