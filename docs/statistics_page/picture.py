"""The small pictures of the page: one plot, laid out for a phone, in the product's faces and inks.

With the method: filled dots on a solid line. Without it: hollow squares on a dashed line. Ink alone tells nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from haulwright.publishing import look
from haulwright.publishing.charts.canvas import Chart, Sheet, clean, font, lettering, settings

WIDTH = 400.0
LIGHT = look.PAPER
_LEFT, _EDGE, _ROW, _SMALL, _TITLE = 52.0, 10.0, 19.0, 14.0, 17.0
_DASH = (0, (5.0, 3.0))


@dataclass(frozen=True)
class Style:
    """How one series is drawn, in the plot and in its key."""

    color: str = LIGHT.ink
    marker: str = "o"
    filled: bool = True
    line: Any = "-"
    width: float = look.NEAT_PX
    size: float = 7.0

    def kwargs(self) -> dict[str, Any]:
        """Return what matplotlib is told."""
        return {
            "color": self.color,
            "marker": self.marker or None,
            "markersize": self.size,
            "markerfacecolor": self.color if self.filled else LIGHT.paper,
            "markeredgecolor": self.color,
            "markeredgewidth": 1.5,
            "linestyle": self.line,
            "linewidth": self.width,
        }


WITH = Style()
WITHOUT = Style(color=LIGHT.terrain, marker="s", filled=False, line=_DASH)
THIRD = Style(color=LIGHT.ink_2, marker="^", filled=False, line=(0, (1.5, 2.5)))
TRUTH = Style(color=LIGHT.pencil, marker="", line=(0, (7.0, 4.0)), width=look.RULE_PX)
DOTS, SQUARES, TRIANGLES = (replace(style, line="none") for style in (WITH, WITHOUT, THIRD))
THEORY = Style(color=LIGHT.ink_2, marker="", width=look.RULE_PX)


@dataclass
class Plot:
    """A plot being made.

    Attributes
    ----------
    title : str
        What it says.
    x, y : str
        Axes, with units.
    note : str
        What was simulated.
    high : float
        Height of the plot itself [px].
    left : float
        Room left of it [px].
    """

    title: str
    x: str
    y: str
    note: str
    high: float = 190.0
    left: float = _LEFT
    key: list[tuple[str, Style]] = field(default_factory=list)
    sheet: Sheet = field(init=False)
    axes: Any = field(init=False)

    def start(self, *key: tuple[str, Style]) -> Plot:
        """Lay the picture out; ``key`` names its series."""
        self.key = list(key)
        with settings(LIGHT):
            ruler = Sheet(WIDTH, 100, LIGHT)
            room = WIDTH - 2 * _EDGE
            heads = ruler.wrap(self.title, font(_TITLE, 600, look.FACE_TITLE), room)
            keys = [(ruler.wrap(words, font(_SMALL), room - 34), style) for words, style in self.key]
            notes = ruler.wrap(f"Simulated. {self.note}".replace(" %", "\u00a0%"), font(_SMALL), room)
            y = 30.0 + 22.0 * len(heads)
            key_top = y
            y += _ROW * sum(len(lines) for lines, _ in keys)
            unit_at = y + 4.0
            top = y + (18.0 if self.y else 0.0)
            foot = top + self.high + (52.0 if self.x else 32.0)
            self.sheet = Sheet(WIDTH, foot + _ROW * (len(notes) - 1) + 14, LIGHT)
            for n, line in enumerate(heads):
                self.sheet.write(_EDGE, 24 + 22 * n, line, font(_TITLE, 600, look.FACE_TITLE))
            for lines, style in keys:
                self._sample(key_top - 9, style)
                for line in lines:
                    self.sheet.write(_EDGE + 34, key_top - 4, line, font(_SMALL))
                    key_top += _ROW
            if self.y:
                self.sheet.write(_EDGE, unit_at, self.y, font(_SMALL, 600))
            if self.x:
                at = top + self.high + 38
                self.sheet.write(WIDTH - _EDGE, at, self.x, font(_SMALL, 600), ha="right")
            for n, line in enumerate(notes):
                self.sheet.write(
                    _EDGE, foot + 6 + _ROW * n, line, font(_SMALL), color=LIGHT.ink_2, fontstyle="normal"
                )
            self.axes = self.sheet.axes(self.left, top, WIDTH - self.left - 20.0, self.high)
        return self

    def _sample(self, y: float, style: Style) -> None:
        line = self.sheet.axes(_EDGE, y - 8, 28, 16)
        line.set_xlim(0, 1)
        line.set_ylim(-1, 1)
        shown = style.kwargs()
        line.plot([0, 1], [0, 0], **{**shown, "marker": None})
        if style.marker:
            line.plot([0.5], [0], **shown)

    def series(self, x: Sequence[float], y: Sequence[float], style: Style, **more: Any) -> None:
        """Draw one series."""
        self.axes.plot(list(x), list(y), **{**style.kwargs(), "clip_on": False, "zorder": 4, **more})

    def trace(self, x: Any, y: Any, color: str, width: float, **more: Any) -> None:
        """Draw a line without marks, cut to the plot."""
        self.axes.plot(x, y, color=color, linewidth=width, zorder=3, **more)

    def say(self, x: float, y: float, words: str, **more: Any) -> None:
        """Write words at a place of the plot."""
        given = {"color": LIGHT.ink, "ha": "left", "va": "center", **lettering(words, font(_SMALL)), **more}
        self.axes.text(x, y, clean(words), **given)

    def ticks(
        self,
        x: Sequence[float],
        y: Sequence[float],
        x_names: Sequence[str] | None = None,
        y_names: Sequence[str] | None = None,
    ) -> None:
        """Rule the grid and write its numbers; call it when the limits are set."""
        axes = self.axes
        for tick, name in zip(y, y_names or [_plain(v) for v in y], strict=True):
            axes.axhline(tick, color=LIGHT.grid, linewidth=look.HAIR_PX, zorder=0.2)
            self._label(name, (0, tick), (-7, 0), ("axes fraction", "data"), "right", "center_baseline")
        for tick, name in zip(x, x_names or [_plain(v) for v in x], strict=True):
            axes.axvline(tick, color=LIGHT.grid, linewidth=look.HAIR_PX, zorder=0.2)
            self._label(name, (tick, 0), (0, -19), ("data", "axes fraction"), "center", "baseline")
        axes.plot(
            [0, 1],
            [0, 0],
            transform=axes.transAxes,
            color=LIGHT.rule,
            linewidth=look.RULE_PX,
            clip_on=False,
            zorder=0.5,
        )

    def _label(
        self,
        name: str,
        at: tuple[float, float],
        by: tuple[float, float],
        coords: tuple[str, str],
        ha: str,
        va: str,
    ) -> None:
        self.axes.annotate(
            clean(name),
            at,
            by,
            xycoords=coords,
            textcoords="offset points",
            ha=ha,
            va=va,
            color=LIGHT.ink_2,
            annotation_clip=False,
            **lettering(name, font(_SMALL)),
        )

    def chart(self) -> Chart:
        """Return the finished picture."""
        return Chart(self.title, WIDTH, self.sheet.height, self.sheet.figure, LIGHT)


def _plain(value: float) -> str:
    return f"{value:g}".replace("-", "−")


def dot_rows(
    plot: Plot,
    rows: Sequence[tuple[str, float, Style]],
    x: Sequence[float],
    truth: float | None = None,
    x_names: Sequence[str] | None = None,
) -> Chart:
    """Draw one dot a row, its name above it, its value beside it; ``truth`` is ruled."""
    plot.axes.set_xlim(min(x), max(x))
    plot.axes.set_ylim(len(rows) - 0.35, -0.75)
    if truth is not None:
        plot.axes.axvline(truth, **{k: v for k, v in TRUTH.kwargs().items() if not k.startswith("marker")})
    for n, (name, value, style) in enumerate(rows):
        plot.axes.plot([min(x), value], [n, n], color=LIGHT.rule_soft, linewidth=look.HAIR_PX, zorder=1)
        plot.series([value], [n], style)
        plot.say(min(x), n - 0.40, name, zorder=6)
    plot.ticks(x, [], x_names)
    return plot.chart()
