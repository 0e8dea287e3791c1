"""Chart of one run: both forces over time, the phases, the steady stretch and the ratio of the two readings."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from matplotlib.axes import Axes

from haulwright.errors import UsageRefusal
from haulwright.publishing import look
from haulwright.publishing.charts.canvas import LABEL, SMALL, TITLE, Chart, Sheet, check_width, font, settings
from haulwright.publishing.charts.panels import WIDE, draw_forces, draw_ratio, draw_stretches
from haulwright.publishing.charts.phases import draw_phases
from haulwright.publishing.charts.series import ratio_series, time_label, time_step
from haulwright.publishing.wording import (
    cautions,
    check_units,
    device_list,
    plus_minus,
    seconds,
    stretch_sentence,
)
from haulwright.trials.result import Traces, TrialResult

_LEFT, _RIGHT = 46.0, 14.0
_ROW = 18.0


@dataclass(frozen=True)
class _Frame:
    """Where the panels stand [px from the upper left corner] and what time they span [s]."""

    width: float
    title: tuple[str, ...]
    notes: tuple[str, ...]
    forces_high: float
    ratio_high: float
    start_s: float
    end_s: float

    @property
    def inner(self) -> float:
        return self.width - _LEFT - _RIGHT

    @property
    def phases_top(self) -> float:
        return 8 + 25 * len(self.title) + (6 if self.title else 0)

    @property
    def forces_top(self) -> float:
        return self.phases_top + 62

    @property
    def ratio_top(self) -> float:
        return self.forces_top + self.forces_high + 30

    @property
    def bottom(self) -> float:
        return self.ratio_top + self.ratio_high if self.ratio_high else self.forces_top + self.forces_high

    @property
    def height(self) -> float:
        return self.bottom + 64 + (_ROW * len(self.notes) + 12 if self.notes else 0)


def trace_chart(
    result: TrialResult,
    *,
    units: str = "kN",
    width_px: float = 700.0,
    light: look.Light = look.PAPER,
    title: bool = True,
    notes: bool = True,
) -> Chart:
    """Return the chart of one run.

    Parameters
    ----------
    result : TrialResult
        A run that still has its traces.
    units : str
        Unit of the forces: kN, kgf, lbf, t or N.
    width_px : float
        Width [px], 300 or more; the chart is laid out for it, not scaled.
    light : look.Light
        Inks of the sheet.
    title, notes : bool
        Write the title above, and the reasons of the stretches and the cautions below, into the chart.

    Returns
    -------
    Chart
        Anchor heavy, line thin; lighter outside the steady stretch; what was cut is hatched.

    Raises
    ------
    UsageRefusal
        If the record has no traces, the unit is not known, or the width is under 300 px.
    """
    traces = result._traces
    if traces is None or not traces.time_s:
        raise UsageRefusal(
            "NO_TRACES", f"Run {result.run} has no traces to draw: measure it again from its log."
        )
    check_width(width_px)
    check_units(units)
    with settings(light):
        words = _title(result)
        frame = _frame(result, traces, words, width_px, light, title=title, notes=notes)
        sheet = Sheet(width_px, frame.height, light)
        _draw(sheet, frame, result, traces, units)
    return Chart(words, width_px, frame.height, sheet.figure, light)


def _title(result: TrialResult) -> str:
    devices = f" on {device_list(result.devices)}" if result.devices else ""
    return f"Run {result.run}, {result.rig}{devices}: advantage {plus_minus(result.advantage, figures=1)}"


def _frame(
    result: TrialResult,
    traces: Traces,
    words: str,
    width: float,
    light: look.Light,
    *,
    title: bool,
    notes: bool,
) -> _Frame:
    ruler = Sheet(width, 100, light)
    lines = [stretch_sentence(s) for s in result.steady] + [n.message for n in cautions(result.notices)]
    wrapped = [part for line in lines for part in ruler.wrap(line, font(), width - 16)] if notes else []
    heads = ruler.wrap(words, font(TITLE, 600, look.FACE_TITLE), width - 16) if title else []
    wide = width >= WIDE
    return _Frame(
        width=width,
        title=tuple(heads),
        notes=tuple(wrapped),
        forces_high=236.0 if wide else 190.0,
        ratio_high=(84.0 if wide else 70.0) if ratio_series(result) is not None else 0.0,
        start_s=min(times[0] for times in traces.time_s.values()),
        end_s=max(times[-1] for times in traces.time_s.values()),
    )


def _draw(sheet: Sheet, frame: _Frame, result: TrialResult, traces: Traces, units: str) -> None:
    for n, line in enumerate(frame.title):
        sheet.write(8, 26 + 25 * n, line, font(TITLE, 600, look.FACE_TITLE))
    draw_phases(sheet, result.phases, (frame.start_s, frame.end_s), (_LEFT, frame.phases_top, frame.inner))
    panels = [sheet.axes(_LEFT, frame.forces_top, frame.inner, frame.forces_high)]
    if frame.ratio_high:
        panels.append(sheet.axes(_LEFT, frame.ratio_top, frame.inner, frame.ratio_high))
        sheet.write(8, frame.ratio_top - 8, "anchor ÷ line", font(LABEL, 600))
        draw_ratio(sheet, panels[1], result)
    for panel in panels:
        panel.set_xlim(frame.start_s, frame.end_s)
        draw_stretches(sheet, panel, result)
    draw_forces(sheet, panels[0], result, traces, units)
    _time_axis(sheet, panels, frame)
    _ends(sheet, frame, result)
    for n, line in enumerate(frame.notes):
        sheet.write(8, frame.bottom + 82 + _ROW * n, line, font(), color=sheet.light.ink_2)


def _time_axis(sheet: Sheet, panels: Sequence[Axes], frame: _Frame) -> None:
    step = time_step(frame.end_s - frame.start_s, frame.inner / 78)
    first = int(np.ceil(frame.start_s / step)) * step
    ticks = [float(t) for t in np.arange(first, frame.end_s + 1e-9, step)]
    for panel in panels:
        for tick in ticks:
            panel.axvline(tick, color=sheet.light.grid, linewidth=look.HAIR_PX, zorder=1)
    panels[-1].axhline(
        panels[-1].get_ylim()[0], color=sheet.light.rule, linewidth=look.RULE_PX, zorder=2, clip_on=False
    )
    for tick in ticks:
        x = _LEFT + frame.inner * (tick - frame.start_s) / (frame.end_s - frame.start_s)
        half = sheet.text_width(time_label(tick, step), font()) / 2
        x = min(max(x, _LEFT + half - 8), frame.width - half - 2)
        sheet.write(
            x, frame.bottom + 17, time_label(tick, step), font(), ha="center", color=sheet.light.ink_2
        )


def _ends(sheet: Sheet, frame: _Frame, result: TrialResult) -> None:
    """Write the ends of the steady stretch in seconds under the time axis, and what the axis is."""

    def at(t: float) -> float:
        return _LEFT + frame.inner * (t - frame.start_s) / (frame.end_s - frame.start_s)

    y = frame.bottom + 37
    if result.steady:
        start, end = result.steady[0].start_s, result.steady[-1].end_s
        bold = font(SMALL, 700)
        before, after = seconds(start), seconds(end)
        sheet.write(max(at(start) - 3, 8 + sheet.text_width(before, bold)), y, before, bold, ha="right")
        sheet.write(
            min(at(end) + 3, frame.width - 4 - sheet.text_width(after, bold)), y, after, bold, ha="left"
        )
        middle = "steady stretch"
        if sheet.text_width(middle, font()) + 8 < at(end) - at(start):
            sheet.write((at(start) + at(end)) / 2, y, middle, font(), ha="center")
    sheet.write(
        frame.width - _RIGHT,
        y + 19,
        "time on the line cell’s clock",
        font(),
        ha="right",
        color=sheet.light.ink_2,
    )
