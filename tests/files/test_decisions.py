"""Decisions by hand: clock offsets and zeros by run and channel, each refused with its line where it cannot be."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from haulwright.errors import FileRefusal
from haulwright.files.campaign import read_campaign

EXAMPLE = Path(__file__).parents[2] / "examples" / "campaign"
KGF = 9.80665
TOLD = "who: A. Sample, when: 2025-06-03, why: stopwatch"
GOOD = f"""\
stretches:
  - {{run: two-a1, start: 150 s, end: 220 s, {TOLD}}}
offsets:
  - {{run: two-a1, channel: anchor, offset: -1.5 s, {TOLD}}}
  - {{run: two-b1, offset: 0.2 s, {TOLD}}}
zeros:
  - {{run: two-a1, channel: line, zero: 2 kgf, {TOLD}}}
  - {{run: two-a1, channel: anchor, zero: -3 kgf, {TOLD}}}
exclusions:
  - {{run: two-b2, {TOLD}}}
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return Path(shutil.copytree(EXAMPLE, tmp_path / "campaign"))


def test_offsets_and_zeros_are_read(folder: Path) -> None:
    (folder / "decisions.yaml").write_text(GOOD, encoding="utf-8")
    campaign = read_campaign(folder)
    assert {place: one.offset for place, one in campaign.offsets("two-a1").items()} == {"anchor": -1.5}
    assert {place: one.offset for place, one in campaign.offsets("two-b1").items()} == {"anchor": 0.2}
    zeros = campaign.zeros("two-a1")
    assert {place: one.zero for place, one in zeros.items()} == pytest.approx(
        {"line": 2 * KGF, "anchor": -3 * KGF}
    )
    assert zeros["line"].words == "set by hand by A. Sample (2025-06-03) because: stopwatch"
    assert campaign.zeros("two-b1") == {}


@pytest.mark.parametrize(
    ("old", "new", "code", "line", "said"),
    [
        ("run: two-b1, off", "run: two-c1, off", "UNKNOWN_RUN", 5, "did you mean two-"),
        ("channel: anchor, offset", "channel: ancor, offset", "UNKNOWN_CHANNEL", 4, "did you mean anchor?"),
        ("channel: anchor, offset", "channel: line, offset", "UNKNOWN_CHANNEL", 4, "the line's clock"),
        ("channel: line, zero", "channel: tree, zero", "UNKNOWN_CHANNEL", 7, "expected one of line, anchor"),
        ("channel: line, zero", "zero", "MISSING_KEY", 7, "channel is missing"),
        ("offset: -1.5 s", "offset: 2 h", "VALUE", 4, "less than 3600"),
        ("offset: -1.5 s", "offset: 1.5", "VALUE", 4, "needs its unit"),
        ("offset: -1.5 s", "offset: 2 kgf", "VALUE", 4, "offset"),
        ("offset: -1.5 s", "offst: 1.5 s", "UNKNOWN_KEY", 4, "did you mean offset?"),
        ("zero: 2 kgf", "zero: 2 t", "VALUE", 7, "a fifth of the capacity of line-3t"),
        ("zero: 2 kgf", "zero: .nan", "VALUE", 7, "zero"),
        ("offsets:", "ofsets:", "UNKNOWN_KEY", 3, "did you mean offsets?"),
        ("run: two-b1, off", "run: two-a1, off", "DUPLICATE_DECISION", 5, "offsets[1] already"),
        ("channel: anchor, zero", "channel: line, zero", "DUPLICATE_DECISION", 8, "zeros[1] already"),
        ("when: 2025-06-03, why: stopwatch}\noffsets", "when: 2025-06-01, why: x}\noffsets", "VALUE", 2, "before the day"),
        ("why: stopwatch}\nzeros", "why: ' '}\nzeros", "VALUE", 5, "why"),
        ("exclusions:\n", f"exclusions:\n  - {{run: two-b2, {TOLD}}}\n", "DUPLICATE_DECISION", 11, "exclusions[1]"),
        ("offsets:\n", f"  - {{run: two-a1, start: 210 s, end: 250 s, {TOLD}}}\noffsets:\n", "VALUE", 3, "overlaps"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused_with_its_line(
    folder: Path, old: str, new: str, code: str, line: int, said: str
) -> None:
    assert old in GOOD
    (folder / "decisions.yaml").write_text(GOOD.replace(old, new, 1), encoding="utf-8")
    with pytest.raises(FileRefusal) as caught:
        read_campaign(folder)
    assert (caught.value.code, caught.value.line) == (code, line), caught.value.message
    assert said in caught.value.message
    assert "decisions.yaml" in caught.value.message


def test_a_typed_run_has_no_log_to_set(folder: Path) -> None:
    sheet = folder / "runs.csv"
    head, *lines = sheet.read_text(encoding="utf-8").splitlines()
    typed = "typed,2025-06-02,two-part,puck-A,,,line-3t,,,anchor-6t,1,"
    sheet.write_text(
        "\n".join(
            [
                f"{head},line_reading,anchor_reading",
                *[f"{one},," for one in lines],
                f"{typed},600 kgf,1150 kgf",
            ]
        ),
        encoding="utf-8",
    )
    (folder / "decisions.yaml").write_text(
        f"zeros:\n  - {{run: typed, channel: line, zero: 1 kgf, {TOLD}}}\n"
    )
    with pytest.raises(FileRefusal, match="typed from the displays") as caught:
        read_campaign(folder)
    assert caught.value.line == 2
