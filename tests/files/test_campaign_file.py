"""The campaign folder: what is read, what is refused and with which line."""

from __future__ import annotations

import datetime as dt
import hashlib
import shutil
from pathlib import Path

import pytest

from haulwright.errors import FileRefusal
from haulwright.files.campaign import read_campaign

EXAMPLE = Path(__file__).parents[2] / "examples" / "campaign"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return Path(shutil.copytree(EXAMPLE, tmp_path / "campaign"))


def change(folder: Path, name: str, old: str, new: str) -> None:
    path = folder / name
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")


def refused(folder: Path) -> FileRefusal:
    with pytest.raises(FileRefusal) as caught:
        read_campaign(folder)
    return caught.value


def test_the_example_is_read() -> None:
    campaign = read_campaign(EXAMPLE)
    assert campaign.spec.invented
    assert "invented" in campaign.spec.name
    assert campaign.spec.cells["line-3t"].capacity == pytest.approx(3000 * 9.80665)
    assert campaign.spec.cells["anchor-6t"].class_ == pytest.approx(0.005)
    assert campaign.spec.margin == pytest.approx(0.02)
    assert [entry.run for entry in campaign.runs][:2] == ["series", "two-a1"]
    three = next(entry for entry in campaign.runs if entry.run == "three-ab")
    assert three.devices == ("puck-A", "hoop-B")
    assert three.date == dt.date(2025, 6, 2)
    assert len(three.logs) == 1
    two_loggers = next(entry for entry in campaign.runs if entry.run == "two-a2")
    assert [path.name for path in two_loggers.logs] == ["meadow-two-a2_line.csv", "meadow-two-a2_anchor.csv"]
    assert campaign.runs[0].devices == ()


def test_reading_writes_nothing(folder: Path) -> None:
    def prints() -> dict[str, str]:
        return {str(p): hashlib.sha256(p.read_bytes()).hexdigest() for p in folder.rglob("*") if p.is_file()}

    before = prints()
    read_campaign(folder)
    assert prints() == before


@pytest.mark.parametrize(
    ("name", "old", "new", "code", "line", "said"),
    [
        ("campaign.yaml", "class_of: reading", "class_of: readings", "VALUE", 7, "did you mean reading?"),
        ("campaign.yaml", "capacity: 3 t", "capacity: 3", "VALUE", 7, "needs its unit"),
        (
            "campaign.yaml",
            "certificate: invented-0301",
            "certificat: x",
            "UNKNOWN_KEY",
            7,
            "did you mean certificate?",
        ),
        ("campaign.yaml", "class: 0.5 %", "class: 50 %", "VALUE", 7, "less than 0.2"),
        (
            "campaign.yaml",
            "    kind: pulley block\n",
            "",
            "MISSING_KEY",
            11,
            "devices.puck-A.kind is missing",
        ),
        ("runs.csv", "run,date,rig", "run,datum,rig", "UNKNOWN_HEADER", 1, "did you mean date?"),
        ("runs.csv", "run,date,rig,", "run,date,", "MISSING_HEADER", 1, "'rig' is missing"),
        ("runs.csv", "two-part,puck-A", "two-part,puk-A", "UNKNOWN_DEVICE", 3, "did you mean puck-A?"),
        ("runs.csv", "line-3t", "line-4t", "UNKNOWN_CELL", 2, "did you mean line-3t?"),
        (
            "runs.csv",
            "meadow-two-a1.csv",
            "meadow-two-a3.csv",
            "NO_LOG",
            3,
            "did you mean meadow-two-a1.csv?",
        ),
        ("runs.csv", "meadow-two-a1.csv", "../runs.csv", "NO_LOG", 3, "must lie in logs/"),
        ("runs.csv", "two-a2,2025", "two-a1,2025", "DUPLICATE_RUN", 4, "line 3"),
        ("runs.csv", "two-a1,2025-06-02", "two-a1,02.06.2025", "VALUE", 3, "year-month-day"),
        ("runs.csv", "anchor-6t,2,two", "anchor-6t,two,two", "VALUE", 4, "whole number"),
        ("runs.csv", "two loggers", "two, loggers", "COLUMNS", 4, "13 columns"),
        ("runs.csv", "two-a1,2025-06-02,two-part", "two-a1,2025-06-02,", "MISSING_VALUE", 3, "rig is empty"),
    ],
)
def test_refusals(folder: Path, name: str, old: str, new: str, code: str, line: int, said: str) -> None:
    change(folder, name, old, new)
    found = refused(folder)
    assert (found.code, found.line) == (code, line)
    assert said in found.message
    assert name in found.message


