"""Charts of what a campaign found: friction of each device, agreement of repeats, predictions, budget of a run."""

from __future__ import annotations

from haulwright.errors import UsageRefusal
from haulwright.publishing import look
from haulwright.publishing.charts.canvas import Chart
from haulwright.publishing.charts.rows import Panel, Row, rows_chart
from haulwright.publishing.wording import count, device_list, force_range, plus_minus
from haulwright.quantities.measured import Measured
from haulwright.trials.result import CampaignResult, TrialResult

_BEYOND = 0.04  # of an axis, past its last mark


def friction_chart(
    campaign: CampaignResult,
    *,
    units: str = "kN",
    width_px: float = 700.0,
    light: look.Light = look.PAPER,
    title: bool = True,
    aspect: float | None = None,
) -> Chart:
    """Return the tension ratio of every device with its interval, and of each run that tells of one device alone.

    Parameters
    ----------
    campaign : CampaignResult
    units : str
        Of the loads it was tested at.
    width_px, light, title, aspect
        As :func:`haulwright.publishing.charts.rows.rows_chart`.

    Raises
    ------
    UsageRefusal
        CHART where no device was told apart, or the width is under 300 px.
    """
    if not campaign.devices:
        raise UsageRefusal("CHART", f"Campaign {campaign.name} tells of no device: no friction to draw.")
    rows = tuple(
        Row(
            name,
            one.k,
            plus_minus(one.k),
            "" if one.valid_N is None else force_range(*one.valid_N, units),
            tuple(run.friction[name].k.value for run in campaign.runs if name in run.friction),
        )
        for name, one in campaign.devices.items()
    )
    panel = Panel(
        ("tension ratio k of one pass, moving", "tension ratio k"),
        rows,
        (1.0, "frictionless 1"),
        _ends(rows, 1.0),
    )
    key = (
        "Dot and bar: of all runs together, 95\u00a0% interval. Rings: runs that tell of the device alone. Second line: line "
        "tensions it was tested at; it holds for the device, rope and loads tested."
    )
    return rows_chart(
        "Friction of each device",
        key,
        [panel],
        width_px=width_px,
        light=light,
        show_title=title,
        aspect=aspect,
    )


def agreement_chart(
    campaign: CampaignResult,
    *,
    width_px: float = 700.0,
    light: look.Light = look.PAPER,
    title: bool = True,
    aspect: float | None = None,
) -> Chart:
    """Return how far the repeats of each configuration lie from their mean, in percent.

    Raises
    ------
    UsageRefusal
        CHART where nothing was repeated, or the width is under 300 px.

    Notes
    -----
    Bars are twice the scatter from set-up to set-up that the campaign uses: about 95 of 100 pulls lie inside.
    """
    singles = {run.run: run.advantage.value for run in campaign.runs}
    used = 0.0 if campaign.scatter is None else 100.0 * campaign.scatter.used
    rows = []
    for one in campaign.configurations:
        own = [singles[run] for run in one.runs if run in singles]
        if len(own) > 1:
            away = tuple(100.0 * (value / one.advantage.value - 1.0) for value in own)
            spread = max(away) - min(away)
            name = f"{one.rig}, {device_list(one.devices)}"
            band = Measured(0.0, used, -2.0 * used, 2.0 * used)
            rows.append(Row(name, band, f"spread {spread:.2f}\u00a0%", count(len(own), "run"), away))
    if not rows:
        raise UsageRefusal(
            "CHART", f"Campaign {campaign.name} repeats no configuration: no agreement to draw."
        )
    most = max([2.0 * used, *(abs(v) for row in rows for v in row.singles)]) * (1.0 + _BEYOND)
    panel = Panel(
        ("away from the mean of the configuration, in percent", "away from the mean, in percent"),
        tuple(rows), (0.0, "mean"), (-most, most), "\u00a0%",
    )  # fmt: skip
    key = "Rings: the single runs. Bar: ± twice the scatter from set-up to set-up that the campaign reckons with."
    return rows_chart(
        "Agreement of repeats", key, [panel], width_px=width_px, light=light, show_title=title, aspect=aspect
    )


def prediction_chart(
    campaign: CampaignResult,
    *,
    width_px: float = 700.0,
    light: look.Light = look.PAPER,
    title: bool = True,
    aspect: float | None = None,
) -> Chart:
    """Return every configuration as predicted from all others, with what was measured.

    Raises
    ------
    UsageRefusal
        CHART where nothing could be predicted from the rest, or the width is under 300 px.
    """
    if not campaign.left_out:
        raise UsageRefusal(
            "CHART", f"Campaign {campaign.name}: no configuration could be predicted from the others."
        )
    rows = []
    for one in campaign.left_out:
        scale = 100.0 / one.measured
        p = one.predicted
        away = Measured(scale * p.value - 100.0, scale * p.u, scale * p.lo - 100.0, scale * p.hi - 100.0)
        words = plus_minus(away, unit="%")
        said = "measured lies inside" if one.inside else "measured lies outside"
        rows.append(Row(f"{one.rig}, {device_list(one.devices)}", away, words, said, (0.0,)))
    most = max(max(abs(row.value.lo), abs(row.value.hi)) for row in rows) * (1.0 + _BEYOND)
    panel = Panel(
        ("predicted ÷ measured − 1, in percent", "predicted − measured, in percent"),
        tuple(rows), (0.0, "measured"), (-most, most), "\u00a0%",
    )  # fmt: skip
    key = "Dot and bar: predicted from all other configurations, 95\u00a0% interval. Ring: measured."
    return rows_chart(
        "Predicted against measured",
        key,
        [panel],
        width_px=width_px,
        light=light,
        show_title=title,
        aspect=aspect,
    )


def budget_chart(
    run: TrialResult,
    *,
    width_px: float = 700.0,
    light: look.Light = look.PAPER,
    title: bool = True,
    aspect: float | None = None,
) -> Chart:
    """Return what the uncertainty of a run's ratio is made of: each term's share of the variance, the greatest first.

    Raises
    ------
    UsageRefusal
        CHART for a run without a budget, or a width under 300 px.
    """
    if not run.budget:
        raise UsageRefusal("CHART", f"Run {run.run} has no budget of uncertainty to draw.", (run.run,))
    rows = tuple(
        Row(one.term, Measured.exact(100.0 * one.share), _share(one.share), f"u {one.u:.2g}", bar=True)
        for one in sorted(run.budget, key=lambda one: -one.share)
    )
    panel = Panel(
        (f"share of the variance of anchor ÷ line, u {run.ratio.u:.4f}", "share of the variance"),
        rows, None, (0.0, 100.0), "\u00a0%",
    )  # fmt: skip
    key = f"Run {run.run}: anchor ÷ line {plus_minus(run.ratio)}. Second line: standard uncertainty of each term."
    return rows_chart(
        "Budget of uncertainty", key, [panel], width_px=width_px, light=light, show_title=title, aspect=aspect
    )


def _share(share: float) -> str:
    return f"{100.0 * share:.1f}\u00a0%" if share >= 0.001 else "under 0.1\u00a0%"


def _ends(rows: tuple[Row, ...], mark: float) -> tuple[float, float]:
    found = [v for row in rows for v in (row.value.lo, row.value.hi, *row.singles)]
    low, high = min(mark, *found), max(mark, *found)
    return low, high + _BEYOND * (high - low)
