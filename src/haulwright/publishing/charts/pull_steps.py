"""Chart of a pull along its travel: line pull needed against what the winch has, side pull, current, stop points."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from matplotlib.axes import Axes
from matplotlib.colors import to_rgba
from matplotlib.ticker import MaxNLocator

from haulwright.errors import UsageRefusal
from haulwright.notices import Code
from haulwright.planning.pull_result import PullSteps, StopPoint
from haulwright.publishing import look
from haulwright.publishing.charts.canvas import (
    LABEL,
    SMALL,
    TITLE,
    Chart,
    Sheet,
    check_width,
    clean,
    font,
    lettering,
    settings,
)
from haulwright.publishing.wording import cautions, check_units, force, of_limit
from haulwright.quantities.numerals import print_number
from haulwright.quantities.units import from_si, unit_name

_LEFT, _RIGHT = 48.0, 14.0
_ROW, _GAP = 18.0, 44.0
_FLAG = 26.0  # height of the row of numbered stop points over the panels
_NAMED_SIDE = 0.005  # below this share of the resistance the side pull has no panel
_PEAKS = 5
_WORDS = {
    "layer": "a layer begins",
    "too weak": "winch too weak",
    "reset": "set the rig anew",
    "two-blocked": "two-blocked",
    "rest": "rest the motor",
    "battery": "battery low",
    "rig": "the rig ends",
}
Line = Sequence[float]
_Spot = tuple[
    float, float, float, float
]  # left and right [px], low and high in the panel's unit, as x0, y0, x1, y1


@dataclass(frozen=True)
class _Curve:
    """One line of a panel: its values, its name, how heavy, how dashed, and whether it goes by steps."""

    values: Line
    name: str
    weight: float
    dashes: tuple[float, float] | None = None
    stepped: bool = False


@dataclass(frozen=True)
class _Panel:
    """One panel: its head, its curves, the band between two of them, and its height [px]."""

    head: str
    curves: tuple[_Curve, ...]
    band: tuple[Line, Line] | None
    high: float


def pull_steps_chart(
    record: PullSteps,
    *,
    rig: str = "",
    units: str = "kN",
    width_px: float = 1008.0,
    light: look.Light = look.PAPER,
) -> Chart:
    """Return the chart of a pull along its travel.

    Parameters
    ----------
    record : PullSteps
    rig : str
        The rig in words; its name without them.
    units : str
        kN, kgf, lbf, t or N.
    width_px : float
        Width [px], 300 or more; the chart is laid out for it, not scaled.
    light : look.Light

    Returns
    -------
    Chart
        Line pull needed (likely, and a band from low to high), line pull there is on each layer and at stall; side pull
        and current where there are any; stop points numbered and named; where each piece carries most.

    Raises
    ------
    UsageRefusal
        ``CHART`` for a record without steps or a width under 300 px; ``UNITS``.
    """
    check_width(width_px)
    check_units(units)
    if not record.steps:
        raise UsageRefusal("CHART", f"{record.pull}: there are no steps to draw.")
    with settings(light):
        return _Drawing(record, rig or record.rig, units, width_px, light).chart()


class _Drawing:
    def __init__(self, record: PullSteps, rig: str, units: str, width: float, light: look.Light) -> None:
        self.record, self.rig, self.units, self.width, self.light = record, rig, units, width, light
        self.scale = from_si(1.0, units, "force")
        self.wide = width >= 560.0
        self.at = [step.travel_m for step in record.steps]
        self.panels = list(self._panels())
        ruler = Sheet(width, 100.0, light)
        room = 0.97 * width - 16.0  # a viewer that hints its letters sets a row a little wider
        self.title = ruler.wrap(self._title(), font(TITLE, 600, look.FACE_TITLE), room)
        self.lead = ruler.wrap(self._lead(), font(LABEL), room)
        self.notes = [
            (row, bold)
            for words, bold in self._notes()
            for row in ruler.wrap(words, font(SMALL, 700 if bold else 400), room)
        ]
        self.first = 14.0 + 25.0 * len(self.title) + 19.0 * len(self.lead) + 8.0
        self.flags = _FLAG if record.stops else 0.0
        self.bottom = self.first + self.flags + sum(p.high + _GAP for p in self.panels)
        self.sheet = Sheet(width, self.bottom + 34.0 + _ROW * len(self.notes), light)

    # --- what is drawn ----------------------------------------------------------------------------------------------
    def _forces(self, values: Sequence[float | None]) -> Line:
        return [float("nan") if v is None else v * self.scale for v in values]

    def _panels(self) -> Iterator[_Panel]:
        steps, unit = self.record.steps, unit_name(self.units, "force")
        needed = _Curve(self._forces([s.effort_N.likely for s in steps]), "needed, likely", 3.0)
        band = (self._forces([s.effort_N.low for s in steps]), self._forces([s.effort_N.high for s in steps]))
        curves = [needed]
        if any(s.line_pull_N is not None for s in steps):
            there = self._forces([s.line_pull_N for s in steps])
            curves.append(_Curve(there, "the winch has", 2.0, stepped=True))
        yield _Panel(f"Line pull, {unit}", tuple(curves), band, 250.0)
        if max(s.side_pull_N.stall for s in steps) > _NAMED_SIDE * self.record.resistance_N.likely:
            likely = _Curve(self._forces([s.side_pull_N.likely for s in steps]), "likely", 3.0)
            stall = _Curve(self._forces([s.side_pull_N.stall for s in steps]), "at stall", 1.4)
            yield _Panel(f"Side pull on the vehicle, {unit}", (likely, stall), None, 110.0)
        if any(s.current_A.likely is not None for s in steps):
            amps = [float("nan") if s.current_A.likely is None else s.current_A.likely for s in steps]
            most = [float("nan") if s.current_A.high is None else s.current_A.high for s in steps]
            curves = [_Curve(amps, "likely", 3.0), _Curve(most, "at the high resistance", 1.4)]
            yield _Panel("Current, A", tuple(curves), None, 110.0)

    def chart(self) -> Chart:
        """Draw everything from the head down."""
        sheet, y = self.sheet, 14.0
        for row in self.title:
            y += 25.0
            sheet.write(8.0, y - 6.0, row, font(TITLE, 600, look.FACE_TITLE))
        for row in self.lead:
            y += 19.0
            sheet.write(8.0, y - 3.0, row, font(LABEL), color=self.light.ink_2)
        top = self.first + self.flags
        if self.record.stops:
            self._flags(top)
        for n, panel in enumerate(self.panels):
            self._panel(panel, top, last=n == len(self.panels) - 1)
            top += panel.high + _GAP
        for n, (row, bold) in enumerate(self.notes):
            sheet.write(
                8.0,
                self.bottom + 26.0 + _ROW * n,
                row,
                font(SMALL, 700 if bold else 400),
                color=self.light.ink,
            )
        return Chart(self._alt(), self.width, self.sheet.height, sheet.figure, self.light)

    @property
    def _inner(self) -> float:
        return self.width - _LEFT - _RIGHT

    def _x(self, travel_m: float) -> float:
        return _LEFT + self._inner * travel_m / self._span

    @property
    def _span(self) -> float:
        return self.at[-1] or 1.0

    def _panel(self, panel: _Panel, top: float, *, last: bool) -> None:
        sheet, light = self.sheet, self.light
        axes = sheet.axes(_LEFT, top + 20.0, self._inner, panel.high)
        sheet.write(8.0, top + 10.0, panel.head, font(LABEL, 600))
        values = [v for c in panel.curves for v in c.values] + [v for row in panel.band or () for v in row]
        most = max(v for v in values if v == v)
        axes.set_xlim(0.0, self._span)
        axes.set_ylim(0.0, most * (1.0 + 34.0 / panel.high))
        self._grid(axes, panel.high, most)
        if panel.band:
            self._band(axes, panel)
        for stop in self.record.stops:
            axes.axvline(stop.travel_m, color=light.ink, linewidth=1.1, dashes=(3.0, 3.0), zorder=3)
        for curve in panel.curves:
            style = "steps-mid" if curve.stepped else "default"
            axes.plot(
                self.at, curve.values, color=light.ink, linewidth=curve.weight, drawstyle=style, zorder=6
            )
        self._names(axes, panel, most)
        if last:
            self._travel_axis(axes, top + 20.0 + panel.high)

    def _band(self, axes: Axes, panel: _Panel) -> None:
        """From low to high: washed between two thin lines; where the winch has less than the high, the accent."""
        light = self.light
        low, high = panel.band or ((), ())
        axes.fill_between(self.at, low, high, facecolor=light.paper_shade, edgecolor="none", zorder=2)
        for edge in (low, high):
            axes.plot(self.at, edge, color=light.rule, linewidth=1.0, zorder=4)
        if len(panel.curves) > 1:
            there = panel.curves[1].values
            weak = [h > t for h, t in zip(high, there, strict=True)]
            if any(weak):
                axes.fill_between(
                    self.at,
                    there,
                    high,
                    where=weak,
                    facecolor="none",
                    edgecolor=to_rgba(light.over),
                    hatch="///",
                    zorder=5,
                )

    def _grid(self, axes: Axes, high: float, most: float) -> None:
        for tick in MaxNLocator(max(2, int(high / 34.0)), steps=[1, 2, 5, 10]).tick_values(0.0, most):
            if 0.0 <= tick <= most:
                axes.axhline(tick, color=self.light.grid, linewidth=look.HAIR_PX, zorder=1)
                self._note(
                    axes, f"{tick:g}", (0.0, tick), (-6.0, 0.0), "right", "center_baseline", axes_x=True
                )
        axes.axhline(0.0, color=self.light.ink, linewidth=look.RULE_PX, zorder=5, clip_on=False)

    def _note(
        self, axes: Axes, words: str, at: tuple[float, float], off: tuple[float, float], ha: str, va: str, *,
        axes_x: bool = False, weight: int = 400,
    ) -> None:  # fmt: skip
        properties = font(SMALL, weight)
        patch = None if axes_x else {"facecolor": self.light.paper, "edgecolor": "none", "pad": 1.0}
        axes.annotate(
            clean(words), at, off, xycoords=("axes fraction", "data") if axes_x else "data", textcoords="offset points",
            ha=ha, va=va, color=self.light.ink_2 if axes_x else self.light.ink, zorder=9, bbox=patch,
            **lettering(words, properties),
        )  # fmt: skip

    def _names(self, axes: Axes, panel: _Panel, most: float) -> None:
        """Name each curve at its greatest value on the right or the left, below or above it, clear of the others."""
        box = axes.get_position()
        per_px = axes.get_ylim()[1] / (box.height * self.sheet.height)
        marks = [*panel.curves]
        if panel.band:
            marks.append(_Curve(panel.band[1], "needed, high", 1.0))
            marks.append(_Curve(panel.band[0], "needed, low", 1.0))
        taken: list[_Spot] = []
        lost = []
        for curve in sorted(marks, key=lambda c: -max((v for v in c.values if v == v), default=0.0)):
            lost.append(self._name(axes, curve, taken, per_px, [c.values for c in marks if c is not curve]))
        words = "; ".join(name for name in lost if name)
        if words:  # what finds no room at its curve stands at the end of the head
            y = self.sheet.height * (1.0 - box.y1) - 10.0
            self.sheet.write(self.width - _RIGHT, y, words, font(SMALL, 600), ha="right")

    def _name(
        self, axes: Axes, curve: _Curve, taken: list[_Spot], per_px: float, others: Sequence[Line]
    ) -> str:
        """Name a curve in the place that touches least; return the name where every place touches something."""
        known = [(x, v) for x, v in zip(self.at, curve.values, strict=True) if v == v]
        if not known:
            return ""
        words = f"{curve.name} {_figures(curve, [v for _, v in known])}"
        wide = self.sheet.text_width(words, font(SMALL, 600)) + 10.0
        per_x = self._span / self._inner
        spots: list[_Spot] = []
        for share in (0.02, 0.98, 0.5, 0.25, 0.75, 0.35, 0.65):
            left = min(max(share * self._inner - wide / 2.0, 6.0), self._inner - wide - 2.0)
            here = [v for x, v in known if left * per_x <= x <= (left + wide) * per_x] or [known[-1][1]]
            for low in (max(here) + 6.0 * per_px, min(here) - 23.0 * per_px):
                spots.append((left, low, left + wide, low + 15.0 * per_px))
        top = axes.get_ylim()[1]
        lines = (*others, curve.values)
        best = min(spots, key=lambda spot: self._hits(spot, taken, lines, per_px, top))
        if self._hits(best, taken, lines, per_px, top) >= 1.0:
            return words
        taken.append(best)
        at = ((best[0] + 4.0) * per_x, best[1])
        self._note(axes, words, at, (0.0, 1.0), "left", "bottom", weight=600)
        return ""

    def _hits(
        self, spot: _Spot, taken: Sequence[_Spot], lines: Sequence[Line], per_px: float, top: float
    ) -> float:
        """How much a name would touch: other names, curves, the edges; a stop line counts half."""
        left, low, right, high = spot
        per_x = self._span / self._inner
        names = sum(left < x1 and right > x0 and low < y1 and high > y0 for x0, y0, x1, y1 in taken)
        curves = any(
            low - 4.0 * per_px < v < high + 4.0 * per_px
            for line in lines
            for x, v in zip(self.at, line, strict=True)
            if v == v and left * per_x <= x <= right * per_x
        )
        stopped = any(left - 3.0 < self._x(s.travel_m) - _LEFT < right for s in self.record.stops)
        return names + 2.0 * curves + 0.5 * stopped + 4.0 * (low < 2.0 * per_px or high > top)

    def _flags(self, top: float) -> None:
        """Number the stop points over the panels; those that stand too close together share a row of numbers."""
        sheet, taken = self.sheet, -100.0
        for n, stop in enumerate(self.record.stops, start=1):
            x = min(max(self._x(stop.travel_m), taken + 22.0), self.width - 12.0)
            later = self.record.stops[n].travel_m if n < len(self.record.stops) else None
            room = (self.width if later is None else self._x(later)) - x - 14.0
            words = f"{n} {_WORDS.get(stop.what, stop.what)}"
            words = words if sheet.text_width(words, font(LABEL, 700)) < room else str(n)
            taken = x
            sheet.write(x - 4.0, top - 8.0, words, font(LABEL, 700))

    def _travel_axis(self, axes: Axes, y: float) -> None:
        ticks = MaxNLocator(max(3, int(self._inner / 90.0)), steps=[1, 2, 5, 10]).tick_values(0.0, self._span)
        end = f"{self._span:.1f} m".replace(".0 m", " m")
        room = self.width - _RIGHT - self.sheet.text_width(end, font()) - 24.0
        for tick in ticks:
            x = self._x(tick)
            if 0.0 <= tick < self._span and x < room:
                self.sheet.write(x, y + 17.0, f"{tick:g}", font(), ha="center", color=self.light.ink_2)
        self.sheet.write(self.width - _RIGHT, y + 17.0, end, font(), ha="right", color=self.light.ink_2)

    # --- words ------------------------------------------------------------------------------------------------------
    def _title(self) -> str:
        return f"{self.record.pull}, along its way"

    def _lead(self) -> str:
        r = self.record
        ups = "one set-up" if r.setups == 1 else f"{r.setups} set-ups"
        return (
            f"{self.rig}: {r.travel_m:.1f} m of {r.wanted_m:.1f} m wanted, in {ups}. Along the foot: how far the vehicle has come. "
            f"The winch stalls at {force(r.stall_N, self.units)} on the lowest layer met."
        )

    def _notes(self) -> Iterator[tuple[str, bool]]:
        for n, stop in enumerate(self.record.stops, start=1):
            yield f"{n} at {stop.travel_m:.1f} m: {self._stop(stop)}", False
        if not self.record.stops:
            yield "No stop point on the way: one layer, one set-up.", False
        yield "Where each piece is nearest to its limit, at stall:", True
        for words in self._peaks():
            yield words, False
        if all(s.current_A.likely is None for s in self.record.steps):
            yield "Current and time are not known: the kit has no maker's table for this winch.", False
        yield (
            (
                f"At stall the winch pulls {force(self.record.stall_N, self.units)}; real winches can exceed their plate. "
                "Every item must stand that."
            ),
            True,
        )
        for notice in cautions(self.record.notices):
            if notice.code != Code.STALL.name:
                yield notice.message, False

    def _stop(self, stop: StopPoint) -> str:
        if stop.needed_N is None or stop.there_N is None:
            return stop.message
        return (
            f"{stop.message} Needed at the high resistance {force(stop.needed_N, self.units)}, "
            f"there from here on {force(stop.there_N, self.units)}."
        )

    def _peaks(self) -> Iterator[str]:
        ranked = sorted(self.record.peaks, key=lambda p: (p.utilisation is not None, -(p.utilisation or 0.0)))
        for peak in ranked[:_PEAKS]:
            name = peak.role if peak.item in peak.role else f"{peak.role} ({peak.item})"
            share = (
                "limit unknown" if peak.utilisation is None else of_limit(peak.utilisation, " of its limit")
            )
            if peak.role == "winch" and peak.utilisation is not None:
                share = of_limit(peak.utilisation, " of its line pull at the high resistance")
            yield (
                f"{name}: likely {force(peak.load_N.likely, self.units)}, at stall {force(peak.load_N.stall, self.units)} at "
                f"{peak.at_m.stall:.1f}\u00a0m; {share}."
            )

    def _alt(self) -> str:
        most = max(self.record.steps, key=lambda s: s.effort_N.high)
        has = [s.line_pull_N for s in self.record.steps if s.line_pull_N is not None]
        words = (
            f"{self._title()}: {self._lead()} The line pull needed is greatest at {most.travel_m:.1f} m: likely "
            f"{force(most.effort_N.likely, self.units)}, at the high resistance {force(most.effort_N.high, self.units)}."
        )
        if has:
            words += f" The winch has {force(max(has), self.units)} to {force(min(has), self.units)}."
        return " ".join([words, *(text for text, _ in self._notes())])


def _figures(curve: _Curve, values: Sequence[float]) -> str:
    """Return what a curve's name says of it: its one value, its greatest, or for steps the first and the last."""
    if curve.stepped and values[-1] < 0.99 * values[0]:
        return f"{_figure(values[0])}, at the end {_figure(values[-1])}"
    most = max(values)
    return _figure(most) if min(values) > 0.98 * most else f"up to {_figure(most)}"


def _figure(value: float) -> str:
    if value >= 1000.0:
        return print_number(round(value), 0)
    return f"{value:.1f}" if value < 100.0 else f"{value:.0f}"
