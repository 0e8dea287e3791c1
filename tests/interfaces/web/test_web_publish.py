"""What is printed over HTTP is what the verbs write; the kit over HTTP is what the command line prints."""

import datetime as dt
import io
from pathlib import Path

import pytest
from pypdf import PdfReader

import haulwright as hw
from haulwright import workflows
from haulwright.interfaces.web.questions.pull import PULL_EXAMPLE
from haulwright.interfaces.web.settings import Settings, named_campaigns

PULL = PULL_EXAMPLE
DAY = "2025-06-02"


@pytest.mark.parametrize(
    ("format_", "media"), [("pdf", "application/pdf"), ("svg", "image/svg+xml"), ("png", "image/png")]
)
@pytest.mark.parametrize("paper", ["a6", "a4", "a6x4"])
def test_the_card_is_the_file_the_verb_writes(ask, tmp_path, format_, media, paper):
    asked = {"pull": PULL, "date": DAY, "paper": paper, "format": format_, "units": "kgf"}
    card = ask("POST", "/api/publish/card", json=asked)
    written = hw.publish_card(
        hw.make_plan(PULL), tmp_path, date=DAY, paper=paper, format=format_, units="kgf"
    ).files[0]
    assert card.headers["content-type"].startswith(media)
    assert card.content == Path(written.path).read_bytes()
    assert f".{format_}" in card.headers["content-disposition"]


def test_the_card_speaks_the_unit_of_the_one_who_asks(ask):
    asked = {"pull": PULL, "date": DAY}
    in_kgf = ask("POST", "/api/publish/card", json=asked, headers={"Haulwright-Units": "kgf"})
    assert in_kgf.content == ask("POST", "/api/publish/card", json={**asked, "units": "kgf"}).content
    assert in_kgf.content != ask("POST", "/api/publish/card", json=asked).content


def test_the_card_has_the_spelling_of_the_one_who_asks(ask):
    said = {}
    for words in ("AU", "US"):
        card = ask(
            "POST", "/api/publish/card", json={"pull": PULL, "date": DAY}, headers={"Haulwright-Words": words}
        )
        said[words] = " ".join(page.extract_text() for page in PdfReader(io.BytesIO(card.content)).pages)
    assert "catalogue" in said["AU"]
    assert "catalogue" not in said["US"]
    assert "catalog" in said["US"]


@pytest.mark.parametrize("sheet", ["pull-plan", "pull-steps"])
@pytest.mark.parametrize("format_", ["svg", "png"])
def test_the_drawings_of_a_pull_are_those_the_verb_writes(ask, tmp_path, sheet, format_):
    found = ask(
        "POST", "/api/publish/pull", json={"pull": PULL, "sheet": sheet, "format": format_, "light": "print"}
    )
    files = workflows.publish_pull(PULL, tmp_path, light="print").files
    written = next(one for one in files if one.path.endswith(f"{sheet}.{format_}"))
    assert found.status_code == 200, found.text
    assert found.content == Path(written.path).read_bytes()
    if format_ == "svg":
        assert "sandbox" in found.headers["content-security-policy"]


def test_charts_and_run_sheet_of_a_campaign(web, campaign, tmp_path):
    served = web(Settings(campaigns=named_campaigns([campaign])))
    at = "/api/publish/campaigns/meadow"
    result = workflows.kept_campaign(campaign)
    comparison = workflows.publish_chart(result, tmp_path / "c").files
    trace = workflows.publish_chart(result, tmp_path / "t", run="two-a1", units="lbf").files
    for files, query in ((comparison, ""), (trace, "&run=two-a1&units=lbf")):
        for ending in ("svg", "png"):
            found = served("GET", f"{at}/chart?format={ending}{query}")
            written = next(one for one in files if one.path.endswith(ending))
            assert found.content == Path(written.path).read_bytes()
    sheet = served("GET", f"{at}/run-sheet")
    written = workflows.publish_run_sheet(campaign, tmp_path / "s").files[0]
    assert sheet.content == Path(written.path).read_bytes()
    assert "sandbox" in sheet.headers["content-security-policy"]
    assert served("GET", f"{at}/chart?run=nope").json()["error"]["code"] == "UNKNOWN_RUN"
    assert served("GET", "/api/publish/campaigns/nowhere/run-sheet").status_code == 404


def test_workbook_and_open_data_of_a_campaign(web, campaign, tmp_path):
    served = web(Settings(campaigns=named_campaigns([campaign])))
    at = "/api/publish/campaigns/meadow"
    book = served("GET", f"{at}/workbook?units=lbf")
    written = workflows.publish_workbook(campaign, tmp_path / "w", units="lbf").files[0]
    assert book.content == Path(written.path).read_bytes()
    assert book.headers["content-type"].startswith(
        "application/vnd.openxmlformats-officedocument.spreadsheetml"
    )
    assert ".xlsx" in book.headers["content-disposition"]
    data = served("GET", f"{at}/bundle?licence=CC0-1.0")
    written = workflows.publish_bundle(campaign, tmp_path / "b", licence="CC0-1.0").files[1]
    assert data.content == Path(written.path).read_bytes()
    assert data.headers["content-type"] == "application/zip"
    assert served("GET", f"{at}/workbook?units=stone").json()["error"]["code"] == "UNITS"
    assert served("GET", "/api/publish/campaigns/nowhere/bundle").status_code == 404


def test_what_can_be_printed_is_told_and_can_be_asked_for(ask):
    papers = ask("GET", "/api/publish").json()
    assert papers["kind"] == "paper-list"
    routes = ask.app.openapi()["paths"]
    for one in papers["papers"]:
        assert one["method"].lower() in routes[one["route"]], one["paper"]
    sizes = next(one["sizes"] for one in papers["papers"] if one["paper"] == "card")
    for paper in sizes:
        assert ask("POST", "/api/publish/card", json={"pull": PULL, "paper": paper}).status_code == 200


def test_what_is_not_offered_is_refused(ask):
    for key, value, code in (("format", "bmp", "VALUE"), ("paper", "b5", "PAPER")):
        said = ask("POST", "/api/publish/card", json={"pull": PULL, key: value})
        assert (said.status_code, said.json()["error"]["code"]) == (422, code)
    said = ask("POST", "/api/publish/card", json={"pull": {**PULL, "kit": "../../secret.yaml"}})
    assert (said.status_code, said.json()["error"]["code"]) == (422, "VALUE")


def test_a_kit_with_its_pulls_is_what_the_verb_says(ask):
    other = {**PULL, "pull": "steeper", "ground": {**PULL["ground"], "slope": "9 deg"}}
    broken = {**PULL, "pull": "broken", "ground": {"surface": "cheese"}}
    asked = {"kit": PULL["kit"], "pull": [PULL, other, broken], "day": DAY}
    found = ask("POST", "/api/kit/check", json=asked).json()
    said = hw.show_kit(PULL["kit"], pull=[PULL, other, broken], day=dt.date(2025, 6, 2)).to_dict()
    assert found == said
    assert [one["rig"] is None for one in found["pulls"]] == [False, False, True]


def test_kinds_are_what_the_verb_says(ask):
    assert ask("GET", "/api/kit/kinds").json() == workflows.list_kit_kinds().to_dict()
