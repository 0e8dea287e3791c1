"""The pocket card as a file: whole, small, the same again, and deaf to whatever stands in a name."""

from __future__ import annotations

import base64
import hashlib
import re
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest

import haulwright as hw
from haulwright import workflows
from haulwright.publishing.pocket import pocket_page
from haulwright.publishing.pocket.script import as_javascript

ROOT = Path(__file__).parents[2]
PULL = ROOT / "examples" / "pulls" / "rutted-clearing.yaml"
DAY = "2026-02-01"
MOST_BYTES = 300_000


@pytest.fixture(scope="module")
def card() -> workflows.PocketCard:
    return workflows.pocket_card(PULL, day=DAY)


def script_of(page: str) -> str:
    return page.partition("<script>")[2].partition("</script>")[0]


def test_it_is_one_small_file_and_the_same_again(card: workflows.PocketCard, tmp_path: Path) -> None:
    for folder in ("a", "b"):
        workflows.publish_pocket_card(workflows.pocket_card(PULL, day=DAY), tmp_path / folder)
    (one,) = (tmp_path / "a").iterdir()
    assert one.read_bytes() == (tmp_path / "b" / one.name).read_bytes()
    assert len(one.read_bytes()) < MOST_BYTES
    assert one.read_text(encoding="utf-8") == pocket_page(card)


@pytest.mark.parametrize("pull", sorted(PULL.parent.glob("*.yaml")), ids=lambda path: path.stem)
def test_every_shipped_pull_has_a_card_that_fetches_nothing(pull: Path) -> None:
    page = pocket_page(workflows.pocket_card(pull, day=DAY))
    assert len(page.encode()) < MOST_BYTES
    for fetched in ("src=", "<link", "@import", "url(http", "fetch(", "XMLHttpRequest", "import("):
        assert fetched not in page
    assert re.findall(r"url\((?!data:)", page) == []


def test_only_its_own_script_may_run(card: workflows.PocketCard) -> None:
    """Content Security Policy Level 3, 2.3.1: a script is let through by the hash of its text."""
    page = pocket_page(card)
    digest = base64.b64encode(hashlib.sha256(script_of(page).encode()).digest()).decode()
    assert f"script-src 'sha256-{digest}'" in page
    assert "default-src 'none'" in page
    assert page.count("<script") == 1


def test_a_name_cannot_end_the_script_or_become_markup(card: workflows.PocketCard) -> None:
    evil = "</script><script>alert(1)</script><!--\u2028"
    piece = replace(card.pieces[0], name=evil, note=evil)
    page = pocket_page(replace(card, title=evil, pieces=(piece, *card.pieces[1:])))
    assert page.count("<script") == 1
    assert "<title>Pocket card: &lt;/script&gt;" in page
    assert "\u2028" not in script_of(page)


@pytest.mark.parametrize(
    "line",
    [
        "import os",
        "x0 = __import__('os')",
        "x0 = alert(1)",
        "return fetch()",
        "multiply(R, y, out[0])",
        "x0 = '1'",
    ],
)
def test_nothing_but_arithmetic_becomes_script(line: str) -> None:
    with pytest.raises(ValueError, match="compiled rig"):
        as_javascript(f"def tensions(k, R, out):\n    {line}\n")


def test_it_holds_the_kit_as_it_is_judged_elsewhere(card: workflows.PocketCard) -> None:
    told = {one.item: one for one in hw.show_kit(ROOT / "examples" / "kit.yaml").items}
    assert card.pieces
    for piece in card.pieces:
        assert (piece.limit_N, piece.basis) == (told[piece.id].limit_N, told[piece.id].basis)
    assert {one.id for one in card.pieces} == {name for name, one in told.items() if one.uses}
    assert "S-09" not in {one.id for one in card.pieces}  # in quarantine


def test_its_winch_pulls_less_on_each_layer_by_the_radius(card: workflows.PocketCard) -> None:
    """Line pull goes with 1 / radius at one torque: statics of a drum (any handbook)."""
    pulls = card.winches[0].layers_N
    assert pulls[0] == pytest.approx(card.winches[0].stall_N)
    assert all(a > b for a, b in pairwise(pulls))


def test_measured_friction_comes_first_and_keeps_its_interval(tmp_path: Path) -> None:
    campaign = ROOT / "examples" / "campaign"
    result = workflows.measure_campaign(campaign)
    workflows.write_devices(campaign, result, tmp_path)
    devices = tmp_path / "devices.toml"
    card = workflows.pocket_card(PULL, friction=devices, day=DAY)
    first = {one.id: one for one in card.frictions if one.measured}
    for name, device in result.devices.items():
        assert first[name].k.value == pytest.approx(device.k.value, abs=5e-4)
        assert first[name].valid_N is not None


def test_cautions_are_those_of_every_paper(card: workflows.PocketCard) -> None:
    page = pocket_page(card)
    for words in (
        "An estimate is not a rating",
        "real winches can exceed their plate",
        "Nobody in line with any part",
    ):
        assert words in page
    assert "{stall}" not in page


def test_a_day_that_is_none_is_refused() -> None:
    with pytest.raises(hw.Refusal, match="expected year-month-day"):
        workflows.pocket_card(PULL, day="tomorrow")
    with pytest.raises(hw.Refusal) as caught:
        pocket_page(workflows.pocket_card(PULL, day=DAY), "stone")
    assert caught.value.code == "UNITS"
