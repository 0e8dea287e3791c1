"""The format of logs in ``campaign.yaml``: default, names and patterns; refused with line and nearest spelling."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from haulwright.errors import FileRefusal
from haulwright.files.campaign import read_campaign
from haulwright.files.logs_block import LogFormat, format_for
from haulwright.files.zones import read_zone

EXAMPLE = Path(__file__).parents[2] / "examples" / "campaign"
GOOD = """\
logs:
  default: {unit: kgf, zone: Europe/Paris}
  "*_anchor.csv": {unit: kN, decimal: comma, zone: "+02:00"}
  meadow-two-a2_anchor.csv: {unit: "line=kN,anchor=t", dates: day-first, encoding: cp1252}
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return Path(shutil.copytree(EXAMPLE, tmp_path / "campaign"))


def write(folder: Path, block: str) -> int:
    """Put the block at the end of campaign.yaml; return the line it starts in."""
    path = folder / "campaign.yaml"
    text = path.read_text(encoding="utf-8")
    path.write_text(text + block, encoding="utf-8")
    return text.count("\n") + 1


def test_further_down_stands_over_further_up(folder: Path) -> None:
    write(folder, GOOD)
    campaign = read_campaign(folder)
    by_name = {log.name: campaign.format_of(log) for entry in campaign.runs for log in entry.logs}
    assert by_name["meadow-two-a1.csv"] == {"unit": "kgf", "zone": "Europe/Paris"}
    assert by_name["meadow-two-a2_line.csv"] == {"unit": "kgf", "zone": "Europe/Paris"}
    assert by_name["meadow-two-a2_anchor.csv"] == {
        "unit": "line=kN,anchor=t",
        "zone": "+02:00",
        "decimal": "comma",
        "dates": "day-first",
        "encoding": "cp1252",
    }


def test_the_default_comes_first_wherever_it_stands() -> None:
    block = {"hot/*.csv": LogFormat(unit="kN"), "default": LogFormat(unit="kgf", sheet="1")}
    assert format_for(block, "hot/a.csv") == {"unit": "kN", "sheet": "1"}
    assert format_for({"logs/hot/*.csv": LogFormat(unit="t")}, "hot/a.csv") == {"unit": "t"}


@pytest.mark.parametrize(
    ("old", "new", "code", "line", "said"),
    [
        ("meadow-two-a2_anchor.csv", "meadow-two-a9_anchor.csv", "UNKNOWN_LOG", 3, "did you mean meadow-two-a2_anchor.csv?"),
        ('"*_anchor.csv"', '"*_ancor.csv"', "UNKNOWN_LOG", 2, "no log of runs.csv has this pattern"),
        ("default:", "defaut:", "UNKNOWN_LOG", 1, "did you mean default?"),
        ("decimal: comma", "decimal: coma", "VALUE", 2, "did you mean comma?"),
        ("decimal: comma", "desimal: comma", "UNKNOWN_KEY", 2, "did you mean decimal?"),
        ("dates: day-first", "dates: dayfirst", "VALUE", 3, "did you mean day-first?"),
        ("unit: kgf", "unit: stone", "VALUE", 1, "expected kgf, t, kN, N or lbf"),
        ("unit: kgf", 'unit: "kgf,kN"', "VALUE", 1, "one for each"),
        ("zone: Europe/Paris", "zone: Europe/Pariss", "VALUE", 1, "did you mean Europe/Paris?"),
        ("zone: Europe/Paris", "zone: ../../etc/passwd", "VALUE", 1, "expected UTC, an offset"),
        ('zone: "+02:00"', "zone: +02", "VALUE", 2, "put an offset in quotes"),
        ('zone: "+02:00"', 'zone: "+25:00"', "VALUE", 2, "14 h from UTC"),
        ("encoding: cp1252", "encoding: klingon", "VALUE", 3, "utf-8, utf-16 or cp1252"),
        ("default: {unit: kgf, zone: Europe/Paris}", "default: kgf", "VALUE", 1, "expected keys with values"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused_with_its_line(
    folder: Path, old: str, new: str, code: str, line: int, said: str
) -> None:
    assert old in GOOD
    first = write(folder, GOOD.replace(old, new, 1))
    with pytest.raises(FileRefusal) as caught:
        read_campaign(folder)
    assert (caught.value.code, caught.value.line) == (code, first + line), caught.value.message
    assert said in caught.value.message
    assert "campaign.yaml" in caught.value.message


def test_no_time_zone_data_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    def missing(name: str) -> None:
        raise KeyError(name)

    monkeypatch.setattr("zoneinfo.ZoneInfo", missing)
    monkeypatch.setattr("zoneinfo.available_timezones", set)
    with pytest.raises(ValueError, match=r"no time zone data: give the offset from UTC, as \+02:00"):
        read_zone("Europe/Paris")
    assert read_zone("utc").fixed  # an offset needs none
