"""The product's own: the demo and the check against published values."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from haulwright.kept.examples import examples
from haulwright.progress import Progress
from haulwright.publishing.chart_files import OF_CAMPAIGN
from haulwright.publishing.output import Files, output_folder
from haulwright.records import Made
from haulwright.workflows.campaigns import measure_campaign, write_results
from haulwright.workflows.papers import publish_card, publish_charts, publish_report
from haulwright.workflows.plans import make_plan, write_plan

if TYPE_CHECKING:
    from haulwright.checking import PublishedCheck
    from haulwright.planning.result import Plan
    from haulwright.trials.result import CampaignResult

DEMO_PULL = "rutted-clearing.yaml"


@dataclass(frozen=True, kw_only=True)
class Demo(Files):
    """Files of the demo, with the records they were written from."""

    _campaign: CampaignResult | None = None
    _plan: Plan | None = None


def published_check() -> PublishedCheck:
    """Return every published value in the package beside what this copy computes."""
    from haulwright.checking import published_check as check

    return check()


def demo(out: str | Path, *, units: str = "kN", progress: Progress = lambda words: None) -> Demo:
    """Run the main job on the shipped, invented example.

    Parameters
    ----------
    out : path
        Folder for everything that is written; the example itself is only read.
    units : str
    progress : callable
        Told what is being done.

    Returns
    -------
    Demo
    """
    with output_folder(out) as folder:
        pass  # refused before the work, not after it
    progress("measuring the campaign")
    source = examples() / "campaign"
    campaign = measure_campaign(source, progress=progress)
    written = [*write_results(source, campaign, folder).files]
    progress("planning the pull with the friction just measured")
    plan = make_plan(examples() / "pulls" / DEMO_PULL, friction=folder / "devices.toml")
    written += write_plan(plan, folder).files
    progress("drawing the charts")
    written += publish_charts(campaign, folder, units=units, charts=(*OF_CAMPAIGN, "trace")).files
    progress("writing the report and the card")
    written += publish_report(campaign, folder, units=units).files
    written += publish_card(plan, folder, units=units).files
    return Demo(
        files=tuple(written),
        _campaign=campaign,
        _plan=plan,
        made=Made("the shipped example, measured and planned", {}),
    )
