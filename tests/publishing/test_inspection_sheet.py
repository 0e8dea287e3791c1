"""The inspection sheet: every piece of the kit with its mark and dates, and nothing of a name becomes markup."""

from __future__ import annotations

import datetime as dt
import re
from html import unescape
from pathlib import Path

import pytest

import haulwright as hw
from haulwright import workflows
from haulwright.publishing.spelling import spelling

KIT = Path(__file__).parents[2] / "examples" / "kit.yaml"
DAY = dt.date(2026, 6, 1)


def sheet(kit: object, out: Path, **how: object) -> str:
    (file,) = workflows.publish_inspection_sheet(kit, out, day=DAY, **how).files  # type: ignore[arg-type]
    return Path(file.path).read_text(encoding="utf-8")


def words(page: str) -> str:
    shown = re.sub(r"<[^>]+>", " ", page.partition("<main>")[2])
    return re.sub(r"\s+", " ", unescape(shown))


def test_every_piece_stands_with_its_mark_and_its_dates(tmp_path: Path) -> None:
    told = words(sheet(KIT, tmp_path))
    found = hw.show_kit(KIT, day=DAY)
    for item in found.items:
        assert f"{item.item} {item.name}" in told
        assert item.due is None or f"due {item.due}" in told
    assert told.count("out, quarantine") == len(found.items)
    assert "S-09 bow shackle 19 mm 46.6 kN, WLL quarantined" in told
    assert "T-04 tree strap, 2.5 m, tag lost no mark" in told
    assert "Invented demo data" in told


def test_what_is_overdue_is_said(tmp_path: Path) -> None:
    kit = {"items": [{"id": "S", "kind": "shackle", "rating": "5 t", "basis": "WLL", "due": "2026-01-01"}]}
    told = words(sheet(kit, tmp_path))
    assert "1 piece, 1 overdue" in told
    assert "due 2026-01-01, overdue" in told
    assert "49.0 kN, WLL" in told  # 5 t of force: 5 000 kg under 9.806 65 m/s², NIST SP 811
    assert "5.00 t, WLL" in words(sheet(kit, tmp_path, units="t")).replace("5.000", "5.00")


def test_the_same_kit_gives_the_same_bytes_and_fetches_nothing(tmp_path: Path) -> None:
    page = sheet(KIT, tmp_path / "a")
    assert page == sheet(KIT, tmp_path / "b")
    assert re.findall(r"url\((?!data:)|src=|<link|<script", page) == []


def test_markup_in_a_name_is_text(tmp_path: Path) -> None:
    evil = "<img src=x onerror=alert(1)>"
    kit = {"kit": evil, "items": [{"id": "S", "kind": "shackle", "name": evil}]}
    page = sheet(kit, tmp_path)
    assert "<img" not in page
    assert evil in words(page)


def test_american_spelling(tmp_path: Path) -> None:
    with spelling("US"):
        assert "look at every millimeter" in words(sheet(KIT, tmp_path))


def test_a_kit_without_a_piece_is_refused(tmp_path: Path) -> None:
    with pytest.raises(hw.Refusal) as caught:
        sheet({"items": []}, tmp_path)
    assert caught.value.code == "MISSING"
