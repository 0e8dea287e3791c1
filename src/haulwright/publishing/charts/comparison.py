"""Chart of a campaign: every configuration's advantage with its 95 % interval, one panel per rig."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from matplotlib.axes import Axes
from matplotlib.ticker import MaxNLocator

from haulwright.errors import UsageRefusal
from haulwright.publishing import look
from haulwright.publishing.charts.canvas import LABEL, SMALL, TITLE, Chart, Sheet, check_width, font, settings
from haulwright.publishing.wording import count, device_list, plus_minus
from haulwright.trials.result import CampaignResult, Configuration

_EDGE = 8.0
_TITLE = "Advantage reached: mean, 95\u00a0% interval and single runs"
_KEY = "Dot and bar: mean and 95\u00a0% interval, the cells’ class counted once. Rings: the single runs."
_HEAD, _FOOT, _LINE = 52.0, 44.0, 18.0


@dataclass(frozen=True)
class _Layout:
    """Columns of all panels [px]: names left of the axis, or above each row where the sheet is narrow."""

    left: float
    right: float
    stacked: bool
    name_room: float


@dataclass(frozen=True)
class _Row:
    """A configuration with its name in lines, its single runs, and its place below the panel's axis top [px]."""

    configuration: Configuration
    name: tuple[str, ...]
    singles: tuple[float, ...]
    top: float
    height: float


