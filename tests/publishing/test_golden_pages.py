"""Pages as they were looked at: golden files of what people read, without typefaces, version and hash of the script.

``HAULWRIGHT_GOLDEN=write`` writes them anew, to be looked at before they are kept.
"""

from __future__ import annotations

import datetime as dt
import os
import re
from pathlib import Path

import pytest

from haulwright import workflows

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
GOLDEN = Path(__file__).with_name("golden")


def _pocket(out: Path) -> Path:
    card = workflows.pocket_card(EXAMPLES / "pulls" / "rutted-clearing.yaml", day="2026-02-01")
    return Path(workflows.publish_pocket_card(card, out).files[0].path)


def _inspection(out: Path) -> Path:
    files = workflows.publish_inspection_sheet(EXAMPLES / "kit.yaml", out, day=dt.date(2026, 2, 1)).files
    return Path(files[0].path)


def _run_sheet(out: Path) -> Path:
    return Path(workflows.publish_run_sheet(EXAMPLES / "campaign", out).files[0].path)


@pytest.mark.parametrize(
    "make", [_pocket, _inspection, _run_sheet], ids=["pocket", "inspection", "run-sheet"]
)
def test_a_page_is_as_it_was_looked_at(make: object, tmp_path: Path) -> None:
    file = make(tmp_path)  # type: ignore[operator]
    text = re.sub(r"url\(data:[^)]*\)", "url(FACE)", file.read_text(encoding="utf-8"))
    text = re.sub(r"sha256-[A-Za-z0-9+/=]+", "sha256-HASH", text)
    text = re.sub(r"(Haulwright|haulwright) \d+\.\d+\.\d+", r"\1 VERSION", text)
    kept = GOLDEN / file.name
    if os.environ.get("HAULWRIGHT_GOLDEN") == "write":
        kept.write_text(text, encoding="utf-8", newline="")
    assert text == kept.read_text(encoding="utf-8")
