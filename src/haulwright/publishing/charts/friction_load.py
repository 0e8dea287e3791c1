"""Chart of friction against load: each run's tension ratio over its line pull, each device's over what it was tested at."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from matplotlib.axes import Axes
from matplotlib.ticker import MaxNLocator

from haulwright.errors import UsageRefusal
from haulwright.publishing import look
from haulwright.publishing.charts.canvas import LABEL, SMALL, TITLE, Chart, Sheet, check_width, font, settings
from haulwright.publishing.wording import force_range
from haulwright.quantities.measured import Measured
from haulwright.quantities.units import from_si
from haulwright.trials.result import CampaignResult

_TITLE = "Friction against load"
_KEY = (
    "Marks: runs that tell of one device alone, over their mean line pull, with 95\u00a0% interval. Hatched: the device from "
    "all runs together, over the line tensions it was tested at; outside them nothing is known."
)
_MARKS = ("o", "s", "^", "D", "v", "P")
_HATCHES = ("///", "\\\\\\", "|||", "---", "xxx", "...")
_EDGE, _LEFT, _RIGHT, _PLOT, _LINE = 8.0, 56.0, 20.0, 280.0, 18.0


@dataclass(frozen=True)
class _Device:
    """A device with its band, and its single runs as (line pull, k)."""

    name: str
    k: Measured
    valid: tuple[float, float]
    tested: str
    runs: tuple[tuple[float, Measured], ...]


def friction_load_chart(
    campaign: CampaignResult,
    *,
    units: str = "kN",
    width_px: float = 700.0,
    light: look.Light = look.PAPER,
    title: bool = True,
    aspect: float | None = None,
) -> Chart:
    """Return the tension ratio of each device against the load it was tested at.

    Parameters
    ----------
    campaign : CampaignResult
    units : str
        Of the loads.
    width_px, light, title, aspect
        As :func:`haulwright.publishing.charts.rows.rows_chart`.

    Raises
    ------
    UsageRefusal
        CHART where no device tells the loads it was tested at, more than six do, or the width is under 300 px.
    """
    check_width(width_px)
    devices = _devices(campaign, units)
    if not devices:
        raise UsageRefusal("CHART", f"Campaign {campaign.name}: no device tells the loads it was tested at.")
    if len(devices) > len(_MARKS):
        raise UsageRefusal(
            "CHART",
            f"Campaign {campaign.name}: {len(devices)} devices; {len(_MARKS)} can be told apart here.",
        )
    width = width_px if aspect is None else max(width_px, 900.0)
    with settings(light):
        ruler = Sheet(width, 100.0, light)
        room = 0.97 * width - 2 * _EDGE  # a viewer that hints its letters sets a row a little wider
        heads = ruler.wrap(_TITLE, font(TITLE, 600, look.FACE_TITLE), room) if title else []
        keys = ruler.wrap(_KEY, font(), room)
        top = 16.0 + 25.0 * len(heads) + _LINE * len(keys) + 34.0
        below = 52.0 + 26.0 * len(devices)
        high = _PLOT if aspect is None else max(_PLOT, aspect * width - top - below)
        sheet = Sheet(width, top + high + below, light)
        for n, line in enumerate(heads):
            sheet.write(_EDGE, 26 + 25 * n, line, font(TITLE, 600, look.FACE_TITLE))
        for n, line in enumerate(keys):
            sheet.write(_EDGE, 22 + 25 * len(heads) + _LINE * n, line, font(), color=light.ink_2)
        _draw(sheet, devices, units, top, high)
    return Chart(_TITLE, sheet.width, sheet.height, sheet.figure, light)


def _devices(campaign: CampaignResult, units: str) -> list[_Device]:
    def shown(value: float) -> float:
        return from_si(value, units, "force")

    return [
        _Device(
            name,
            one.k,
            (shown(one.valid_N[0]), shown(one.valid_N[1])),
            force_range(*one.valid_N, units),
            tuple(
                (shown(run.mean_N["line"].value), run.friction[name].k)
                for run in campaign.runs
                if name in run.friction and "line" in run.mean_N
            ),
        )
        for name, one in campaign.devices.items()
        if one.valid_N is not None
    ]


def _draw(sheet: Sheet, devices: Sequence[_Device], units: str, top: float, high: float) -> None:
    axes = sheet.axes(_LEFT, top, sheet.width - _LEFT - _RIGHT, high)
    right = max(max(one.valid[1], *(x for x, _ in one.runs), 0.0) for one in devices) * 1.05
    ks = [v for one in devices for k in (one.k, *(k for _, k in one.runs)) for v in (k.lo, k.hi)]
    low = min(1.0, *ks)
    up = max(ks) + 0.06 * (max(ks) - low)
    axes.set_xlim(0.0, right)
    axes.set_ylim(low, up)
    _grid(sheet, axes, top, high, (0.0, right), (low, up))
    sheet.write(_EDGE, top - 14.0, "tension ratio k of one pass; 1 is frictionless", font(LABEL, 600))
    sheet.write(
        sheet.width - _RIGHT, top + high + 40.0, f"line pull in {units}", font(LABEL, 600), ha="right"
    )
    for n, one in enumerate(devices):
        _device(sheet, axes, one, n)
        _name(sheet, one, n, top + high + 66.0 + 26.0 * n)


def _grid(
    sheet: Sheet,
    axes: Axes,
    top: float,
    high: float,
    across: tuple[float, float],
    upward: tuple[float, float],
) -> None:
    light, steps = sheet.light, [1, 2, 2.5, 5, 10]
    wide = sheet.width - _LEFT - _RIGHT
    for tick in MaxNLocator(5, steps=steps).tick_values(*across):
        if across[0] <= tick <= across[1]:
            axes.axvline(tick, color=light.grid, linewidth=look.HAIR_PX, zorder=0)
            x = _LEFT + wide * tick / across[1]
            sheet.write(x, top + high + 18.0, f"{tick:.4g}", font(SMALL), ha="center", color=light.ink_2)
    for tick in MaxNLocator(5, steps=steps).tick_values(*upward):
        if upward[0] <= tick <= upward[1]:
            axes.axhline(tick, color=light.grid, linewidth=look.HAIR_PX, zorder=0)
            y = top + high * (upward[1] - tick) / (upward[1] - upward[0])
            sheet.write(_LEFT - 8.0, y + 4.0, f"{tick:.4g}", font(SMALL), ha="right", color=light.ink_2)
    axes.plot(across, [upward[0]] * 2, color=light.rule, linewidth=look.RULE_PX, clip_on=False, zorder=1)


def _device(sheet: Sheet, axes: Axes, one: _Device, n: int) -> None:
    light = sheet.light
    axes.fill_between(
        one.valid,
        one.k.lo,
        one.k.hi,
        facecolor="none",
        edgecolor=light.ink_2,
        hatch=_HATCHES[n],
        linewidth=0.8,
        zorder=2,
    )
    axes.plot(one.valid, [one.k.value] * 2, color=light.ink, linewidth=2.0, zorder=3)
    for x, k in one.runs:
        axes.plot([x, x], [k.lo, k.hi], color=light.ink, linewidth=1.6, zorder=4)
        axes.plot(
            [x], [k.value], _MARKS[n], markersize=8, markerfacecolor=light.paper, markeredgecolor=light.ink,
            markeredgewidth=1.6, zorder=5,
        )  # fmt: skip


def _name(sheet: Sheet, one: _Device, n: int, y: float) -> None:
    """Write a device beneath the plot with its mark, so that no name can lie on a mark."""
    light = sheet.light
    mark = sheet.axes(_EDGE, y - 15.0, 20.0, 20.0)
    mark.set_xlim(0, 1)
    mark.set_ylim(0, 1)
    mark.plot(
        [0.5],
        [0.5],
        _MARKS[n],
        markersize=8,
        markerfacecolor=light.paper,
        markeredgecolor=light.ink,
        markeredgewidth=1.6,
    )
    low, high = one.k.lo, one.k.hi
    words = f"{one.name}: k {one.k.value:.3f} ({low:.3f} to {high:.3f}), {one.tested}"
    rows = sheet.wrap(words, font(LABEL), sheet.width - _EDGE - 44.0)
    sheet.write(_EDGE + 28.0, y, rows[0] + ("…" if len(rows) > 1 else ""), font(LABEL))
