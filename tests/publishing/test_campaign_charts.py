"""Charts of a campaign and of a pull's winch: their marks are the record's numbers, nothing lies on anything else."""

from __future__ import annotations

import dataclasses
from functools import cache
from pathlib import Path

import pytest
from invented_campaign import campaign
from matplotlib.patches import Rectangle
from test_charts import outside, overlaps, words

from haulwright import workflows
from haulwright.errors import UsageRefusal
from haulwright.publishing import charts as c
from haulwright.publishing import look
from haulwright.publishing.chart_files import OF_CAMPAIGN, OF_PULL, OF_RUN, VIDEO

ROOT = Path(__file__).parents[2]
PULL = ROOT / "examples" / "pulls" / "rutted-clearing.yaml"
PNG_HEAD = 24


@cache
def example() -> workflows.CampaignResult:
    return workflows.measure_campaign(ROOT / "examples" / "campaign")


@cache
def winch() -> object:
    return workflows.pocket_card(PULL, day="2026-02-01").winches[0]


@cache
def steps() -> workflows.PullSteps:
    return workflows.step_pull(PULL)


MAKERS = {
    "comparison": lambda **how: c.comparison_chart(example(), **how),
    "winch-share": lambda **how: c.winch_share_chart(example(), **how),
    "efficiency-loss": lambda **how: c.efficiency_loss_chart(example(), **how),
    "friction": lambda **how: c.friction_chart(example(), **how),
    "friction-load": lambda **how: c.friction_load_chart(example(), **how),
    "agreement": lambda **how: c.agreement_chart(example(), **how),
    "prediction": lambda **how: c.prediction_chart(example(), **how),
    "budget": lambda **how: c.budget_chart(example().runs[1], **how),
    "drum-layers": lambda **how: c.drum_layers_chart(winch(), **how),
    "parts": lambda **how: c.parts_chart(steps(), **how),
}


def test_every_chart_there_is_has_a_maker_here() -> None:
    drawn = {*OF_CAMPAIGN, *OF_RUN, *OF_PULL} - {"trace", "pull-plan", "pull-steps"}
    assert drawn == set(MAKERS)


@pytest.mark.parametrize("light", look.LIGHTS)
@pytest.mark.parametrize("how", [{"width_px": 328.0}, {"width_px": 700.0}, {"aspect": VIDEO}], ids=str)
@pytest.mark.parametrize("name", MAKERS)
def test_nothing_lies_on_anything_and_nothing_is_cut(name: str, how: dict[str, float], light: str) -> None:
    chart = MAKERS[name](light=look.LIGHTS[light], **how)
    assert chart.svg() == MAKERS[name](light=look.LIGHTS[light], **how).svg()
    assert overlaps(chart) == []
    assert outside(chart) == []
    if "aspect" in how:
        assert chart.height / chart.width == pytest.approx(VIDEO, abs=0.001)


@pytest.mark.parametrize("name", MAKERS)
def test_every_axis_says_its_unit(name: str) -> None:
    said = " ".join(words(MAKERS[name]()))
    assert any(unit in said for unit in ("%", "kN", " A", " s", "÷", "tension ratio k")), said


def dots(chart: c.Chart) -> list[float]:
    """Where the large dots stand on their axes."""
    lines = [line for axes in chart.figure.axes for line in axes.lines]
    return [
        float(line.get_xdata()[0])
        for line in lines
        if line.get_marker() == "o" and line.get_markersize() == 8
    ]


def rings(chart: c.Chart) -> list[float]:
    lines = [line for axes in chart.figure.axes for line in axes.lines]
    return [float(x) for line in lines if line.get_markersize() == 4.5 for x in line.get_xdata()]


def bars(chart: c.Chart) -> list[float]:
    return [
        patch.get_width()
        for axes in chart.figure.axes
        for patch in axes.patches
        if isinstance(patch, Rectangle)
    ]


def test_winch_share_and_loss_are_the_records_numbers() -> None:
    told = example()
    assert sorted(dots(c.winch_share_chart(told))) == pytest.approx(
        sorted(100.0 * one.winch_share.value for one in told.configurations)
    )
    loss = [100.0 * (1.0 - one.rig_efficiency.value) for one in told.configurations]
    assert sorted(dots(c.efficiency_loss_chart(told))) == pytest.approx(sorted(loss))
    runs = {run.run: 100.0 * run.winch_share.value for run in told.runs}
    assert sorted(rings(c.winch_share_chart(told))) == pytest.approx(
        sorted(runs[run] for one in told.configurations for run in one.runs)
    )


