"""The kit in words: the weakest first, what is unknown and what to do about it, exit codes."""

from __future__ import annotations

from pathlib import Path

import pytest

from haulwright.interfaces.cli.main import main

KIT = Path(__file__).parents[2] / "examples" / "kit.yaml"


def printed(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str]:
    code = main([*words])
    return code, " ".join(capsys.readouterr().out.split())


def test_show(capsys: pytest.CaptureFixture[str]) -> None:
    code, text = printed(capsys, "kit", "show", str(KIT), "--day", "2031-01-01")
    assert code == 0
    assert "2030-02-07 OVERDUE" in text
    assert "L-02: good for: single line; have it inspected: it is overdue" in text
    assert "T-04: no rating; not known: rating, condition; find its mark" in text


def test_check_names_the_weakest_first(capsys: pytest.CaptureFixture[str]) -> None:
    code, text = printed(capsys, "kit", "check", str(KIT), "--day", "2026-06-01", "--units", "kgf")
    assert code == 1
    assert text.index("Least margin: BR-1") < text.index("at stall, kgf")
    assert "S-08: good for: single line; too weak at stall: at a block." in text
    assert text.count("Regulator's guidance") == 1


def test_a_kit_that_stands_its_winch(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "kit.yaml"
    path.write_text(
        "items: [{id: S, kind: shackle, rating: 12 t, basis: WLL, condition: good}]\n"
        "winches: [{id: W, line_pull: 40 kN}]\n",
        encoding="utf-8",
    )
    code, text = printed(capsys, "kit", "check", str(path))
    assert code == 0
    assert "inside 68 %" in text


def test_a_day_that_is_none(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["kit", "check", str(KIT), "--day", "soon", "--json"]) == 2
    assert '"USAGE"' in capsys.readouterr().out
