"""The run sheet as a page: every run in its order, what is done is ticked, nothing in a name can run."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from haulwright import workflows
from haulwright.errors import FileRefusal
from haulwright.files.campaign import read_campaign
from haulwright.publishing.run_sheet_page import SheetRow, run_sheet_html

CAMPAIGN = Path(__file__).resolve().parents[2] / "examples" / "campaign"


def rows_of(page: str) -> list[str]:
    return re.findall(r'<th scope="row">(.*?)</th>', page)


def test_every_run_stands_in_the_order_of_the_sheet(tmp_path: Path) -> None:
    written = workflows.publish_run_sheet(CAMPAIGN, tmp_path).files[0]
    page = Path(written.path).read_text(encoding="utf-8")
    assert rows_of(page) == [entry.run for entry in read_campaign(CAMPAIGN).runs]
    assert page.count("✓ logged") == len(rows_of(page))
    assert "invented" in page.lower()
    assert not re.search(r'(?:src|href)="?(?:https?:)?//', page)


def test_only_what_has_its_logs_is_ticked() -> None:
    rows = [SheetRow("a", "two-part", ("puck-A",), True), SheetRow("b", "series", (), False, "in the rain")]
    page = run_sheet_html("Day 1", rows)
    assert page.count("✓ logged") == 1
    assert "2 runs, 1 with logs already" in page
    assert "in the rain" in page


def test_markup_in_a_name_is_text() -> None:
    page = run_sheet_html(
        "<b>x</b>", [SheetRow("<script>alert(1)</script>", "two-part", (), False, "<img src=x>")]
    )
    assert "<script" not in page
    assert "&lt;script&gt;" in page
    assert "<img" not in page


def test_the_cautions_stand_on_it() -> None:
    page = run_sheet_html("Day 1", [SheetRow("a", "two-part", (), False)])
    for words in ("Stop at any movement of an anchor", "licensed people", "light-tension check"):
        assert words in page


def test_a_sheet_without_runs_is_refused() -> None:
    with pytest.raises(FileRefusal, match="no run"):
        run_sheet_html("Day 1", [])