def test_friction_and_predictions_are_the_records_numbers() -> None:
    told = example()
    assert dots(c.friction_chart(told)) == pytest.approx([one.k.value for one in told.devices.values()])
    away = [100.0 * (one.predicted.value / one.measured - 1.0) for one in told.left_out]
    assert dots(c.prediction_chart(told)) == pytest.approx(away)


def test_agreement_shows_each_repeat_away_from_its_mean() -> None:
    told = example()
    runs = {run.run: run.advantage.value for run in told.runs}
    away = [
        100.0 * (runs[run] / one.advantage.value - 1.0)
        for one in told.configurations
        if one.n > 1
        for run in one.runs
    ]
    assert rings(c.agreement_chart(told)) == pytest.approx(away)


def test_bars_begin_at_zero_and_are_as_long_as_their_numbers() -> None:
    run = example().runs[1]
    shares = sorted((100.0 * one.share for one in run.budget), reverse=True)
    assert bars(c.budget_chart(run)) == pytest.approx(shares)
    assert sum(shares) == pytest.approx(100.0)
    assert bars(c.drum_layers_chart(winch())) == pytest.approx([pull / 1000.0 for pull in winch().layers_N])
    for chart in (c.budget_chart(run), c.drum_layers_chart(winch()), c.parts_chart(steps())):
        assert {axes.get_xlim()[0] for axes in chart.figure.axes} == {0.0}


def test_what_stalls_has_no_bar_and_says_so() -> None:
    said = words(c.parts_chart(steps()))
    assert steps().parts[0].current_A is None
    assert said.count("the winch stalls") >= 3


def test_the_winch_keeps_its_stall_beside_its_layers() -> None:
    said = " ".join(words(c.drum_layers_chart(winch(), units="kgf")))
    assert "at stall 4 283" in said.replace("\u2009", " ").replace(
        "\u00a0", " "
    )  # 42 kN / 9.80665, NIST SP 811
    assert "Real winches can exceed their plate" in said.replace("\n", " ")


def test_a_chart_without_its_numbers_is_refused() -> None:
    bare = dataclasses.replace(
        example(), devices={}, left_out=(), configurations=example().configurations[:1]
    )
    for make in (c.friction_chart, c.friction_load_chart, c.prediction_chart, c.agreement_chart):
        with pytest.raises(UsageRefusal) as caught:
            make(bare)
        assert caught.value.code == "CHART"
    with pytest.raises(UsageRefusal):
        c.budget_chart(dataclasses.replace(example().runs[1], budget=()))
    with pytest.raises(UsageRefusal):
        c.drum_layers_chart(dataclasses.replace(winch(), layers_N=(42_000.0,)))


def test_long_and_odd_names_stay_apart() -> None:
    names = {"ring 90": "a ring with a very long name that goes on and on 90", "ring 65": "W" * 60}
    whole = campaign(3, rename=names)
    for make in (c.winch_share_chart, c.efficiency_loss_chart, c.agreement_chart):
        for width in (328.0, 700.0):
            chart = make(whole, width_px=width)
            assert overlaps(chart) == []
            assert outside(chart) == []


def test_files_of_each_size_and_only_what_was_asked_for(tmp_path: Path) -> None:
    files = workflows.publish_charts(example(), tmp_path, charts=("friction", "budget"), size="video").files
    assert {Path(one.path).name for one in files} == {
        f"{name}-video{kind}"
        for name in ("friction", *(f"budget-{run.run}" for run in example().runs))
        for kind in (".svg", ".png")
    }
    head = (tmp_path / "friction-video.png").read_bytes()[:PNG_HEAD]  # PNG (ISO/IEC 15948): width and height
    assert (int.from_bytes(head[16:20], "big"), int.from_bytes(head[20:24], "big")) == (1920, 1080)
    for wrong in (
        {"charts": ("moon",)},
        {"size": "wall"},
        {"light": "dusk"},
        {"charts": ("trace",), "size": "video"},
    ):
        with pytest.raises(UsageRefusal):
            workflows.publish_charts(example(), tmp_path / "no", **wrong)
