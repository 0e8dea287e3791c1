"""The report of a campaign: complete, cautious, self-contained, the same bytes every time."""

from __future__ import annotations

import dataclasses
import re
from html.parser import HTMLParser
from pathlib import Path

import pytest
from invented_campaign import campaign

from haulwright.errors import Refusal
from haulwright.notices import Level
from haulwright.publishing.report import report_html
from haulwright.publishing.report_cells import series_lines
from haulwright.publishing.wording import percent, plus_minus
from haulwright.trials.result import CampaignResult

HOSTILE = "<script>alert(1)</script> \"'&{{ 7*7 }}"


@pytest.fixture(scope="module")
def record() -> CampaignResult:
    return campaign(1)


@pytest.fixture(scope="module")
def page(record: CampaignResult) -> str:
    return report_html(record)


def small(pulls: int = 1, **names: dict[str, str]) -> CampaignResult:
    """Return the campaign with its first runs only: each run costs two charts."""
    whole = campaign(pulls, **names)
    return dataclasses.replace(whole, runs=whole.runs[:2])


class Reader(HTMLParser):
    """Collects the text and every address a page would fetch."""

    def __init__(self) -> None:
        super().__init__()
        self.text: list[str] = []
        self.addresses: list[str] = []
        self.tags: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.addresses += [
            v or "" for k, v in attrs if k in ("src", "href", "xlink:href", "action", "data", "srcset")
        ]

    def handle_data(self, data: str) -> None:
        self.text.append(data.replace("\u00a0±\u00a0", " ± "))


def read(page: str) -> Reader:
    reader = Reader()
    reader.feed(page)
    return reader


def test_same_record_same_bytes(record: CampaignResult, page: str) -> None:
    assert report_html(record) == page


def test_nothing_is_fetched(page: str) -> None:
    reader = read(page)
    assert [a for a in reader.addresses if not a.startswith("#")] == []
    assert re.findall(r"url\((?!#|data:)", page) == []
    assert "@import" not in page
    assert "http" not in page
    assert not {"script", "link", "iframe", "img", "object"} & set(reader.tags)


def test_every_configuration_and_device_is_there_with_its_uncertainty(
    record: CampaignResult, page: str
) -> None:
    text = " ".join(read(page).text)
    for c in record.configurations:
        assert plus_minus(c.advantage) in text
        assert " ± " in plus_minus(c.advantage)
        assert plus_minus(c.winch_share, scale=100.0) in text
    for name, f in record.devices.items():
        assert name in text
        assert plus_minus(f.k) in text
        assert plus_minus(f.efficiency) in text
    for run in record.runs:
        assert f"Run {run.run}: {run.rig}" in text
        assert percent(run.winch_share) in text


def test_every_caution_stands_before_the_first_table(record: CampaignResult, page: str) -> None:
    first_table = page.index("<table")
    cautions = [n for n in (*record.notices, *record.runs[0].notices) if n.level == Level.CAUTION.value]
    assert len(cautions) >= 3
    body = page.replace("&#39;", "'")
    for notice in cautions:
        assert 0 < body.index(notice.message) < body.index("<table")
    assert first_table > 0


def test_what_is_not_said_is_printed_as_not_stated() -> None:
    bare = dataclasses.replace(small(1), about={}, excluded=(), made=None, cells={}, comparisons=())
    text = " ".join(read(report_html(bare)).text)
    for word in (
        "Tested by",
        "Tested for",
        "Where",
        "When",
        "Issued",
        "Answers for it",
        "Method",
        "Interests",
    ):
        assert word in text
    assert text.count("not stated") >= 8
    assert "Not stated." in text
    assert "No run was left out." in text


def test_contents_of_a_test_report(page: str) -> None:
    # ISO/IEC 17025:2017, 7.8.2.1: title, laboratory, customer, method, unique name and clear end, results with units,
    # deviations, who authorised; l) "results relate only to the items tested"
    text = " ".join(read(page).text)
    for piece in (
        "Pull test of four devices in two rigs",
        "Example test lane (invented)",
        "own use",
        "moving pull, two cells",
        "Draft report 2026-11 gravel lane",
        "End of draft report 2026-11 gravel lane",
        "line crossed on the drum",
        "A. Tester (invented)",
        "The results relate only to the items tested",
        "Strength of anything.",
        "haulwright publish report examples/campaign --out DIR",
        "Invented",
        "Series check S1",
    ):
        assert piece in text


