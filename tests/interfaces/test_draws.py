"""``rig solve --monte-carlo``: the same as the Python verb, and what is refused."""

import json

import pytest

import haulwright as hw
from haulwright.interfaces.cli.main import main
from haulwright.quantities.measured import Z95, Measured


def solved(capsys, *words):
    code = main(["rig", "solve", "four-part", *words, "--json"])
    return code, json.loads(capsys.readouterr().out)


def test_the_command_and_the_verb_draw_the_same(capsys):
    code, record = solved(
        capsys, "--ratio", "1.09±0.02", "--load", "26kN", "--monte-carlo", "2000", "--seed", "3"
    )
    verb = hw.solve_rig(
        "four-part", Measured.normal(1.09, 0.02 / Z95), load="26 kN", monte_carlo=2000, seed=3
    )
    assert code == 0
    assert record["uncertainty"] == json.loads(json.dumps(verb.to_dict()["uncertainty"]))
    assert record["made"]["inputs"]["monte_carlo"] == 2000
    assert any("2000 draws" in notice["message"] for notice in record["notices"])


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (("--ratio", "1.09±0.02", "--seed", "3"), "USAGE"),
        (("--ratio", "1.09", "--monte-carlo", "2000"), "INPUT"),
        (("--ratio", "1.09±0.02", "--monte-carlo", "10"), "INPUT"),
        (("--ratio", "1.09±0.02", "--monte-carlo", "2000", "--seed", "-1"), "INPUT"),
    ],
)
def test_what_cannot_be_drawn_is_refused(capsys, words, code):
    exit_code, record = solved(capsys, *words)
    assert exit_code == 2
    assert record["error"]["code"] == code
