"""Charts: the same bytes every time, numbers and units on them, nothing over anything else."""

from __future__ import annotations

import dataclasses
import itertools
import re

import pytest
from invented_campaign import campaign, trial
from matplotlib.text import Text

from haulwright.errors import UsageRefusal
from haulwright.publishing import look
from haulwright.publishing.charts import Chart, comparison_chart, trace_chart
from haulwright.trials.result import SteadyStretch, Traces

PNG = b"\x89PNG\r\n\x1a\n"


def words(chart: Chart) -> list[str]:
    return [t.get_text() for t in chart.figure.findobj(Text) if t.get_text()]


def overlaps(chart: Chart) -> list[tuple[str, str]]:
    """Return pairs of texts whose drawn boxes share more than their empty edges."""
    chart.svg("text")  # lays the figure out
    renderer = chart.figure.canvas.get_renderer()  # type: ignore[attr-defined]
    boxes = []
    for text in chart.figure.findobj(Text):
        if text.get_text() and text.get_visible():
            text.set_bbox(None)  # the patch of paper behind a word may touch its neighbour, the word may not
            boxes.append((text.get_text(), text.get_window_extent(renderer)))
    found = []
    for (a, one), (b, two) in itertools.combinations(boxes, 2):
        wide = min(one.x1, two.x1) - max(one.x0, two.x0)
        high = min(one.y1, two.y1) - max(one.y0, two.y0)
        if wide > 2 and high > 0.25 * min(one.height, two.height):  # a line box holds room for accents
            found.append((a, b))
    return found


def outside(chart: Chart) -> list[str]:
    renderer = chart.figure.canvas.get_renderer()  # type: ignore[attr-defined]
    found = []
    for text in chart.figure.findobj(Text):
        if text.get_text():
            box = text.get_window_extent(renderer)
            if box.x0 < -1 or box.x1 > chart.width + 1 or box.y0 < -1 or box.y1 > chart.height + 1:
                found.append(text.get_text())
    return found


@pytest.mark.parametrize("width", [328.0, 650.0, 1000.0])
def test_no_text_of_a_trace_chart_overlaps_or_is_clipped(width: float) -> None:
    for rig, device in (("two-part", "ring 90"), ("three-part", "ring 65"), ("series", "")):
        chart = trace_chart(trial("14", rig, device, 3), width_px=width)
        assert overlaps(chart) == []
        assert outside(chart) == []


@pytest.mark.parametrize("width", [328.0, 650.0, 1000.0])
def test_no_text_of_a_comparison_chart_overlaps_or_is_clipped(width: float) -> None:
    names = {"ring 90": "a ring with a very long name that goes on and on 90", "ring 65": "W" * 60}
    chart = comparison_chart(campaign(3, rename=names), width_px=width)
    assert overlaps(chart) == []
    assert outside(chart) == []


def test_the_same_record_gives_the_same_bytes() -> None:
    record, whole = trial("14", "two-part", "ring 90", 3), campaign(2)
    for make in (lambda: trace_chart(record), lambda: comparison_chart(whole)):
        first, second = make(), make()
        assert first.svg() == second.svg()
        assert first.png() == second.png()
        assert first.inline("a") == second.inline("a")
        assert first.svg() == first.svg()


def test_svg_and_png_come_from_one_chart(tmp_path: object) -> None:
    chart = trace_chart(trial("14", "two-part", "ring 90", 3))
    svg = chart.svg()
    assert "<text" not in svg  # letters are paths: the same face anywhere
    assert "dc:date" not in svg
    assert chart.png().startswith(PNG)


def test_written_by_the_ending(tmp_path) -> None:  # type: ignore[no-untyped-def]
    chart = trace_chart(trial("14", "two-part", "ring 90", 3))
    assert chart.write(tmp_path / "a.svg").read_text(encoding="utf-8").startswith("<?xml")
    assert chart.write(tmp_path / "a.png").read_bytes().startswith(PNG)
    with pytest.raises(UsageRefusal, match=r"\.svg or \.png"):
        chart.write(tmp_path / "a.gif")


