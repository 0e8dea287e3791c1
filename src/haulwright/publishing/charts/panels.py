"""The panels of a trace chart: both forces, and the ratio of the two readings."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.colors import to_rgba
from matplotlib.ticker import MaxNLocator

from haulwright.publishing import look
from haulwright.publishing.charts.canvas import LABEL, SMALL, Sheet, clean, font, lettering
from haulwright.publishing.charts.series import Array, cuts, open_gaps, ratio_series, within
from haulwright.publishing.wording import force
from haulwright.quantities.units import from_si, unit_name
from haulwright.trials.result import Traces, TrialResult

WIDE = 560.0  # px; from here a name has room for its mean
_WEIGHTS = {"anchor": 2.4, "line": 1.1}
Series = dict[str, tuple[Array, Array]]


def _outside(light: look.Light) -> str:
    """Return the ink of what is not averaged: lighter on every sheet, in print too."""
    return light.rule if light.rule != light.ink else light.rule_soft


def draw_stretches(sheet: Sheet, axes: Axes, result: TrialResult) -> None:
    """Wash what is averaged, hatch what is cut, rule the ends."""
    light = sheet.light
    for stretch in result.steady:
        axes.axvspan(stretch.start_s, stretch.end_s, facecolor=light.pencil_wash, edgecolor="none", zorder=0)
    hatched = to_rgba(light.hatch, light.hatch_op)
    for start, end in cuts(result.steady):
        axes.axvspan(
            start, end, facecolor=light.paper, edgecolor=hatched, hatch="///", linewidth=0, zorder=0.5
        )
    if result.steady:
        for end in (result.steady[0].start_s, result.steady[-1].end_s):
            axes.axvline(end, color=light.ink, linewidth=look.RULE_PX, zorder=5)


def _grid(sheet: Sheet, axes: Axes, ticks: Sequence[float], labels: Sequence[str]) -> None:
    axes.set_yticks(list(ticks))
    for tick, label in zip(ticks, labels, strict=True):
        axes.axhline(tick, color=sheet.light.grid, linewidth=look.HAIR_PX, zorder=1)
        axes.annotate(
            label,
            (0, tick),
            (-6, 0),
            xycoords=("axes fraction", "data"),
            textcoords="offset points",
            ha="right",
            va="center_baseline",
            fontproperties=font(),
            color=sheet.light.ink_2,
        )


def draw_forces(sheet: Sheet, axes: Axes, result: TrialResult, traces: Traces, units: str) -> None:
    """Draw every channel in ``units``: lighter as a whole, in ink where it is averaged, each named at its line."""
    light, scale = sheet.light, from_si(1.0, units, "force")
    series: Series = {
        place: open_gaps(traces.time_s[place], np.asarray(traces.force_N[place]) * scale)
        for place in traces.force_N
    }
    high = max(float(np.nanmax(y)) for _, y in series.values())
    low = min(0.0, min(float(np.nanmin(y)) for _, y in series.values()))
    room = axes.get_position().height * sheet.height
    top = low + (high - low) / (1 - 50.0 / room)  # a row for names above the highest reading, one for cuts
    axes.set_ylim(low - 0.01 * (top - low), top)
    ticks = [t for t in MaxNLocator(5, steps=[1, 2, 5, 10]).tick_values(low, high) if low <= t <= high]
    _grid(sheet, axes, ticks, [f"{t:g}".replace("-", "−") for t in ticks])
    axes.axhline(0, color=light.ink, linewidth=look.HAIR_PX, zorder=2)
    sheet.write(
        8,
        sheet.height * (1 - axes.get_position().y1) + 12,
        unit_name(units, "force"),
        font(),
        color=light.ink_2,
    )
    for place, (t, y) in series.items():
        weight = _WEIGHTS.get(place, 1.7)
        axes.plot(t, y, color=_outside(light), linewidth=weight, zorder=4)
        for stretch in result.steady:
            axes.plot(
                *within(t, y, stretch.start_s, stretch.end_s), color=light.ink, linewidth=weight, zorder=6
            )
    name_traces(sheet, axes, result, series, units)
    _cut_words(sheet, axes, result)


def name_traces(sheet: Sheet, axes: Axes, result: TrialResult, series: Series, units: str) -> None:
    """Name each trace above it where the steady stretch begins; one that would touch another, below it."""
    first, last = axes.get_xlim()
    start = result.steady[0].start_s if result.steady else first
    end = result.steady[-1].end_s if result.steady else last
    box, properties = axes.get_position(), font(LABEL, 600)
    per_px = (last - first) / (box.width * sheet.width)
    low_edge, high_edge = axes.get_ylim()
    tall = 20 * (high_edge - low_edge) / (box.height * sheet.height)
    placed: list[tuple[float, float]] = []
    for place in sorted(series, key=lambda p: -result.mean_N[p].value if p in result.mean_N else 0.0):
        word = _trace_word(sheet, result, place, units)
        span = (sheet.text_width(word, properties) + 12) * per_px
        x = max(min(start + 7 * per_px, end - span), first)
        near = within(*series[place], x, x + span)[1]
        near = near[np.isfinite(near)]
        high, low = (float(near.max()), float(near.min())) if near.size else (0.0, 0.0)
        y = high + 0.25 * tall
        if any(y + 0.8 * tall > a and y < b for a, b in placed):
            y = max(low - tall, low_edge + 0.2 * tall)
        placed.append((min(y, low), max(y + 0.8 * tall, high)))
        ground = sheet.light.pencil_wash if result.steady and x >= start else sheet.light.paper
        patch = {"facecolor": ground, "edgecolor": "none", "pad": 1.0}
        axes.text(
            x, y, clean(word), **lettering(word, properties), color=sheet.light.ink, zorder=8, bbox=patch
        )


def _trace_word(sheet: Sheet, result: TrialResult, place: str, units: str) -> str:
    mean = result.mean_N.get(place)
    return place if mean is None or sheet.width < WIDE else f"{place}, mean {force(mean.value, units)}"


def _cut_words(sheet: Sheet, axes: Axes, result: TrialResult) -> None:
    stops = [p for p in result.phases if p.name == "stop"]
    for start, end in cuts(result.steady)[:1]:
        stood = any(p.start_s < end and p.end_s > start for p in stops)
        axes.annotate(
            "stood still: cut" if stood else "cut",
            ((start + end) / 2, 1),
            (0, -4),
            xycoords=("data", "axes fraction"),
            textcoords="offset points",
            ha="center",
            va="top",
            fontproperties=font(SMALL, 600),
            color=sheet.light.ink,
            zorder=8,
            bbox={"facecolor": sheet.light.paper, "edgecolor": "none", "pad": 1.0},
        )


def draw_ratio(sheet: Sheet, axes: Axes, result: TrialResult) -> None:
    """Draw anchor ÷ line as read, with the frictionless value where the rig has one for this quotient."""
    found = ratio_series(result)
    if found is None:
        return
    t, y = found
    light = sheet.light
    parts = [within(t, y, s.start_s, s.end_s)[1] for s in result.steady] or [y]
    values = np.concatenate([p[np.isfinite(p)] for p in parts])
    # the frictionless line belongs to the load ÷ effort; it is drawn where that is what the two cells read
    same = abs(result.ratio.value - result.advantage.value) < 1e-6 * abs(result.advantage.value)
    spread = np.percentile(values, [1, 99]) if values.size else []
    shown = [*spread, result.ratio.value, *([result.frictionless] if same else [])]
    low, high = float(min(shown)), float(max(shown))
    pad = max(high - low, 0.1)
    axes.set_ylim(low - 0.3 * pad, high + 0.45 * pad)
    steps = max(2, int(axes.get_position().height * sheet.height / 28))
    candidates = MaxNLocator(steps, steps=[1, 2, 5, 10]).tick_values(*axes.get_ylim())
    ticks = [float(v) for v in candidates if axes.get_ylim()[0] <= v <= high + 0.1 * pad]
    _grid(sheet, axes, ticks, [f"{v:.4g}" for v in ticks])
    axes.plot(t, y, color=_outside(light), linewidth=1.1, zorder=4)
    for s in result.steady:
        axes.plot(*within(t, y, s.start_s, s.end_s), color=light.ink, linewidth=1.3, zorder=6)
    if same:
        axes.axhline(
            result.frictionless, color=light.ink, linewidth=1.6, dashes=look.DASH_FRICTIONLESS, zorder=5
        )
        axes.annotate(
            f"frictionless {result.frictionless:g}",
            (1, result.frictionless),
            (-2, 4),
            xycoords=("axes fraction", "data"),
            textcoords="offset points",
            ha="right",
            va="bottom",
            fontproperties=font(),
            color=light.ink,
            zorder=8,
            bbox={"facecolor": light.paper, "edgecolor": "none", "pad": 0.5},
        )
