"""Papers in Australian, British and American spelling: the words that differ are common practice, no source."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest
from pypdf import PdfReader

from haulwright import workflows
from haulwright.errors import UsageRefusal
from haulwright.publishing.spelling import _US, checked, spelled, spelled_all, spelled_page, spelling

ROOT = Path(__file__).parents[2]
PULLS = sorted((ROOT / "examples" / "pulls").glob("*.yaml"))
RIGS = sorted((ROOT / "examples" / "rigs").glob("*.yaml"))
DIFFERENT = re.compile(rf"\b({'|'.join(_US)})\b", re.IGNORECASE)


def test_the_pages_and_the_papers_spell_alike() -> None:
    """The table of the pages (TypeScript) and that of the papers (Python) are one table."""
    text = (ROOT / "frontend" / "src" / "words" / "variants.ts").read_text(encoding="utf-8")
    table = text.partition("const SPELLED")[2].partition("\n];")[0]
    of_pages = dict(re.findall(r"\['(\w+)', '([\w ]+)'\]", table))
    prefixes = re.search(r"\['', ('\w+'(?:, '\w+')*)\]", table)
    assert prefixes is not None
    for of in ("", *re.findall(r"\w+", prefixes[1])):
        of_pages |= {f"{of}metre": f"{of}meter", f"{of}metres": f"{of}meters"}
    assert of_pages == _US


@pytest.mark.parametrize("region", ["AU", "UK"])
def test_only_american_is_respelled(region: str) -> None:
    with spelling(region):
        assert spelled("Metres of fibre.") == "Metres of fibre."


def test_capitals_quotes_and_notation_stay() -> None:
    with spelling("US"):
        assert spelled("Tyre, tyre, TYRES; a tonne") == "Tire, tire, TIRES; a metric ton"
        assert spelled("the anchor 'grey tyre', “tyre” or !tyre.drum > tyre > tyre") == (
            "the anchor 'grey tyre', “tyre” or !tyre.drum > tyre > tyre"
        )
        assert spelled("tyre.yaml and logs/tyre") == "tyre.yaml and logs/tyre"
        assert spelled_all({"tyre": ["a tyre", 3, None]}) == {"tyre": ["a tire", 3, None]}
        page = '<style>a{content:"tyre";}</style><p title="tyre">fibre</p><script>tyre</script>'
        assert spelled_page(page) == page.replace("fibre", "fiber")


def test_another_region_is_refused() -> None:
    with pytest.raises(UsageRefusal) as caught:
        checked("DE")
    assert caught.value.code == "WORDS"
    assert "AU, UK, US" in caught.value.message


def _text(pdf: Path) -> str:
    return " ".join(page.extract_text() for page in PdfReader(pdf).pages)


def test_a_card_is_spelled_as_asked(tmp_path: Path) -> None:
    plan = workflows.make_plan(ROOT / "examples" / "pulls" / "round-the-oak.yaml")
    said = {}
    for region in ("AU", "US"):
        with spelling(region):
            (file,) = workflows.publish_card(plan, tmp_path / region, date="2026-02-01").files
        said[region] = _text(tmp_path / region / Path(file.path).name)
    assert "catalogue" in said["AU"]
    assert "catalog)" in said["US"]
    assert not DIFFERENT.search(said["US"])
    assert re.findall(r"\d+", said["AU"]) == re.findall(r"\d+", said["US"])


def test_a_report_is_spelled_as_asked(tmp_path: Path) -> None:
    folder = tmp_path / "campaign"
    shutil.copytree(ROOT / "examples" / "campaign", folder, ignore=shutil.ignore_patterns("results"))
    about = folder / "campaign.yaml"
    about.write_text(
        about.read_text(encoding="utf-8").replace("new, greased", "new, aluminium, no 'tyre' marks"), "utf-8"
    )
    result = workflows.measure_campaign(folder)
    with spelling("US"):
        workflows.publish_report(result, tmp_path / "us")
    page = (tmp_path / "us" / "report.html").read_text(encoding="utf-8")
    assert "aluminum" in page
    assert "aluminium" not in page


@pytest.mark.parametrize("pull", PULLS, ids=lambda path: path.stem)
def test_the_drawings_of_a_pull_have_no_word_that_is_spelled_in_two_ways(pull: Path, tmp_path: Path) -> None:
    workflows.publish_pull(workflows.plan_rig(pull), tmp_path)
    for svg in tmp_path.glob("*.svg"):
        shown = " ".join(re.findall(r">([^<>]+)</", svg.read_text(encoding="utf-8").partition("</style>")[2]))
        assert shown
        assert not DIFFERENT.findall(shown), svg.name