def comparison_chart(
    campaign: CampaignResult, *, width_px: float = 700.0, light: look.Light = look.PAPER, title: bool = True
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

    Returns
    -------
    Chart
        Dot: mean; bar: 95 % interval; small rings: the single runs; dashed: frictionless.

    Raises
    ------
    UsageRefusal
        If there is nothing to compare, or the width is under 300 px.
    """
    if not campaign.configurations:
        raise UsageRefusal("CHART", f"Campaign {campaign.name} has no configuration to draw.")
    check_width(width_px)
    with settings(light):
        ruler = Sheet(width_px, 100, light)
        layout = _layout(ruler, campaign.configurations)
        panels = _panels(ruler, campaign, layout)
        heads = ruler.wrap(_TITLE, font(TITLE, 600, look.FACE_TITLE), width_px - 2 * _EDGE) if title else []
        key = ruler.wrap(_KEY, font(), width_px - 2 * _EDGE)
        top = 12.0 + 25 * len(heads) + _LINE * len(key)
        height = top + sum(_HEAD + rows[-1].top + rows[-1].height + _FOOT for rows in panels.values())
        sheet = Sheet(width_px, height, light)
        for n, line in enumerate(heads):
            sheet.write(_EDGE, 26 + 25 * n, line, font(TITLE, 600, look.FACE_TITLE))
        for n, line in enumerate(key):
            sheet.write(_EDGE, 22 + 25 * len(heads) + _LINE * n, line, font(), color=light.ink_2)
        for rig, rows in panels.items():
            _panel(sheet, rig, rows, layout, top)
            top += _HEAD + rows[-1].top + rows[-1].height + _FOOT
    return Chart(_TITLE, width_px, height, sheet.figure, light)


def _panels(ruler: Sheet, campaign: CampaignResult, layout: _Layout) -> dict[str, list[_Row]]:
    """Return the rows of each rig, in the order of the campaign."""
    singles = {run.run: run.advantage.value for run in campaign.runs}
    panels: dict[str, list[_Row]] = {}
    for c in campaign.configurations:
        rows = panels.setdefault(c.rig, [])
        name = ruler.wrap(device_list(c.devices), font(LABEL, 600), layout.name_room)
        height = _LINE * len(name) + 34 if layout.stacked else max(_LINE * len(name) + 12, 40)
        top = rows[-1].top + rows[-1].height if rows else 0.0
        own = tuple(singles[run] for run in c.runs if run in singles)
        rows.append(_Row(c, tuple(name), own, top, height))
    return panels


def _layout(ruler: Sheet, configurations: Sequence[Configuration]) -> _Layout:
    names = max(ruler.text_width(device_list(c.devices), font(LABEL, 600)) for c in configurations)
    values = max(ruler.text_width(plus_minus(c.advantage), font(LABEL, 600)) for c in configurations)
    if ruler.width < 520:
        return _Layout(_EDGE + 10, _EDGE + 14, True, ruler.width - values - 4 * _EDGE)
    room = min(names, 0.34 * ruler.width)
    return _Layout(room + _EDGE + 22, values + 2 * _EDGE + 12, False, room)


def _span(rows: Sequence[_Row]) -> tuple[float, float]:
    """Return the ends of the axis: from 1, no gain, or lower where a rig gives less than it takes."""
    frictionless = rows[0].configuration.frictionless
    ends = [
        v
        for row in rows
        for v in (row.configuration.advantage.lo, row.configuration.advantage.hi, *row.singles)
    ]
    found = [v for v in ends if math.isfinite(v)]
    low = 1.0 if min(found) >= 1.0 and frictionless > 1.0 else min(math.floor(min(found) * 10) / 10, 0.9)
    high = max(frictionless, *found)
    return low, high + 0.02 * (high - low)


def _panel(sheet: Sheet, rig: str, rows: Sequence[_Row], layout: _Layout, top: float) -> None:
    sheet.write(_EDGE, top + 20, _heading(sheet, rig, rows), font(16.0, 600))
    width, height = sheet.width - layout.left - layout.right, rows[-1].top + rows[-1].height
    axes = sheet.axes(layout.left, top + _HEAD, width, height)
    span = _span(rows)
    axes.set_xlim(*span)
    axes.set_ylim(height, 0)
    _axis(sheet, axes, rows[0].configuration.frictionless, span, height)
    for row in rows:
        _words(sheet, row, layout, top + _HEAD + row.top)
        y = row.top + (_LINE * len(row.name) + 14 if layout.stacked else row.height / 2 - 3)
        _marks(axes, row, y, sheet.light)


def _heading(sheet: Sheet, rig: str, rows: Sequence[_Row]) -> str:
    """Return the heading of a panel; what does not fit goes, the rig's name last."""
    numbers = sorted({row.configuration.n for row in rows})
    each = " each" if len(numbers) == 1 else ""
    runs = f"{numbers[0]} to {count(numbers[-1], 'run')}" if len(numbers) > 1 else count(numbers[0], "run")
    for words in (f"{rig}: load ÷ effort, {runs}{each}", f"{rig}: load ÷ effort", rig):
        if sheet.text_width(words, font(16.0, 600)) <= sheet.width - 2 * _EDGE:
            return words
    return sheet.wrap(rig, font(16.0, 600), sheet.width - 3 * _EDGE)[0] + "…"


def _words(sheet: Sheet, row: _Row, layout: _Layout, top: float) -> None:
    """Write name and value of a row: beside the axis, or above the marks on a patch of paper."""
    c, bold, x = row.configuration, font(LABEL, 600), sheet.width - _EDGE
    patch = {"facecolor": sheet.light.paper, "edgecolor": "none", "pad": 1.5} if layout.stacked else None
    first = top + 16 if layout.stacked else top + row.height / 2 + 2 - _LINE / 2 * (len(row.name) - 1)
    for n, line in enumerate(row.name):
        sheet.write(_EDGE, first + _LINE * n, line, bold, bbox=patch)
    if layout.stacked:
        sheet.write(x, first, plus_minus(c.advantage), bold, ha="right", bbox=patch)
        return
    sheet.write(x, top + row.height / 2 - 4, plus_minus(c.advantage), bold, ha="right")
    sheet.write(
        x, top + row.height / 2 + 12, count(c.n, "run"), font(SMALL), ha="right", color=sheet.light.ink_2
    )


def _axis(sheet: Sheet, axes: Axes, frictionless: float, span: tuple[float, float], height: float) -> None:
    light, (low, high) = sheet.light, span
    ticks = [t for t in MaxNLocator(4, steps=[1, 2, 2.5, 5, 10]).tick_values(low, high) if low <= t <= high]
    for tick in ticks:
        axes.axvline(tick, color=light.grid, linewidth=look.HAIR_PX, zorder=0)
        side = "left" if tick == low else "right" if tick > low + 0.85 * (high - low) else "center"
        word = "1, no gain" if math.isclose(tick, 1.0) else f"{tick:.4g}"
        axes.annotate(
            word,
            (tick, height),
            (0, -8),
            textcoords="offset points",
            va="top",
            ha=side,
            fontproperties=font(),
            color=light.ink_2,
            annotation_clip=False,
        )
    axes.plot(
        [low, high], [height, height], color=light.rule, linewidth=look.RULE_PX, clip_on=False, zorder=1
    )
    axes.plot(
        [frictionless] * 2,
        [-6, height + 5],
        color=light.ink,
        linewidth=1.8,
        dashes=look.DASH_FRICTIONLESS,
        clip_on=False,
        zorder=2,
    )
    axes.annotate(
        f"frictionless {frictionless:g}",
        (frictionless, 0),
        (0, 9),
        textcoords="offset points",
        va="baseline",
        ha="right" if frictionless > low + 0.8 * (high - low) else "center",
        fontproperties=font(),
        color=light.ink,
        annotation_clip=False,
    )


def _marks(axes: Axes, row: _Row, y: float, light: look.Light) -> None:
    value = row.configuration.advantage
    axes.plot([value.lo, value.hi], [y, y], color=light.ink, linewidth=2.0, zorder=5)
    for end in (value.lo, value.hi):
        axes.plot([end, end], [y - 6, y + 6], color=light.ink, linewidth=2.0, zorder=5)
    axes.plot([value.value], [y], marker="o", markersize=8, color=light.ink, markeredgewidth=0, zorder=6)
    ring: dict[str, Any] = {
        "markerfacecolor": light.paper,
        "markeredgecolor": light.ink,
        "markeredgewidth": 1.0,
    }
    axes.plot(
        row.singles, [y + 12] * len(row.singles), "o", linestyle="none", markersize=4.5, zorder=4, **ring
    )
