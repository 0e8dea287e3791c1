"""Charts to files: which charts there are of a campaign and of a pull, under which name each is written."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Final

from haulwright.errors import UsageRefusal
from haulwright.publishing import look
from haulwright.publishing.output import Written
from haulwright.publishing.writing import file_name
from haulwright.trials.result import CampaignResult, TrialResult

if TYPE_CHECKING:
    from haulwright.planning.pull_result import PullSteps
    from haulwright.publishing.charts import Chart
    from haulwright.publishing.diagram.pull_words import DrawnPull
    from haulwright.publishing.pocket.record import PocketWinch

OF_CAMPAIGN: Final[Mapping[str, str]] = {
    "comparison": "advantage by rig and devices, frictionless line",
    "winch-share": "what the winch feels of the load, by rig and devices",
    "efficiency-loss": "what friction takes of the frictionless advantage",
    "friction": "tension ratio of each device",
    "friction-load": "tension ratio against the load it was tested at",
    "agreement": "how far repeats lie from their mean",
    "prediction": "each configuration as predicted from the others",
}
OF_RUN: Final[Mapping[str, str]] = {
    "trace": "trace, steady stretch marked",
    "budget": "budget of uncertainty",
}
OF_PULL: Final[Mapping[str, str]] = {
    "pull-plan": "the pull on the ground, where nobody stands, the line unrolled",
    "pull-steps": "the pull along its travel: needed against there, side pull, current, stop points",
    "drum-layers": "line pull on each layer of the drum, and at stall",
    "parts": "line pull, current, time and charge with one, two and three parts",
}
SIZES: Final[Mapping[str, float]] = {"laptop": 700.0, "phone": 360.0, "video": 700.0}
VIDEO: Final = 9.0 / 16.0
_STILL: Final = (
    "trace",
    "pull-plan",
    "pull-steps",
)  # laid out by their own height: not for a picture of 16:9


def wanted(charts: Sequence[str] | None, there: Mapping[str, str], size: str) -> tuple[str, ...]:
    """Return the charts to write: those named, else all there are that come in the size.

    Raises
    ------
    UsageRefusal
        CHART for a name that is none of these; SIZE.
    """
    if size not in SIZES:
        raise UsageRefusal("SIZE", f"size = {size!r}: give {', '.join(SIZES)}.", ("size",))
    for name in charts or ():
        if name not in there:
            raise UsageRefusal("CHART", f"chart = {name!r}: there is {', '.join(there)}.", ("chart",))
        if size == "video" and name in _STILL:
            raise UsageRefusal("SIZE", f"{name} has no picture of 16:9: give laptop or phone.", ("size",))
    return tuple(charts or (name for name in there if size != "video" or name not in _STILL))


def check_light(light: str) -> look.Light:
    """Return the inks of a light, or refuse its name."""
    if light not in look.LIGHTS:
        raise UsageRefusal("LIGHT", f"light = {light!r}: give {', '.join(look.LIGHTS)}.", ("light",))
    return look.LIGHTS[light]


def write_campaign_charts(
    campaign: CampaignResult,
    folder: Path,
    *,
    units: str = "kN",
    charts: Sequence[str] | None = None,
    light: str = "paper",
    size: str = "laptop",
) -> list[Written]:
    """Write charts of a campaign and of each of its runs, as SVG and PNG.

    Charts named are refused where the campaign has nothing for them; without names, those it has nothing for are left
    out.
    """
    names = wanted(charts, {**OF_CAMPAIGN, **OF_RUN}, size)
    inks, written = check_light(light), []
    for name in names:
        if name in OF_CAMPAIGN:
            made = _made(partial(_of_campaign, name, campaign, units, inks, size), charts is not None)
            if made is not None:
                written += _files(made, folder, name, size, OF_CAMPAIGN[name])
            continue
        for run in campaign.runs:
            made = _made(partial(_of_run, name, run, units, inks, size), False)
            if made is not None:
                what = f"{OF_RUN[name]}: {run.run}"
                written += _files(made, folder, f"{name}-{file_name(run.run)}", size, what)
    return written


def write_run_chart(run: TrialResult, folder: Path, units: str) -> list[Written]:
    """Write the trace of one run with its steady stretch."""
    made = _of_run("trace", run, units, look.PAPER, "laptop")
    return _files(made, folder, f"trace-{file_name(run.run)}", "laptop", f"{OF_RUN['trace']}: {run.run}")


def write_pull_charts(
    pull: DrawnPull,
    steps: PullSteps,
    winch: PocketWinch,
    folder: Path,
    *,
    units: str = "kN",
    charts: Sequence[str] | None = None,
    light: str = "paper",
    size: str = "laptop",
) -> list[Written]:
    """Write charts of a planned pull, as SVG and PNG; see :func:`write_campaign_charts`."""
    names = wanted(charts, OF_PULL, size)
    inks, written = check_light(light), []
    for name in names:
        if name == "pull-plan":
            written += _plan_files(pull, folder, units, light, size)
            continue
        made = _made(partial(_of_pull, name, pull, steps, winch, units, inks, size), charts is not None)
        if made is not None:
            written += _files(made, folder, name, size, OF_PULL[name])
    return written


def _made(make: Callable[[], Chart], asked: bool) -> Chart | None:
    """Return a chart; None where there is nothing for it and nobody asked for it by name."""
    try:
        return make()
    except UsageRefusal as refusal:
        if asked or refusal.code not in ("CHART", "NO_TRACES"):
            raise
        return None


def _of_campaign(name: str, campaign: CampaignResult, units: str, inks: look.Light, size: str) -> Chart:
    from haulwright.publishing import charts as c

    aspect = VIDEO if size == "video" else None
    with_units = {"friction": c.friction_chart, "friction-load": c.friction_load_chart}
    if name in with_units:
        return with_units[name](campaign, units=units, width_px=SIZES[size], light=inks, aspect=aspect)
    makers = {
        "comparison": c.comparison_chart,
        "winch-share": c.winch_share_chart,
        "efficiency-loss": c.efficiency_loss_chart,
        "agreement": c.agreement_chart,
        "prediction": c.prediction_chart,
    }
    return makers[name](campaign, width_px=SIZES[size], light=inks, aspect=aspect)


def _of_run(name: str, run: TrialResult, units: str, inks: look.Light, size: str) -> Chart:
    from haulwright.publishing import charts as c

    if name == "budget":
        return c.budget_chart(
            run, width_px=SIZES[size], light=inks, aspect=VIDEO if size == "video" else None
        )
    if run.grade != "logged":
        raise UsageRefusal(
            "CHART", f"{run.run}: its forces were typed from the displays, so it has no trace."
        )
    return c.trace_chart(run, units=units, width_px=SIZES[size], light=inks)


def _of_pull(
    name: str, pull: DrawnPull, steps: PullSteps, winch: PocketWinch, units: str, inks: look.Light, size: str
) -> Chart:
    from haulwright.publishing import charts as c
    from haulwright.publishing.diagram.sizes import find_size

    if name == "pull-steps":
        return c.pull_steps_chart(
            steps, rig=pull.candidate.title, units=units, width_px=find_size(size).width, light=inks
        )
    aspect = VIDEO if size == "video" else None
    if name == "parts":
        return c.parts_chart(steps, units=units, width_px=SIZES[size], light=inks, aspect=aspect)
    return c.drum_layers_chart(winch, units=units, width_px=SIZES[size], light=inks, aspect=aspect)


def _plan_files(pull: DrawnPull, folder: Path, units: str, light: str, size: str) -> list[Written]:
    from haulwright.publishing.diagram import pull_svg
    from haulwright.publishing.raster import drawing_png

    drawing = pull_svg(pull, title=pull.candidate.title, units=units, light=light, size=size)
    sheet, picture = (folder / f"pull-plan{_ending(size)}{kind}" for kind in (".svg", ".png"))
    sheet.write_text(look.with_faces(drawing), encoding="utf-8")
    picture.write_bytes(drawing_png(drawing))
    return [(sheet, OF_PULL["pull-plan"]), (picture, OF_PULL["pull-plan"])]


def _ending(size: str) -> str:
    return "" if size == "laptop" else f"-{size}"


def _files(chart: Chart, folder: Path, name: str, size: str, what: str) -> list[Written]:
    stem = f"{name}{_ending(size)}"
    if size == "video":  # 1920 dots across, whatever it was laid out for
        picture = folder / f"{stem}.png"
        picture.write_bytes(chart.png(1920.0 / chart.width))
        return [(chart.write(folder / f"{stem}.svg"), what), (picture, what)]
    return [(chart.write(folder / f"{stem}{kind}"), what) for kind in (".svg", ".png")]
