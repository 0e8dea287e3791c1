"""The work behind the routes that print: cards, drawings, charts, reports, run sheets; and what there is to print."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from haulwright import workflows
from haulwright.interfaces.web.answers import Answer
from haulwright.interfaces.web.work.written import HTML, XLSX, ZIP, file_of, media_of, pull_of, results
from haulwright.progress import Progress, Step, silent, within
from haulwright.quantities.units import spoken_unit

CARD_FORMATS, DRAWING_FORMATS = ("pdf", "svg", "png", "html"), ("svg", "png")


def publish_card(
    pull: Mapping[str, Any],
    friction: Any = None,
    rig: str | None = None,
    *,
    progress: Progress = silent,
    **choices: Any,
) -> Answer:
    """Return the field card of a pull's chosen rig, or the pocket card of its kit and winches."""
    media = media_of(choices.get("format", "pdf"), CARD_FORMATS)
    if media == HTML:
        pocket = workflows.pocket_card(pull_of(pull), friction=friction, day=choices.get("date"))
        with results() as out:
            units = choices.get("units", spoken_unit())
            return file_of(workflows.publish_pocket_card(pocket, out, units=units), media)
    planning = within(progress, 0.0, 0.7)
    plan = workflows.make_plan(pull_of(pull), friction=friction, rig=rig, progress=planning)
    progress(Step("drawing the card", 0.7))
    choices.setdefault("units", spoken_unit())
    with results() as out:
        return file_of(workflows.publish_card(plan, out, **choices), media)


def publish_pull(
    pull: Mapping[str, Any],
    sheet: str = "pull-plan",
    format: str = "svg",
    **choices: Any,
) -> Answer:
    """Return the sheet of a planned pull, or the chart of it along its travel."""
    media = media_of(format, DRAWING_FORMATS)
    choices.setdefault("units", spoken_unit())
    with results() as out:
        return file_of(workflows.publish_pull(pull_of(pull), out, charts=(sheet,), **choices), media, sheet)


def publish_chart(
    campaign: str,
    run: str | None = None,
    format: str = "svg",
    units: str | None = None,
    *,
    progress: Progress = silent,
) -> Answer:
    """Return the trace of a run, or the comparison of a campaign's configurations."""
    media = media_of(format, DRAWING_FORMATS)
    found = workflows.kept_campaign(campaign, progress=within(progress, 0.0, 0.9))
    with results() as out:
        return file_of(workflows.publish_chart(found, out, run=run, units=units or spoken_unit()), media)


def publish_run_sheet(campaign: str) -> Answer:
    """Return the run sheet of a campaign as a page."""
    with results() as out:
        return file_of(workflows.publish_run_sheet(campaign, out), HTML)


def publish_workbook(campaign: str, units: str | None = None, *, progress: Progress = silent) -> Answer:
    """Return the workbook of a campaign."""
    with results() as out:
        files = workflows.publish_workbook(campaign, out, units=units or spoken_unit(), progress=progress)
        return file_of(files, XLSX)


def publish_bundle(campaign: str, licence: str | None = None, *, progress: Progress = silent) -> Answer:
    """Return the open data of a campaign as one file."""
    with results() as out:
        return file_of(workflows.publish_bundle(campaign, out, licence=licence, progress=progress), ZIP)


PUBLISHING: dict[str, Callable[..., Answer]] = {
    one.__name__: one
    for one in (
        publish_card,
        publish_pull,
        publish_chart,
        publish_run_sheet,
        publish_workbook,
        publish_bundle,
    )
}
