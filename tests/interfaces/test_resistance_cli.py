"""``haulwright resistance`` by options, and ``haulwright plan seen``: words, JSON and refusals."""

import json
import shutil
from pathlib import Path

import pytest

import haulwright as hw
from haulwright.interfaces.cli.main import main

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
CASE = ("--mass", "2.6t", "--load", "480kg", "--surface", "mud", "--slope", "12 %", "--up", "--sunk", "wheel")


def answer(capsys, *words):
    code = main([*words, "--json"])
    return code, json.loads(capsys.readouterr().out)


def test_options_are_the_same_as_a_file(capsys, tmp_path):
    code, typed = answer(capsys, "resistance", *CASE)
    assert code == 0
    file = tmp_path / "case.yaml"
    file.write_text(
        "vehicle: {mass: 2.6 t, load: 480 kg, sunk: wheel}\n"
        "ground: {surface: mud, slope: 12 %, direction: up}\n",
        encoding="utf-8",
    )
    assert answer(capsys, "resistance", str(file))[1]["rules"] == typed["rules"]
    given = {
        "vehicle": {"mass": "2.6 t", "load": "480 kg", "sunk": "wheel"},
        "ground": {"surface": "mud", "slope": "12 %", "direction": "up"},
    }
    assert hw.estimate_resistance(given).to_dict()["rules"] == typed["rules"]


def test_every_option_reaches_the_rules(capsys):
    base = ("resistance", "--mass", "2.6t", "--surface", "gravel")
    _, plain = answer(capsys, *base)
    rule = {one["name"]: one for one in plain["rules"]}["fractions and mire"]
    for more, key, up in (
        (("--mass-high", "3t"), "high_N", True),
        (("--mass-low", "2t"), "low_N", False),
        (("--load", "200kg"), "likely_N", True),
        (("--people", "3"), "likely_N", True),
        (("--trailer", "700kg"), "likely_N", True),
        (("--slope", "1:8", "--up"), "likely_N", True),
        (("--slope", "2deg", "--down"), "likely_N", False),
        (("--sunk", "12cm", "--wheel-radius", "39cm"), "likely_N", True),
        (("--wheels", "half locked"), "likely_N", True),
        (("--wheel", "left front=flat"), "likely_N", True),
        (("--step", "10cm", "--wheel-radius", "39cm"), "likely_N", True),
        (("--suction", "4kN"), "breakout_N", True),
        (("--drives",), "low_N", False),
    ):
        code, record = answer(capsys, *base, *more)
        other = {one["name"]: one for one in record["rules"]}["fractions and mire"]
        assert code == 0
        assert (other[key] > rule[key]) if up else (other[key] < rule[key]), more
    _, side = answer(capsys, *base, "--lies", "on its side")
    assert [one["name"] for one in side["rules"]] == ["military righting"]
    military = ("--sunk", "wheel", "--rule", "military mire and grade")
    _, forwards = answer(capsys, *base, *military)
    _, back = answer(capsys, *base, *military, "--way-in")
    assert back["rules"][0]["likely_N"] < forwards["rules"][0]["likely_N"]


def test_it_reads_as_advice(capsys):
    assert main(["resistance", *CASE]) == 0
    text = " ".join(capsys.readouterr().out.split())
    for words in (
        "Reckon with 46.3 kN to keep it moving (32.4 to 60.2 kN), and up to 60.2 kN to start it.",
        "most of it is mire to the wheel",
        "Once out of its hole, about 16.09 kN.",
        "dig it free: about 30.2 kN less, 65 %",
        "let air out of the tyres",
        "suction is not covered",
        "An estimate is not a rating.",
    ):
        assert words.replace(" kN", "\u00a0kN") in text.replace("\u00a0", " ").replace(" kN", "\u00a0kN"), (
            words
        )
    main(["resistance", *CASE, "--units", "kgf"])
    assert "kN" not in capsys.readouterr().out


def test_a_runaway_comes_before_the_numbers(capsys):
    assert main(["resistance", "--mass", "2.6t", "--surface", "grass", "--slope", "8deg", "--down"]) == 0
    assert capsys.readouterr().out.startswith("Downhill, this vehicle may run away by itself")
    assert main(["resistance", "--mass", "2.6t", "--surface", "road", "--slope", "10deg", "--down"]) == 2
    assert capsys.readouterr().err.startswith(
        "Refused (RUNS_AWAY): Downhill, this vehicle runs away by itself"
    )


