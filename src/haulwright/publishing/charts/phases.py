"""The bar of phases above a trace."""

from __future__ import annotations

from collections.abc import Sequence

from haulwright.publishing.charts.canvas import SMALL, Sheet, clean, font, lettering
from haulwright.trials.result import Phase

_LOW_ROW, _HIGH_ROW, _BAR = 36.0, 16.0, 48.0
_GAP = 8.0


def draw_phases(
    sheet: Sheet, phases: Sequence[Phase], span_s: tuple[float, float], place: tuple[float, float, float]
) -> None:
    """Draw the phases as a ruled bar; a name that does not fit over its own phase goes one row up, on a leader.

    Parameters
    ----------
    sheet : Sheet
        Where to draw.
    phases : sequence of Phase
        In order of time.
    span_s : tuple of float
        Start and end of the time axis [s].
    place : tuple of float
        Left, top and width of the bar's field [px].
    """
    left, top, width = place
    axes = sheet.axes(left, top, width, _BAR + 6)
    axes.set_xlim(0, width)
    axes.set_ylim(_BAR + 6, 0)
    axes.set_clip_on(False)
    ink = sheet.light.ink
    taken = {_LOW_ROW: -left, _HIGH_ROW: -left}
    for phase in phases:
        a, b = (width * (t - span_s[0]) / (span_s[1] - span_s[0]) for t in (phase.start_s, phase.end_s))
        steady = phase.name == "steady"
        axes.plot([a, b], [_BAR, _BAR], color=ink, linewidth=3.2 if steady else 1.0, clip_on=False)
        for end in (a, b):
            axes.plot([end, end], [_BAR - 5, _BAR + 5], color=ink, linewidth=1.0, clip_on=False)
        properties = font(SMALL, 700 if steady else 400)
        wide = sheet.text_width(phase.name, properties)
        row = _LOW_ROW if wide + _GAP <= b - a else _HIGH_ROW
        x = min(max((a + b) / 2, wide / 2 - left + 4), width - wide / 2 + 12)
        if x - wide / 2 < taken[row] + _GAP:
            continue
        taken[row] = x + wide / 2
        if row == _HIGH_ROW:
            axes.plot([(a + b) / 2] * 2, [_HIGH_ROW + 5, _BAR - 5], color=ink, linewidth=0.8, clip_on=False)
        axes.text(
            x,
            row,
            clean(phase.name),
            **lettering(phase.name, properties),
            color=ink,
            ha="center",
            va="baseline",
        )
