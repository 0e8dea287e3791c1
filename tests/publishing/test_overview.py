"""The campaign in words: every figure is that of the record, every sentence that of the report."""

import re

import pytest
from invented_campaign import beside, day_check

from haulwright.errors import UsageRefusal
from haulwright.publishing.overview import campaign_overview
from haulwright.publishing.report import report_html
from haulwright.publishing.wording import comparison_sentence, force_plus_minus, percent, plus_minus


@pytest.fixture(scope="module")
def campaign():
    return beside()


@pytest.fixture(scope="module")
def shown(campaign):
    return campaign_overview(campaign, day_check(), units="lbf")


def test_every_configuration_with_a_device_stands_once_with_its_figures(campaign, shown):
    wanted = {(c.rig, c.devices): c for c in campaign.configurations if c.devices}
    found = {(rig.rig, one.devices): one for rig in shown.rigs for one in rig.configurations}
    assert found.keys() == wanted.keys()
    for key, one in found.items():
        assert one.advantage == wanted[key].advantage
        assert one.text["advantage"] == plus_minus(wanted[key].advantage)
        assert one.text["winch_share"] == percent(wanted[key].winch_share)
        assert one.rig_efficiency.value == pytest.approx(
            wanted[key].advantage.value / wanted[key].frictionless
        )


def test_within_a_rig_the_greatest_advantage_comes_first(shown):
    for rig in shown.rigs:
        values = [one.advantage.value for one in rig.configurations]
        assert values == sorted(values, reverse=True)
        assert rig.frictionless_share == pytest.approx(1.0 / rig.frictionless)


def test_comparisons_say_what_the_record_says_without_the_rig_twice(campaign, shown):
    for told, one in zip(shown.comparisons, campaign.comparisons, strict=True):
        assert (told.verdict, told.ratio, told.runs_needed) == (one.verdict, one.ratio, one.runs_needed)
        if told.rig:
            assert f"{told.rig}: " not in told.sentence
        whole = comparison_sentence(one)
        if told.rig:
            whole = whole.replace(f"{told.rig}: ", "").replace(" + ", ", then ")
        assert f"{told.sentence} {told.evidence}".strip() == whole


def test_runs_stand_in_the_order_of_the_sheet_with_their_verdicts(campaign, shown):
    check = day_check()
    assert [one.run for one in shown.runs] == [one.run for one in check.runs]
    results = {run.run: run for run in campaign.runs}
    for one, verdict in zip(shown.runs, check.runs, strict=True):
        assert (one.verdict, one.reasons) == (verdict.verdict, verdict.reasons)
        if one.run in results:
            assert one.text["line"] == force_plus_minus(results[one.run].mean_N["line"], "lbf")
        else:
            assert one.text == {}
            assert one.advantage is None
    assert shown.unmatched == check.unmatched


def test_sentences_and_tables_are_those_of_the_report(campaign, shown):
    page = re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", report_html(campaign, units="lbf", check=day_check())))

    def printed(text):
        return re.sub(r"\s+", " ", text.replace("<", "&lt;")) in page

    assert all(printed(words) for words in shown.sentences)
    assert all(printed(words) for words in shown.day)
    assert {"cells", "checks", "predictions", "budget"} <= shown.tables.keys()
    for table in shown.tables.values():
        assert all(len(row) == len(table.head) for row in table.rows)
    for row in shown.tables["cells"].rows:
        assert all(printed(cell) for cell in row)


def test_what_changed_over_the_day_is_said_once(shown):
    assert len(shown.day) >= 2
    assert not any(notice.code in ("TREND", "ASSOCIATION") for notice in shown.notices)


def test_an_unknown_unit_is_refused(campaign):
    with pytest.raises(UsageRefusal):
        campaign_overview(campaign, day_check(), units="stone")