@pytest.mark.parametrize(
    ("words", "code", "text"),
    [
        (("--surface", "muud"), "VALUE", "did you mean mud"),
        (("--surface", "gravel", "--sunk", "weel"), "VALUE", "did you mean wheel"),
        (("--surface", "gravel", "--wheels", "al locked"), "VALUE", "did you mean all locked"),
        (("--surface", "gravel", "--rule", "trade sheet"), "RULE", "did you mean 'trade sheets'"),
        (("--surface", "gravel", "--slope", "5deg"), "SLOPE", "say up or down"),
        (("--surface", "gravel", "--slope", "5deg", "--up", "--down"), "USAGE", "keep one"),
        (("--surface", "gravel", "--slop", "5deg"), "USAGE", "--slope"),
        (("--surface", "gravel", "--wheel", "left front"), "USAGE", "each wheel once"),
        (("--surface", "gravel", "--wheel", "left=lockd"), "VALUE", "did you mean locked"),
        (("--surface", "gravel", "--load", "480"), "VALUE", "no unit"),
        (("--surface", "gravel", "--own", "nowhere.seen.yaml"), "NO_FILE", "nowhere"),
        (("--surface", "gravel", "--rule", "own pulls"), "RULE", "needs 3 own pulls"),
        ((), "USAGE", "--surface is missing"),
        ((str(EXAMPLES / "pulls" / "rutted-clearing.yaml"),), "USAGE", "both given"),
    ],
)
def test_wrong_words_are_refused_with_the_nearest(capsys, words, code, text):
    exit_code, record = answer(capsys, "resistance", "--mass", "2.6t", *words)
    assert exit_code == 2
    assert record["error"]["code"] == code
    assert text in record["error"]["message"]


def test_seen_is_entered_beside_the_pull_and_sharpens_the_next_estimate(capsys, tmp_path):
    shutil.copytree(EXAMPLES, tmp_path / "examples")
    pull = tmp_path / "examples" / "pulls" / "rutted-clearing.yaml"
    kept = pull.with_name("rutted-clearing.seen.yaml")
    for day, line in enumerate(("8.1 ± 0.2 kN", "8.9 ± 0.2 kN", "7.7 ± 0.2 kN"), 1):
        code, record = answer(
            capsys, "plan", "seen", str(pull), "--line", line, "--by", "me", "--note", "invented"
        )
        assert (code, record["kind"], record["entries"]) == (0, "pull-seen", day)
        assert record["seen_N"]["value"] == pytest.approx(
            record["line_N"]["value"] * record["advantage"]["value"]
        )
        text = kept.read_text(encoding="utf-8")  # one pull each day
        kept.write_text(text.replace(record["when"][:10], f"2026-05-0{day}"), encoding="utf-8")
    _, plain = answer(capsys, "resistance", str(pull))
    _, own = answer(capsys, "resistance", str(pull), "--own", str(tmp_path), "--rule", "own pulls")
    assert "own pulls" not in [rule["name"] for rule in plain["rules"]]
    assert own["chosen"] == "own pulls"
    mine = own["rules"][-1]
    assert {one["n"] for one in own["own"]} == {3}
    published = own["rules"][-2]
    assert mine["high_N"] - mine["low_N"] < published["high_N"] - published["low_N"]
    assert main(["resistance", str(pull), "--own", str(tmp_path)]) == 0
    assert "seen ÷ foretold" in capsys.readouterr().out
    assert main(["plan", "seen", str(pull), "--line", "8 kN", "--did-not-move"]) == 0
    out = capsys.readouterr().out
    assert "did not move at" in out
    assert "4 in all" in " ".join(out.split())


def test_a_reading_that_is_none_is_refused(capsys):
    pull = str(EXAMPLES / "pulls" / "rutted-clearing.yaml")
    code, record = answer(capsys, "plan", "seen", pull, "--line", "0 kN")
    assert (code, record["error"]["code"]) == (2, "READING")
    code, record = answer(capsys, "plan", "seen", pull, "--line", "8.4")
    assert (code, record["error"]["code"]) == (2, "UNIT")