def test_decisions_are_read_and_checked(folder: Path) -> None:
    text = (
        "stretches:\n"
        "  - {run: stop-ba, start: 150 s, end: 3 min 40 s, who: A. Sample, when: 2025-06-03, why: rubbed later}\n"
        "exclusions:\n"
        "  - {run: two-b1, who: A. Sample, when: 2025-06-03, why: line crossed}\n"
    )
    (folder / "decisions.yaml").write_text(text, encoding="utf-8")
    campaign = read_campaign(folder)
    (stretch,) = campaign.stretches("stop-ba")
    assert (stretch.start, stretch.end, stretch.who) == (150.0, 220.0, "A. Sample")
    exclusion = campaign.exclusion("two-b1")
    assert exclusion is not None
    assert exclusion.why == "line crossed"
    assert campaign.exclusion("two-b2") is None

    change(folder, "decisions.yaml", "run: two-b1", "run: two-c1")
    found = refused(folder)
    assert (found.code, found.line) == ("UNKNOWN_RUN", 4)
    change(folder, "decisions.yaml", "run: two-c1", "run: two-b1")
    change(folder, "decisions.yaml", "why: line crossed", "why: ''")
    assert refused(folder).line == 4
    change(folder, "decisions.yaml", "why: ''", "why: x")
    change(folder, "decisions.yaml", "end: 3 min 40 s", "end: 100 s")
    assert "must come after start" in refused(folder).message


def test_decisions_need_not_be_there(folder: Path) -> None:
    (folder / "decisions.yaml").unlink()
    assert read_campaign(folder).decisions.stretches == ()


def test_semicolons_as_some_spreadsheets_save(folder: Path) -> None:
    lines = (folder / "runs.csv").read_text(encoding="utf-8").splitlines()
    rows = [";".join(f'"{v}"' if ";" in v else v for v in line.split(",")) for line in lines]
    (folder / "runs.csv").write_text("\ufeff" + "\n".join(rows) + "\n", encoding="utf-8")
    assert [entry.run for entry in read_campaign(folder).runs] == [
        entry.run for entry in read_campaign(EXAMPLE).runs
    ]
    assert [entry.devices for entry in read_campaign(folder).runs] == [
        entry.devices for entry in read_campaign(EXAMPLE).runs
    ]


def test_more_channels_are_kept(folder: Path) -> None:
    header, first, *_ = (folder / "runs.csv").read_text(encoding="utf-8").splitlines()
    row = first.replace("both cells in one line; invented data", "x")
    text = f"{header},tail_log,tail_column,tail_cell\n{row},meadow-series.csv,line_kgf,line-3t\n"
    (folder / "runs.csv").write_text(text, encoding="utf-8")
    (entry,) = read_campaign(folder).runs
    assert entry.channels["tail"].column == "line_kgf"
    assert list(entry.channels) == ["line", "anchor", "tail"]


def test_no_folder_no_sheet_no_runs(folder: Path, tmp_path: Path) -> None:
    assert refused(tmp_path / "nowhere").code == "NO_FILE"
    header = (folder / "runs.csv").read_text(encoding="utf-8").splitlines()[0]
    (folder / "runs.csv").write_text(header + "\n,,,,,\n", encoding="utf-8")
    assert refused(folder).code == "EMPTY"
    (folder / "runs.csv").unlink()
    assert "there is no such file" in refused(folder).message
