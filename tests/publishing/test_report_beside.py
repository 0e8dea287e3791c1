"""What stands beside the forces in a report: cells, further cells, conditions and heat, changes, predictions, grades."""

from __future__ import annotations

import dataclasses
import re
from html.parser import HTMLParser
from pathlib import Path

import pytest
from invented_campaign import beside, campaign, day_check

from haulwright.notices import Code
from haulwright.publishing.report import report_html
from haulwright.publishing.report_cells import cells_table, checks_table, gain_lines, series_lines
from haulwright.publishing.report_day import conditions_table, heat_table, load_lines, noted_lines, too_warm
from haulwright.publishing.tables import LONG, Table
from haulwright.trials.result import BlockHeat, CampaignResult

HEADINGS = ("How well it predicts", "Load cells", "Over the day", "Checked on the same day", "Further cells")


@pytest.fixture(scope="module")
def record() -> CampaignResult:
    return beside()


@pytest.fixture(scope="module")
def page(record: CampaignResult) -> str:
    return report_html(without_traces(record), check=day_check())


def without_traces(record: CampaignResult) -> CampaignResult:
    """Return the record without traces: each run costs two charts."""
    return dataclasses.replace(
        record, runs=tuple(dataclasses.replace(run, _traces=None) for run in record.runs)
    )


