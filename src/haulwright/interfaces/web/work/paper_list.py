"""The record of what can be printed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from haulwright.publishing.papers import FORMATS, PAPERS
from haulwright.records import Made, Record


@dataclass(frozen=True)
class Paper:
    """One thing that can be printed.

    Attributes
    ----------
    paper : str
        Its name.
    of : str
        What it is of: a ``pull``, a ``campaign`` or a ``rig``.
    what : str
        What stands on it.
    formats : tuple of str
        ``pdf``, ``svg``, ``png``, ``html``, ``xlsx``, ``zip``.
    sizes : tuple of str
        Papers it is laid out for, by the names the route takes; empty where the printer's paper counts.
    method, route : str
        How it is asked for; ``{name}`` stands for the campaign's name.
    """

    paper: str
    of: str
    what: str
    formats: tuple[str, ...]
    sizes: tuple[str, ...]
    method: str
    route: str


@dataclass(frozen=True, kw_only=True)
class PaperList(Record):
    """Everything that can be printed."""

    kind: ClassVar[str] = "paper-list"
    papers: tuple[Paper, ...]


def paper_list() -> PaperList:
    """Return the record.

    Examples
    --------
    >>> [one.paper for one in paper_list().papers if one.of == "campaign"]
    ['report', 'comparison', 'trace', 'run-sheet', 'workbook', 'open-data']
    """
    drawn, page = ("svg", "png"), ("html",)
    pull, chart = "/api/publish/pull", "/api/publish/campaigns/{name}/chart"
    sheet = "/api/publish/campaigns/{name}/run-sheet"
    report, rig = "/api/campaigns/{name}/report", "/api/rig/draw"
    workbook, bundle = (f"/api/publish/campaigns/{{name}}/{one}" for one in ("workbook", "bundle"))
    return PaperList(
        papers=(
            Paper(
                "card",
                "pull",
                "the chosen rig on one page, for the field",
                FORMATS,
                PAPERS,
                "POST",
                "/api/publish/card",
            ),
            Paper(
                "pocket",
                "pull",
                "every named rig with the kit, reckoned on any phone",
                page,
                (),
                "POST",
                "/api/publish/card",
            ),
            Paper(
                "pull-plan", "pull", "the pull on the ground, where nobody stands", drawn, (), "POST", pull
            ),
            Paper("pull-steps", "pull", "the pull along its travel", drawn, (), "POST", pull),
            Paper("report", "campaign", "the test report", page, (), "GET", report),
            Paper("comparison", "campaign", "advantage by rig and devices", drawn, (), "GET", chart),
            Paper("trace", "campaign", "the trace of one run, by ?run=", drawn, (), "GET", chart),
            Paper(
                "run-sheet", "campaign", "what to pull in which order, to write on", page, (), "GET", sheet
            ),
            Paper(
                "workbook", "campaign", "every reading, results as formulas", ("xlsx",), (), "GET", workbook
            ),
            Paper("open-data", "campaign", "logs, results, data dictionary", ("zip",), (), "GET", bundle),
            Paper(
                "rig-drawing", "rig", "the rig on the ground and its line unrolled", ("svg",), (), "POST", rig
            ),
        ),
        made=Made("as this version prints", {}),
    )
