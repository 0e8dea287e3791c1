"""Charts of a workbook: the trace of a run with its steady stretches, and the advantage by configuration.

They draw the cells themselves, so they follow when a reader changes an end of a stretch.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from haulwright.publishing.look import PAPER

if TYPE_CHECKING:
    from xlsxwriter.chart import Chart
    from xlsxwriter.workbook import Workbook

_INK, _INK_2, _PENCIL, _GRID = (getattr(PAPER, name) for name in ("ink", "ink_2", "pencil", "grid"))
_WIDE = {"width": 860, "height": 400}


@dataclass(frozen=True)
class ChartCells:
    """Where the series of a trace stand: times, forces by place, and of each stretch its ends and both means."""

    time: str
    forces: Mapping[str, str]
    stretches: Sequence[Sequence[str]]


@dataclass(frozen=True)
class Bars:
    """Where the series of a chart of configurations stand: names, values, ends of the bars; how many there are."""

    names: str
    values: str
    plus: str
    minus: str
    frictionless: str | None
    n: int


def trace_chart_of(book: Workbook, cells: ChartCells, title: str) -> Chart:
    """Return the chart of a run: the line thin, the anchor heavy, the means over each stretch as bars of their own."""
    chart = book.add_chart({"type": "scatter", "subtype": "straight"})
    styles = [(_INK_2, 1.0, "solid"), (_INK, 2.25, "solid")]
    for n, (place, forces) in enumerate(cells.forces.items()):
        colour, width, dash = styles[n] if n < len(styles) else (_INK_2, 1.0, "dash")
        chart.add_series(
            {
                "name": place,
                "categories": f"={cells.time}",
                "values": f"={forces}",
                "line": {"color": colour, "width": width, "dash_type": dash},
            }
        )
    named = len(cells.forces)
    for n, (ends, *means) in enumerate(cells.stretches):
        for place, mean in zip(("line", "anchor"), means, strict=True):
            chart.add_series(
                {
                    "name": f"mean of the {place} over the steady stretch",
                    "categories": ends,
                    "values": mean,
                    "line": {"color": _PENCIL, "width": 3},
                    "marker": {
                        "type": "diamond",
                        "size": 6,
                        "fill": {"color": _PENCIL},
                        "border": {"color": _PENCIL},
                    },
                }
            )
        named += 0 if n else 2
    extra = list(range(named, len(cells.forces) + 2 * len(cells.stretches)))
    _finish(chart, title, ("Time on the line's clock [s]", "Force [N]"), extra)
    chart.set_y_axis({**_axis("Force [N]"), "min": 0, "num_format": "#,##0"})
    return chart


def advantage_chart(book: Workbook, bars: Bars) -> Chart:
    """Return the chart of the configurations: the advantage reached, and that without friction."""
    chart = _bars(book, bars, "advantage reached, 95 % interval", "0.00")
    chart.add_series(
        {
            "name": "without friction",
            "categories": f"={bars.names}",
            "values": f"={bars.frictionless}",
            "line": {"none": True},
            "marker": {
                "type": "long_dash",
                "size": 16,
                "fill": {"color": _INK_2},
                "border": {"color": _INK_2},
            },
        }
    )
    _finish(chart, "Advantage reached, by rig and devices", ("", ""), [])
    chart.set_size(_size(bars))
    chart.set_y_axis({**_axis("Advantage, load ÷ effort [1]"), "min": 1, "num_format": "0.0"})
    return chart


def efficiency_chart(book: Workbook, bars: Bars) -> Chart:
    """Return the chart of how much of the frictionless advantage was reached: there the intervals can be seen."""
    chart = _bars(book, bars, "rig efficiency, 95 % interval", "0.0%")
    _finish(chart, "How much of the frictionless advantage was reached", ("", ""), [])
    chart.set_size(_size(bars))
    chart.set_y_axis({**_axis("Rig efficiency [%]"), "num_format": "0%"})
    return chart


def _bars(book: Workbook, bars: Bars, name: str, figures: str) -> Chart:
    chart = book.add_chart({"type": "line"})
    chart.add_series(
        {
            "name": name,
            "categories": f"={bars.names}",
            "values": f"={bars.values}",
            "line": {"none": True},
            "marker": {"type": "diamond", "size": 5, "fill": {"color": _INK}, "border": {"color": _INK}},
            "y_error_bars": {
                "type": "custom",
                "plus_values": f"={bars.plus}",
                "minus_values": f"={bars.minus}",
                "line": {"color": _INK, "width": 1.5},
            },
            "data_labels": {"value": True, "position": "right", "num_format": figures},
        }
    )
    return chart


def _size(bars: Bars) -> dict[str, int]:
    return {"width": max(620, 150 * bars.n), "height": 520}


def _finish(chart: Chart, title: str, axes: tuple[str, str], unnamed: Sequence[int]) -> None:
    chart.set_title({"name": title, "name_font": {"size": 13, "bold": True}, "overlay": False})
    chart.set_x_axis(_axis(axes[0]))
    chart.set_legend({"position": "bottom", "delete_series": list(unnamed)})
    chart.set_size(_WIDE)
    chart.show_blanks_as("gap")


def _axis(name: str) -> dict[str, Any]:
    told: dict[str, Any] = {
        "num_font": {"size": 10},
        "major_gridlines": {"visible": True, "line": {"color": _GRID}},
    }
    return {**told, "name": name, "name_font": {"size": 11, "bold": False}} if name else told
