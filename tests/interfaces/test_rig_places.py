"""What ``rig solve`` and ``rig draw`` say of rigs with places, and their options for travel, laws and seized sheaves.

Numbers are worked by hand from the geometry: triangle of forces, any statics text.
"""

import json
import math

import pytest

import haulwright as hw
from haulwright.errors import Refusal
from haulwright.interfaces.cli.main import main

RIG = """
rig: up to a tree fork
units: {force: kN, length: m}
anchors: {fork: {at: [0, 0, 3]}}
load: {name: wagon, at: [4, 0, 0], direction: [-1, 0, 0], resistance: 8}
lines: {winch line: {standing: wagon, fall: winch}}
winch: {on: fork}
"""


@pytest.fixture
def told(tmp_path, capsys):
    def run(text, *words):
        file = tmp_path / "rig.yaml"
        file.write_text(text, encoding="utf-8")
        code = main(["rig", "solve", str(file), *words])
        return code, " ".join(capsys.readouterr().out.split())

    return run


def test_an_anchor_is_told_by_its_parts_its_height_and_at_stall(told):
    # 3-4-5: 8 kN along takes 10 kN in the line, 6 kN of it down at the fork; at 20 kN stall twice that
    _, text = told(RIG, "--stall", "20kN")
    assert (
        "fork is pulled 8.00 kN to x, 0.00 kN to y, 8.00 kN level, pressed down with 6.00 kN at z 3.00 m"
        in text
    )
    assert "at stall 16.00 kN level, pressed down with 12.00 kN" in text
    assert "side pull 6.00 kN on wagon, across its way, at stall 12.00 kN" in text


def test_an_anchor_below_is_lifted(told):
    _, text = told(RIG.replace("[0, 0, 3]", "[0, 0, -3]"))
    assert "8.00 kN level, uplift 6.00 kN at z −3.00 m" in text


def test_without_a_resistance_it_is_told_in_shares_and_straight_ahead_not_at_all(told):
    _, text = told(RIG.replace(", resistance: 8", ""))
    assert "fork is pulled 100.0 % to x, 0.0 % to y, 100.0 % level, pressed down with 75.0 %" in text
    _, text = told(RIG.replace("[0, 0, 3]", "[0, 0, 0]"))
    assert "is pulled" not in text
    assert "side pull" not in text


def test_lines_of_text_fit_eighty_columns(tmp_path, monkeypatch, capsys):
    monkeypatch.setenv("COLUMNS", "80")
    file = tmp_path / "rig.yaml"
    file.write_text(RIG, encoding="utf-8")
    main(["rig", "solve", str(file), "--stall", "20kN"])
    own = [x for x in capsys.readouterr().out.splitlines() if x.startswith(("anchor ", "side pull", "   "))]
    assert own
    assert all(len(line.rstrip()) <= 80 for line in own)


def test_travel_is_that_of_the_file_in_its_place(told):
    plain = "units: {force: kN, length: m}\nwant: {travel: 6}\n" + "\n".join(
        (
            "order: [oak, wagon]",
            "anchors: {oak: {}}",
            "load: {name: wagon, toward: oak, resistance: 20}",
            "blocks: {B: {on: wagon}}",
            "lines: {winch line: {standing: oak, through: [B], fall: winch}}",
            "winch: {on: oak}",
        )
    )
    assert "taken in 12.00 m of line over the travel wanted" in told(plain)[1]
    assert "taken in 8.00 m of line over the travel wanted" in told(plain, "--travel", "4m")[1]
    assert told(plain, "--travel", "nonsense")[0] == 2
    with pytest.raises(Refusal, match="length above 0"):
        hw.solve_rig("two-part", travel=0.0)
    assert hw.solve_rig("two-part", travel="4 m").line_m["winch"]["taken_in"] == pytest.approx(8.0)


def test_a_drawing_takes_the_options_of_a_solution(tmp_path, capsys):
    words = (
        "two-part",
        "--load",
        "10kN",
        "--law",
        "by-wrap,k=1.3",
        "--seized",
        "X=0.25",
        "--device",
        "X=puck-A",
    )
    code = main(["rig", "draw", *words, "--stall", "30kN", "--out", str(tmp_path), "--json"])
    drawn = json.loads(capsys.readouterr().out)
    assert code == 0
    # seized at mu 0.25: k = exp(0.25 pi), 10 kN / (1 + 1/k) = 6.87 kN at the drum
    effort = 10.0 / (1.0 + math.exp(-0.25 * math.pi))
    svg = (tmp_path / drawn["files"][0]["path"]).read_text(encoding="utf-8")
    assert f"{effort:.2f}" in svg


def test_a_seized_sheave_is_seized_at_stall_too():
    from haulwright.workflows import solve_at_stall

    _, with_friction = solve_at_stall("two-part", 1.1, "10 kN", None, {"X": 0.25})
    assert with_friction.bodies["X"].load_N == pytest.approx(
        10e3 * (1.0 + math.exp(-0.25 * math.pi)), rel=1e-9
    )
