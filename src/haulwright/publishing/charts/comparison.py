"""Charts of a campaign's configurations: advantage, winch share, efficiency loss; one panel for each rig."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from haulwright.errors import UsageRefusal
from haulwright.publishing import look
from haulwright.publishing.charts.canvas import Chart
from haulwright.publishing.charts.rows import Panel, Row, rows_chart
from haulwright.publishing.wording import count, device_list, plus_minus
from haulwright.quantities.measured import Measured
from haulwright.trials.result import CampaignResult, Configuration, TrialResult

_KEY = "Dot and bar: mean and 95\u00a0% interval, the cells’ class counted once. Rings: the single runs."


@dataclass(frozen=True)
class _Kind:
    """What of a configuration is drawn: title, heading of a panel, value, single run, words, line across, ends, unit."""

    title: str
    heading: str
    of: Callable[[Configuration], Measured]
    single: Callable[[TrialResult], float]
    words: Callable[[Measured], str]
    mark: Callable[[float], tuple[float, str]]
    ends: Callable[[Sequence[float], float], tuple[float, float]]
    unit: str = ""
    named: tuple[tuple[float, str], ...] = ()


def comparison_chart(
    campaign: CampaignResult,
    *,
    width_px: float = 700.0,
    light: look.Light = look.PAPER,
    title: bool = True,
    aspect: float | None = None,
) -> Chart:
    """Return the chart that sets the configurations of a campaign side by side.

    Parameters
    ----------
    campaign : CampaignResult
        With one configuration or more.
    width_px : float
        Width [px], 300 or more; the chart is laid out for it, not scaled.
    light : look.Light
        Inks of the sheet.
    title : bool
        Write the title into the chart.
    aspect : float or None
        Height over width, as 9 / 16 for a video.

    Returns
    -------
    Chart
        Dot: mean; bar: 95 % interval; small rings: the single runs; dashed: frictionless.

    Raises
    ------
    UsageRefusal
        CHART where there is nothing to compare, or the width is under 300 px.
    """
    return _chart(_ADVANTAGE, campaign, width_px, light, title, aspect)


def winch_share_chart(
    campaign: CampaignResult,
    *,
    width_px: float = 700.0,
    light: look.Light = look.PAPER,
    title: bool = True,
    aspect: float | None = None,
) -> Chart:
    """Return the share of the load that the winch feels, of every configuration, from zero; see :func:`comparison_chart`."""
    return _chart(_SHARE, campaign, width_px, light, title, aspect)


def efficiency_loss_chart(
    campaign: CampaignResult,
    *,
    width_px: float = 700.0,
    light: look.Light = look.PAPER,
    title: bool = True,
    aspect: float | None = None,
) -> Chart:
    """Return what friction takes of the frictionless advantage, of every configuration; see :func:`comparison_chart`."""
    return _chart(_LOSS, campaign, width_px, light, title, aspect)


def _chart(
    kind: _Kind,
    campaign: CampaignResult,
    width_px: float,
    light: look.Light,
    title: bool,
    aspect: float | None,
) -> Chart:
    if not campaign.configurations:
        raise UsageRefusal("CHART", f"Campaign {campaign.name} has no configuration to draw.")
    panels = _panels(kind, campaign)
    return rows_chart(
        kind.title, _KEY, panels, width_px=width_px, light=light, show_title=title, aspect=aspect
    )


def _panels(kind: _Kind, campaign: CampaignResult) -> list[Panel]:
    """Return a panel for each rig, in the order of the campaign."""
    singles = {run.run: kind.single(run) for run in campaign.runs}
    of_rig: dict[str, list[Configuration]] = {}
    for one in campaign.configurations:
        of_rig.setdefault(one.rig, []).append(one)
    panels = []
    for rig, own in of_rig.items():
        rows = tuple(_row(kind, one, singles) for one in own)
        found = [v for row in rows for v in (row.value.lo, row.value.hi, *row.singles) if math.isfinite(v)]
        frictionless = own[0].frictionless
        panels.append(
            Panel(
                headings=_headings(rig, kind.heading, own),
                rows=rows,
                mark=kind.mark(frictionless),
                ends=kind.ends(found, frictionless),
                unit=kind.unit,
                named=dict(kind.named),
            )
        )
    return panels


def _row(kind: _Kind, one: Configuration, singles: dict[str, float]) -> Row:
    own = tuple(singles[run] for run in one.runs if run in singles)
    value = kind.of(one)
    return Row(device_list(one.devices), value, kind.words(value), count(one.n, "run"), own)


def _headings(rig: str, what: str, own: Sequence[Configuration]) -> tuple[str, ...]:
    """Return the heading of a panel, then what is left where it does not fit."""
    numbers = sorted({one.n for one in own})
    each = " each" if len(numbers) == 1 else ""
    runs = f"{numbers[0]} to {count(numbers[-1], 'run')}" if len(numbers) > 1 else count(numbers[0], "run")
    return (f"{rig}: {what}, {runs}{each}", f"{rig}: {what}", rig)


def _advantage_ends(found: Sequence[float], frictionless: float) -> tuple[float, float]:
    """Return the ends of the axis: from 1, no gain, or lower where a rig gives less than it takes."""
    low = 1.0 if min(found) >= 1.0 and frictionless > 1.0 else min(math.floor(min(found) * 10) / 10, 0.9)
    high = max(frictionless, *found)
    return low, high + 0.02 * (high - low)


def _from_zero(found: Sequence[float], mark: float = 0.0) -> tuple[float, float]:
    low, high = min(0.0, *found), max(mark, *found, 1e-9)
    return low, high + 0.02 * (high - low)


def _percent(value: Measured) -> Measured:
    return Measured(100.0 * value.value, 100.0 * value.u, 100.0 * value.lo, 100.0 * value.hi)


def _loss(one: Configuration) -> Measured:
    left = _percent(one.rig_efficiency)
    return Measured(100.0 - left.value, left.u, 100.0 - left.hi, 100.0 - left.lo)


def _in_percent(value: Measured) -> str:
    return plus_minus(value, unit="%")


_ADVANTAGE = _Kind(
    title="Advantage reached: mean, 95\u00a0% interval and single runs",
    heading="load ÷ effort",
    of=lambda one: one.advantage,
    single=lambda run: run.advantage.value,
    words=plus_minus,
    mark=lambda frictionless: (frictionless, f"frictionless {frictionless:g}"),
    ends=_advantage_ends,
    named=((1.0, "1, no gain"),),
)
_SHARE = _Kind(
    title="Winch share: what the winch feels of the load",
    heading="effort ÷ load in percent",
    of=lambda one: _percent(one.winch_share),
    single=lambda run: 100.0 * run.winch_share.value,
    words=_in_percent,
    mark=lambda frictionless: (100.0 / frictionless, f"frictionless {100.0 / frictionless:.3g}\u00a0%"),
    ends=lambda found, frictionless: _from_zero(found, 100.0 / frictionless),
    unit="\u00a0%",
)
_LOSS = _Kind(
    title="Efficiency loss: what friction takes of the frictionless advantage",
    heading="1 − advantage ÷ frictionless, in percent",
    of=_loss,
    single=lambda run: 100.0 * (1.0 - run.advantage.value / run.frictionless),
    words=_in_percent,
    mark=lambda frictionless: (0.0, "frictionless 0"),
    ends=lambda found, frictionless: _from_zero(found),
    unit="\u00a0%",
)
