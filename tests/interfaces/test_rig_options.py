"""Options of ``rig solve`` for laws, devices and seized sheaves: what is typed is what the Python caller gets.

Numbers are those of the laws themselves: Euler–Eytelwein, any statics text; ratios by their catalogue row.
"""

import json
import math

import pytest

import haulwright as hw
from haulwright.interfaces.cli.main import main

REDIRECT = "X2.drum > X > !O"


@pytest.fixture
def solve(capsys):
    def run(*words):
        code = main(["rig", "solve", *words, "--json"])
        return code, json.loads(capsys.readouterr().out)

    return run


@pytest.mark.parametrize(
    ("law", "k"),
    [
        ("by-wrap,k=1.07", 1.07),
        ("per-contact,k=1.07", 1.07),
        ("efficiency,e=0.9", 1 / 0.9),
        ("capstan,mu=0.1,turns=1", math.exp(0.1 * 3 * math.pi)),
        ("X=capstan,mu=0.1", math.exp(0.1 * math.pi)),
        ("bearing,f=0.02,c=0.01", 1.03 / 0.98),
        ("published,row=api-plain", 1.09),
        ("tenth-rule", 1.1),
        ("frictionless", 1.0),
    ],
)
def test_every_law_can_be_typed(solve, law, k):
    code, record = solve(REDIRECT, "--law", law)
    assert code == 0
    assert record["contacts"][0]["ratio"] == pytest.approx(k)
    assert record["law_source"] or law == "frictionless"


def test_a_typed_interval_and_a_device_reach_the_record(solve):
    _, record = solve(
        "three-part",
        "--law",
        "per-contact,k=1.1±0.04",
        "--device",
        "X=puck-A",
        "--device",
        "O=puck-A",
        "--load",
        "10kN",
    )
    together = record["uncertainty"]["effort_N.winch"]["u"]
    _, alone = solve("three-part", "--ratio", "X=1.1±0.04", "--ratio", "O=1.1±0.04", "--load", "10kN")
    _, named = solve(
        "three-part",
        "--ratio",
        "puck-A=1.1±0.04",
        "--device",
        "X=puck-A",
        "--device",
        "O=puck-A",
        "--load",
        "10kN",
    )
    assert named["uncertainty"]["effort_N.winch"]["u"] == pytest.approx(together)
    assert alone["uncertainty"]["effort_N.winch"]["u"] < together


def test_a_seized_sheave_has_the_friction_typed(solve):
    _, record = solve(REDIRECT, "--ratio", "1.1", "--seized", "X=0.25")
    assert record["seized"]["rise"] == pytest.approx(math.exp(0.25 * math.pi) / 1.1)
    assert record["seized"]["blocks"] == {"X": 0.25}


def test_the_text_tells_set_up_laws_and_the_seized_sheave(capsys):
    rig = hw.read_rig("!truck.drum > tree > truck")
    assert hw.read_rig(rig, {"*": {"law": "by-wrap", "k": 1.07}}).law.words == "k 1.07 by wrap"
    assert main(["rig", "solve", REDIRECT, "--law", "tenth-rule", "--seized", "X", "--load", "10kN"]) == 0
    told = capsys.readouterr().out
    assert "seized       X (mu 0.2): running it takes 11.0" in told.replace("\u00a0", " ")
    assert "published range: mu 0.1" in told


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--law", "by-wrap,k"], "--law by-wrap,k"),
        (["--law", "by-wrap,k=1.1", "--law", "efficiency,e=0.9"], "one for each block"),
        (["--law", "Y=by-wrap,k=1.1"], "no block"),
        (["--law", "bywrap,k=1.1"], "not known"),
        (["--device", "X"], "BLOCK=NAME"),
        (["--device", "Y=puck"], "no block"),
        (["--seized", "X=much"], "BLOCK=mu"),
        (["--seized", "X=-1"], "friction coefficient"),
        (["--seized", "Y"], "no block"),
    ],
)
def test_what_cannot_be_read_is_refused(solve, words, told):
    code, record = solve(REDIRECT, *words)
    assert code == 2
    assert told in record["error"]["message"]