class _Words(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.found: list[str] = []
        self.skip = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.skip = tag in ("style", "svg") or self.skip

    def handle_endtag(self, tag: str) -> None:
        self.skip = self.skip and tag not in ("style", "svg")

    def handle_data(self, data: str) -> None:
        if not self.skip:
            self.found.append(data)


def words_of(page: str) -> str:
    reader = _Words()
    reader.feed(page)
    return " ".join(" ".join(reader.found).replace("\u00a0", " ").split())


def column(table: Table, head: str) -> list[str]:
    return [row[table.head.index(head)].replace("\u00a0", " ") for row in table.rows]


def test_sections_stand_only_where_there_are_data(page: str) -> None:
    bare = dataclasses.replace(without_traces(campaign(1)), cells={}, left_out=())
    without = words_of(report_html(dataclasses.replace(bare, runs=bare.runs[1:3])))
    for heading in HEADINGS:
        assert heading in words_of(page)
    for heading in HEADINGS:
        assert (heading in without) == (heading == "Load cells")  # says that no check was run
    assert "how the two cells agree is not known" in without


def test_cells_with_certificate_gain_and_where_it_is_from(record: CampaignResult) -> None:
    cells = cells_table(record, "kN")
    assert column(cells, "Cell") == ["3 t cell", "5 t cell", "1 t cell"]
    stated = column(cells, "Class or certificate, as stated")
    assert stated[1] == "class 0.5 % of reading, certificate invented-18, due 2026-10-31"
    gains = column(cells, "Gain against the line cell")
    assert gains == ["1 (reference)", "1.0020 ± 0.0029", "not known better than its class"]
    checks = checks_table(record, "kN")
    assert column(checks, "Check") == ["Series", "Swap", "Series"]
    assert column(checks, "Runs") == ["S1", "4, 5", "S2"]
    assert column(checks, "Ratio at one force") == ["1.0042 ± 0.0022", "1.0035 ± 0.0039", "1.0920 ± 0.0039"]
    assert column(checks, "Line force")[0] == "2.00 to 11.00 kN"
    assert column(checks, "Bent by") == ["0.05 %", "–", "–"]
    assert column(checks, "Used") == ["yes", "yes", "no"]
    (line,) = gain_lines(record)
    assert "16 runs, 1 to 16: anchor cell ÷ line cell 1.0042 ± 0.0022" in line
    assert series_lines(record) == []  # said in the table


def test_no_gain_taken_off_is_said(record: CampaignResult) -> None:
    runs = tuple(dataclasses.replace(run, gain=None) for run in record.runs)
    (line,) = gain_lines(dataclasses.replace(record, runs=runs))
    assert line.startswith("No gain was taken off")


def test_a_notice_of_a_cell_stands_with_the_cells_and_once(page: str) -> None:
    said = words_of(page)
    late = "The calibration of 5 t cell ran out on 2026-10-31"
    assert said.count(late) == 1
    assert said.index("Load cells") < said.index(late) < said.index("Over the day")


def test_further_cell_gives_its_efficiency(page: str) -> None:
    said = words_of(page)
    assert "5 standing part 1 t cell 0.833 ± 0.016 1 1.201 ± 0.024 0.833 ± 0.016" in said  # e = 1 / k
    assert "Standing part ÷ line, as read: 0.833 ± 0.016 (frictionless 1), k 1.201 ± 0.024" in said


def test_what_is_the_same_in_every_run_is_said_once(record: CampaignResult) -> None:
    table = conditions_table(record, "kN")
    assert table.same.replace("\u00a0", " ") == "travel 6.0 m; line speed 3.0 m/min"
    assert "Travel" not in table.head
    assert len(table.rows) == 16
    assert column(table, "Rope")[:2] == ["wet, 11 pulls", "dry, 12 pulls"]
    assert column(table, "Drum layer")[:3] == ["2", "3", "1"]
    assert column(table, "Other")[2] == "gust strong"
    assert all("±" in one and one.endswith("kN") for one in column(table, "Line pull"))


def test_heat_stands_beside_the_surface(record: CampaignResult) -> None:
    table = heat_table(record)
    assert column(table, "Heat of the pull")[0] == "5.6 ± 1.3 kJ"  # 5640 J, u 12 %
    assert column(table, "Surface")[0] == "14 to 21 °C"
    assert column(table, "Warmed by")[0] == "7 K"
    assert column(table, "At most, from the heat")[0] == "22.0 ± 5.2 K"
    assert "Heat of 1 m" not in table.head
    assert not any(run == "8" for run in column(table, "Run"))  # typed: no heat


def test_a_surface_warmer_than_its_heat_is_told_once_for_all_runs(record: CampaignResult) -> None:
    assert too_warm(record) == ""
    told = Code.ADVICE.notice(
        ("3", "X1"), text="warmed by 30 K, but all the heat of its friction could warm it by 24 K"
    )
    runs = [dataclasses.replace(run, notices=(told,)) if run.run == "3" else run for run in record.runs]
    assert "run 3." in too_warm(dataclasses.replace(record, runs=tuple(runs)))


def test_heat_that_may_be_none_does_not_go_below_none(record: CampaignResult) -> None:
    little = BlockHeat("ring 90", 10.0, 60.0, u_share=0.8)
    run = dataclasses.replace(record.runs[1], heat={"X": little})
    table = heat_table(dataclasses.replace(record, runs=(run,)))
    (shown,) = column(table, "Heat of the pull")
    low = re.search(r"\(([-−\d.]+) to", shown)
    assert low
    assert float(low[1]) == 0.0
    assert set(table.head) == {"Run", "Device, block", "Heat of the pull"}


def test_changes_over_the_day_are_said_as_the_record_says_them(page: str) -> None:
    said = words_of(page)
    assert "The advantage drifts by −0.08 % a run" in said
    assert "by −0.31 ± 0.12 % with rope state wet against dry (16 runs)" in said
    assert said.count("An association, not a correction: nothing was taken off") == 1
    assert "Nothing of it was taken off any number" in said


def test_the_day_of_the_check(page: str) -> None:
    said = words_of(page)
    assert "14 of 17 runs passed the rules of the same day" in said
    assert "15 to be pulled again anchor: zero missing" in said
    assert "16 log missing no log 16-line.csv" in said
    assert "belong to no run: test-of-logger.csv" in said
    assert "redo" not in said
    assert "Checked on the same day" not in words_of(report_html(dataclasses.replace(beside(), runs=())))


def test_the_change_of_k_with_the_load_is_said(record: CampaignResult, page: str) -> None:
    (line,) = load_lines(record, "kN")
    assert "to the power −0.210 ± 0.078" in line  # k - 1 ~ T^-b
    assert "that at 6.00\u00a0kN" in line
    assert "none was looked for, or none was clear" not in words_of(page)
    assert "none was looked for, or none was clear" in words_of(report_html(without_traces(campaign(1))))


def test_how_prediction_did_on_what_was_left_out(page: str) -> None:
    said = words_of(page)
    assert "ring 90 two-part 1.829 ± 0.012 1.835 0.33 % inside" in said
    assert "ring 65, twice three-part 2.343 ± 0.014 2.369 1.11 % outside" in said


def test_a_typed_run_is_marked(record: CampaignResult, page: str) -> None:
    said = words_of(page)
    assert "Run 8 was typed from the displays, a lower grade" in said
    assert "Run 8: two-part, ring 65 (typed from the displays)" in said
    assert "Two forces typed from the displays: there is no trace" in said
    assert said.count("Forces typed from the displays: line 5.980 ± 0.031 kN") == 1
    assert "steady stretch" not in " ".join(noted_lines(record.runs[8]))


def test_long_tables_may_break_over_pages_and_short_ones_not(record: CampaignResult) -> None:
    assert "long" in heat_table(record).classes
    assert "long" not in checks_table(record, "kN").classes
    assert len(heat_table(record).rows) > LONG


def test_hostile_notes_stay_words(record: CampaignResult) -> None:
    hostile = "<script>alert(1)</script>"
    run = dataclasses.replace(record.runs[1], conditions={"weather": hostile, "notes": {hostile: hostile}})
    page = report_html(dataclasses.replace(record, runs=(run,), about={f"cell {hostile}": hostile}))
    assert "<script" not in page
    assert "&lt;script&gt;" in page


@pytest.mark.browser
@pytest.mark.parametrize("width", [360, 768, 1100])
def test_nothing_runs_over_the_edge_or_breaks_inside_a_number(chromium, tmp_path: Path, width: int) -> None:  # type: ignore[no-untyped-def]
    file = tmp_path / "report.html"
    file.write_text(report_html(without_traces(beside()), check=day_check()), encoding="utf-8")
    sheet = chromium.new_page(viewport={"width": width, "height": 800})
    sheet.goto(file.as_uri())
    assert sheet.evaluate("document.documentElement.scrollWidth") <= width
    broken = sheet.evaluate(
        """() => [...document.querySelectorAll('td.n')].filter(td => {
            const text = td.firstChild, range = document.createRange(), found = /[\\d.]+/g;
            for (const m of text.data.matchAll(found)) {
                range.setStart(text, m.index); range.setEnd(text, m.index + m[0].length);
                if (range.getClientRects().length > 1) return true;
            }
            return false;
        }).map(td => td.textContent)"""
    )
    assert broken == []
    wide = sheet.evaluate(
        """() => [...document.querySelectorAll('table')].filter(
            t => t.getBoundingClientRect().right > t.closest('main').getBoundingClientRect().right + 0.5
        ).map(t => t.caption.textContent)"""
    )
    assert wide == []
    sheet.close()


@pytest.mark.browser
def test_in_print_long_tables_go_on_over_the_page_and_short_ones_stay_whole(chromium, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    file = tmp_path / "report.html"
    file.write_text(report_html(without_traces(beside()), check=day_check()), encoding="utf-8")
    sheet = chromium.new_page()
    sheet.goto(file.as_uri())
    sheet.emulate_media(media="print")
    found = sheet.evaluate(
        "() => [...document.querySelectorAll('table')].map(t => [t.rows.length, getComputedStyle(t).breakInside])"
    )
    assert {kind for rows, kind in found if rows > LONG + 1} == {"auto"}
    assert {kind for rows, kind in found if rows <= LONG + 1} == {"avoid"}
    sheet.close()