@pytest.mark.parametrize(
    ("units", "mean"), [("kN", "5.98\u00a0kN"), ("kgf", "610\u00a0kgf"), ("lbf", "1\u2009344\u00a0lbf")]
)
def test_means_stand_at_their_traces_in_the_unit_asked_for(units: str, mean: str) -> None:
    # 5980 N ÷ 9.80665 and ÷ 4.4482216 (NIST SP 811, 2008, appendix B)
    chart = trace_chart(trial("14", "two-part", "ring 90", 3), units=units)
    assert f"line, mean {mean}" in words(chart)
    assert units in words(chart)


def test_steady_stretch_names_its_ends_its_reasons_and_its_cut() -> None:
    shown = words(trace_chart(trial("14", "two-part", "ring 90", 3), width_px=1000))
    assert {"197\u00a0s", "311\u00a0s", "steady stretch", "cut", "steady", "frictionless 2"} <= set(shown)
    assert any("the line stood still" in line for line in shown)
    assert any("Peak forces are not measured" in line for line in shown)


def test_frictionless_is_not_drawn_where_the_two_cells_read_something_else() -> None:
    record = trial("14", "two-part", "ring 90", 3)
    other = dataclasses.replace(record, ratio=dataclasses.replace(record.ratio, value=1.82))
    assert "frictionless 2" not in words(trace_chart(other))


def test_every_value_and_frictionless_stand_on_the_comparison() -> None:
    whole = campaign(3)
    shown = words(comparison_chart(whole))
    for value in ("1.957 ± 0.020", "1.830 ± 0.019", "2.343 ± 0.024"):
        assert value in shown
    assert {"frictionless 2", "frictionless 3", "1, no gain"} <= set(shown)
    assert any("3 runs each" in line for line in shown)


def test_names_are_never_read_as_mathematics_or_markup() -> None:
    names = {"ring 90": "ring $x_$ <script>alert(1)</script> & \\frac 漢字 \x07"}
    whole = campaign(2, rename=names)
    chart = comparison_chart(whole, width_px=1000)
    assert "<script" not in chart.inline("a")
    assert any("$x_$" in line for line in words(chart))


def test_refusals_say_what_is_wrong() -> None:
    record = trial("14", "two-part", "ring 90", 3)
    with pytest.raises(UsageRefusal, match="no traces"):
        trace_chart(dataclasses.replace(record, _traces=None))
    with pytest.raises(UsageRefusal, match="300 px or more"):
        trace_chart(record, width_px=120)
    with pytest.raises(UsageRefusal, match="give one of"):
        trace_chart(record, units="stone")
    with pytest.raises(UsageRefusal, match="no configuration"):
        comparison_chart(dataclasses.replace(campaign(1), configurations=()))


def test_a_run_without_stretch_or_second_channel_is_still_drawn() -> None:
    record = trial("14", "two-part", "ring 90", 3)
    traces = record._traces
    assert traces is not None
    alone = Traces({"line": traces.time_s["line"]}, {"line": traces.force_N["line"]})
    assert "line" in " ".join(
        words(trace_chart(dataclasses.replace(record, steady=(), _traces=alone), width_px=330))
    )


def test_a_short_stretch_at_the_end_keeps_its_words_inside() -> None:
    record = dataclasses.replace(
        trial("14", "two-part", "ring 90", 3), steady=(SteadyStretch(304, 311, "A. Tester", "moved by hand"),)
    )
    for width in (328.0, 700.0):
        chart = trace_chart(record, width_px=width)
        assert overlaps(chart) == []
        assert outside(chart) == []


def test_inline_charts_share_no_ids_and_take_the_inks_of_the_page() -> None:
    chart = trace_chart(trial("14", "two-part", "ring 90", 3))
    one, two = (set(re.findall(r'\bid="([^"]+)"', chart.inline(p))) for p in ("a", "b"))
    assert one
    assert not one & two
    text = chart.inline("a")
    assert "var(--ink)" in text
    assert look.PAPER.pencil_wash not in text
    assert set(re.findall(r"url\(#([^)]+)\)", text)) <= one
