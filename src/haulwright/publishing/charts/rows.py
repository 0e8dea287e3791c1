"""Charts of rows: a value with its interval and the single runs on a common axis, one panel for each group."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from matplotlib.axes import Axes
from matplotlib.ticker import MaxNLocator

from haulwright.publishing import look
from haulwright.publishing.charts.canvas import LABEL, SMALL, TITLE, Chart, Sheet, check_width, font, settings
from haulwright.quantities.measured import Measured

_EDGE = 8.0
_HEAD, _FOOT, _LINE = 52.0, 44.0, 18.0
_NEARLY = 0.97  # a viewer that hints its letters sets a row a little wider


@dataclass(frozen=True)
class Row:
    """One row: its name, its value on the axis with the words for it and a second line, and single runs.

    ``bar`` draws the value as a bar from the left end of the axis instead of a dot.
    """

    name: str
    value: Measured
    words: str
    second: str = ""
    singles: tuple[float, ...] = ()
    bar: bool = False


@dataclass(frozen=True)
class Panel:
    """One axis with its rows.

    Attributes
    ----------
    headings : tuple of str
        The heading, then shorter forms of it, the last to be cut.
    rows : tuple of Row
    mark : (float, str) or None
        A dashed line across all rows, and its name.
    ends : (float, float)
        Of the axis.
    unit : str
        Printed after the numbers of the axis.
    named : mapping tick -> str
        Ticks that are called something.
    """

    headings: tuple[str, ...]
    rows: tuple[Row, ...]
    mark: tuple[float, str] | None
    ends: tuple[float, float]
    unit: str = ""
    named: Mapping[float, str] = field(default_factory=dict)


@dataclass(frozen=True)
class _Layout:
    """Columns of all panels [px]: names left of the axis, or above each row where the sheet is narrow."""

    left: float
    right: float
    stacked: bool
    name_room: float


@dataclass(frozen=True)
class _Placed:
    """A row with its name in lines, and its place below the panel's axis top [px]."""

    row: Row
    name: tuple[str, ...]
    top: float
    height: float


def rows_chart(
    title: str,
    key: str,
    panels: Sequence[Panel],
    *,
    width_px: float = 700.0,
    light: look.Light = look.PAPER,
    show_title: bool = True,
    aspect: float | None = None,
) -> Chart:
    """Return a chart of panels, one below the other.

    Parameters
    ----------
    title, key : str
        What it says; what dot, bar and rings are.
    panels : sequence of Panel
        One or more, each with rows.
    width_px : float
        Width [px], 300 or more; the chart is laid out for it, not scaled.
    light : look.Light
    show_title : bool
        Write the title into the chart.
    aspect : float or None
        Height over width, as 9 / 16 for a video: the sheet is as wide as it must be, and what is left stays empty.

    Raises
    ------
    UsageRefusal
        CHART for a width under 300 px.
    """
    check_width(width_px)
    if aspect is not None:
        return _in_frame(title, key, panels, aspect, width_px, light, show_title)
    return _chart(title, key, panels, width_px, light, show_title, 0.0)


def _in_frame(
    title: str, key: str, panels: Sequence[Panel], aspect: float, width: float, light: look.Light, show: bool
) -> Chart:
    while (
        chart := _chart(title, key, panels, width, light, show, aspect * width)
    ).height > aspect * width + 0.5:
        width += 40.0
    return chart


def _chart(
    title: str,
    key: str,
    panels: Sequence[Panel],
    width_px: float,
    light: look.Light,
    show_title: bool,
    least: float,
) -> Chart:
    with settings(light):
        ruler = Sheet(width_px, 100, light)
        layout = _layout(ruler, [row for panel in panels for row in panel.rows])
        placed = [_placed(ruler, panel.rows, layout) for panel in panels]
        room = _NEARLY * width_px - 2 * _EDGE
        heads = ruler.wrap(title, font(TITLE, 600, look.FACE_TITLE), room) if show_title else []
        keys = ruler.wrap(key, font(), room)
        top = 12.0 + 25 * len(heads) + _LINE * len(keys)
        height = top + sum(_HEAD + rows[-1].top + rows[-1].height + _FOOT for rows in placed)
        height = max(height, least)
        sheet = Sheet(width_px, height, light)
        for n, line in enumerate(heads):
            sheet.write(_EDGE, 26 + 25 * n, line, font(TITLE, 600, look.FACE_TITLE))
        for n, line in enumerate(keys):
            sheet.write(_EDGE, 22 + 25 * len(heads) + _LINE * n, line, font(), color=light.ink_2)
        for panel, rows in zip(panels, placed, strict=True):
            _draw(sheet, panel, rows, layout, top)
            top += _HEAD + rows[-1].top + rows[-1].height + _FOOT
    return Chart(title, width_px, height, sheet.figure, light)