def test_a_series_check_is_known_by_its_path_not_by_its_name() -> None:
    whole = campaign()
    runs = tuple(
        dataclasses.replace(run, rig="both cells in line") if run.rig == "series" else run
        for run in whole.runs
    )
    assert series_lines(dataclasses.replace(whole, runs=runs))[0].startswith("Series check S1")
    assert "No series check" in series_lines(dataclasses.replace(whole, runs=runs[1:]))[0]


def test_comparisons_are_told_in_words(page: str) -> None:
    text = " ".join(read(page).text)
    assert "gives 3.9 ± 1.2\u00a0% more than" in text
    assert "About 16 more runs of each would tell." in text
    assert "small_but_real" not in text


def test_hostile_words_stay_words() -> None:
    base = small(1, rename={"ring 90": HOSTILE})
    about = dict.fromkeys(("title", "site", "customer", "laboratory", "not_tested", HOSTILE), HOSTILE)
    page = report_html(
        dataclasses.replace(base, name=HOSTILE, about=about, excluded=({"run": HOSTILE, "why": HOSTILE},))
    )
    assert "<script" not in page
    assert "{{ 7*7 }}" in page
    assert "script" not in read(page).tags


def test_units_are_the_callers() -> None:
    text = " ".join(read(report_html(small(1), units="lbf")).text)
    assert "lbf" in text
    assert "\u00a0kN" not in text


def test_ids_are_unique(page: str) -> None:
    ids = re.findall(r'\bid="([^"]+)"', page)
    assert len(ids) == len(set(ids))


def test_folder_outside_is_not_spelled_out(record: CampaignResult) -> None:
    assert record.made is not None
    away = dataclasses.replace(record.made, inputs={"folder": "/srv/someone/tests/lane one"})
    page = report_html(dataclasses.replace(record, made=away, runs=()))
    assert "/srv/someone" not in page
    assert "lane one" in page


@pytest.mark.browser
@pytest.mark.parametrize(
    ("width", "shown", "hidden"), [(360, "narrow", "wide"), (768, "wide", "narrow"), (1280, "wide", "narrow")]
)
def test_page_fits_phone_and_laptop(chromium, tmp_path: Path, width: int, shown: str, hidden: str) -> None:  # type: ignore[no-untyped-def]
    file = tmp_path / "report.html"
    file.write_text(report_html(small(1, rename={"ring 90": "W" * 70})), encoding="utf-8")
    sheet = chromium.new_page(viewport={"width": width, "height": 800})
    asked: list[str] = []
    sheet.on("request", lambda request: asked.append(request.url))
    sheet.goto(file.as_uri())
    assert sheet.evaluate("document.documentElement.scrollWidth") <= width
    assert sheet.evaluate(f"getComputedStyle(document.querySelector('svg.{shown}')).display") == "block"
    assert sheet.evaluate(f"getComputedStyle(document.querySelector('svg.{hidden}')).display") == "none"
    faces = sheet.evaluate(
        "document.fonts.ready.then(() => [...document.fonts].filter(f => f.status === 'loaded').length)"
    )
    assert faces >= 3
    assert [url for url in asked if not url.startswith(("file:", "data:"))] == []
    sheet.close()


def test_a_final_report_says_all_it_must_or_is_refused() -> None:
    """ISO/IEC 17025:2017, 7.8.2.1: what a report shall include."""
    said = {
        "title": "A block against a ring", "number": "7", "issued": "2025-06-09", "customer": "c", "laboratory": "l",
        "site": "s", "date": "2025-06-02", "authorised_by": "a", "method": "m", "interests": "none", "not_tested": "wear",
    }  # fmt: skip
    whole = dataclasses.replace(campaign(1), about=said)
    page = report_html(whole, final=True)
    assert "Draft" not in page
    assert "End of report 7." in page
    for key in said:
        bare = dataclasses.replace(whole, about={**said, key: ""})
        with pytest.raises(Refusal) as caught:
            report_html(bare, final=True)
        assert (caught.value.code, caught.value.where) == ("NOT_FINAL", (key,))
        draft = report_html(bare)
        assert f"Draft. Not stated yet: {key.replace('_', ' ')}." in draft
        assert "End of draft report" in draft