def _placed(ruler: Sheet, rows: Sequence[Row], layout: _Layout) -> list[_Placed]:
    found: list[_Placed] = []
    for row in rows:
        name = ruler.wrap(row.name, font(LABEL, 600), layout.name_room)
        height = _LINE * len(name) + 34 if layout.stacked else max(_LINE * len(name) + 12, 40)
        found.append(_Placed(row, tuple(name), found[-1].top + found[-1].height if found else 0.0, height))
    return found


def _layout(ruler: Sheet, rows: Sequence[Row]) -> _Layout:
    names = max(ruler.text_width(row.name, font(LABEL, 600)) for row in rows)
    values = max(ruler.text_width(row.words, font(LABEL, 600)) for row in rows)
    if ruler.width < 520:
        return _Layout(_EDGE + 10, _EDGE + 14, True, _NEARLY * (ruler.width - values) - 4 * _EDGE)
    room = min(names, 0.34 * ruler.width)
    return _Layout(room + _EDGE + 22, values + 2 * _EDGE + 12, False, room)


def _draw(sheet: Sheet, panel: Panel, rows: Sequence[_Placed], layout: _Layout, top: float) -> None:
    sheet.write(_EDGE, top + 20, _heading(sheet, panel.headings), font(16.0, 600))
    width, height = sheet.width - layout.left - layout.right, rows[-1].top + rows[-1].height
    axes = sheet.axes(layout.left, top + _HEAD, width, height)
    axes.set_xlim(*panel.ends)
    axes.set_ylim(height, 0)
    _axis(sheet, axes, panel, height)
    for one in rows:
        _words(sheet, one, layout, top + _HEAD + one.top)
        y = one.top + (_LINE * len(one.name) + 14 if layout.stacked else one.height / 2 - 3)
        _marks(axes, one.row, y, sheet.light)


def _heading(sheet: Sheet, headings: Sequence[str]) -> str:
    """Return the longest form of a heading that fits; the last one is cut where it does not."""
    for words in headings:
        if sheet.text_width(words, font(16.0, 600)) <= _NEARLY * sheet.width - 2 * _EDGE:
            return words
    return sheet.wrap(headings[-1], font(16.0, 600), sheet.width - 3 * _EDGE)[0] + "…"


def _words(sheet: Sheet, one: _Placed, layout: _Layout, top: float) -> None:
    """Write name and value of a row: beside the axis, or above the marks on a patch of paper."""
    bold, x = font(LABEL, 600), sheet.width - _EDGE
    patch = {"facecolor": sheet.light.paper, "edgecolor": "none", "pad": 1.5} if layout.stacked else None
    first = top + 16 if layout.stacked else top + one.height / 2 + 2 - _LINE / 2 * (len(one.name) - 1)
    for n, line in enumerate(one.name):
        sheet.write(_EDGE, first + _LINE * n, line, bold, bbox=patch)
    if layout.stacked:
        sheet.write(x, first, one.row.words, bold, ha="right", bbox=patch)
        return
    sheet.write(x, top + one.height / 2 - 4, one.row.words, bold, ha="right")
    if one.row.second:
        second = {"ha": "right", "color": sheet.light.ink_2}
        sheet.write(x, top + one.height / 2 + 12, one.row.second, font(SMALL), **second)


def _axis(sheet: Sheet, axes: Axes, panel: Panel, height: float) -> None:
    light, (low, high) = sheet.light, panel.ends
    ticks = [t for t in MaxNLocator(4, steps=[1, 2, 2.5, 5, 10]).tick_values(low, high) if low <= t <= high]
    for tick in ticks:
        axes.axvline(tick, color=light.grid, linewidth=look.HAIR_PX, zorder=0)
        side = "left" if tick == low else "right" if tick > low + 0.85 * (high - low) else "center"
        called = next((name for at, name in panel.named.items() if math.isclose(tick, at, abs_tol=1e-12)), "")
        axes.annotate(
            called or f"{tick:.4g}{panel.unit}".replace("-", "\u2212"),
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
    if panel.mark is not None:
        _mark(axes, panel.mark, panel.ends, height, light)


def _mark(
    axes: Axes, mark: tuple[float, str], ends: tuple[float, float], height: float, light: look.Light
) -> None:
    (at, name), (low, high) = mark, ends
    axes.plot(
        [at] * 2,
        [-6, height + 5],
        color=light.ink,
        linewidth=1.8,
        dashes=look.DASH_FRICTIONLESS,
        clip_on=False,
        zorder=2,
    )
    axes.annotate(
        name,
        (at, 0),
        (0, 9),
        textcoords="offset points",
        va="baseline",
        ha="right"
        if at > low + 0.8 * (high - low)
        else "left"
        if at < low + 0.2 * (high - low)
        else "center",
        fontproperties=font(),
        color=light.ink,
        annotation_clip=False,
    )


def _marks(axes: Axes, row: Row, y: float, light: look.Light) -> None:
    value = row.value
    if row.bar:
        low = axes.get_xlim()[0]
        axes.barh(y, value.value - low, height=12.0, left=low, color=light.ink, zorder=5)
        return
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
