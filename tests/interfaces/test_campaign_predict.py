"""``campaign predict`` in words: what it gives, for many pulls and one, what it rests on, where it does not hold."""

import shutil
from pathlib import Path

import pytest

import haulwright as hw
from haulwright.interfaces.cli.main import main

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return Path(
        shutil.copytree(
            EXAMPLES / "campaign",
            tmp_path_factory.mktemp("predict") / "campaign",
            ignore=shutil.ignore_patterns("results"),
        )
    )


@pytest.fixture
def said(capsys, folder):
    def run(*words):
        assert main(["campaign", "predict", str(folder), *map(str, words), "--jobs", "1"]) == 0
        return " ".join(capsys.readouterr().out.replace("\u00a0", " ").split())

    return run


def test_the_words(said):
    text = said(
        "--rig", "three-part", "--device", "hoop-B", "--device", "hoop-B", "--load", "26kN", "--units", "kgf"
    )
    assert "three-part/on-load on hoop-B, twice, from meadow (invented)" in text
    assert "mean of many pulls; frictionless 3" in text
    assert text.count("one new pull") == 3  # advantage, winch share, line pull
    assert "at a load of 2 651 kgf" in text.replace("\u2009", " ")
    assert "holds for loads of" in text
    assert "Predicted from the other runs: 5 of 5 configurations" in text
    assert "An estimate is not a rating" in text


def test_outside_what_was_measured(said):
    text = said("--rig", "two-part", "--device", "puck-A", "--load", "60kN")
    assert ", outside" in text
    assert "Look at this: puck-A would see 31.3 kN in the line; it was tested at" in text
    assert "Measured in two-a1, two-a2: advantage" in text
    text = said("--rig", "four-part", *["--device", "puck-A"] * 3)
    assert "was not measured in this campaign" in text
    assert "no load given" in text


def test_a_rig_file_notation_and_mapping(said, folder):
    corner = EXAMPLES / "rigs" / "corner-by-the-oak.yaml"
    text = said("--rig", corner, "--device", "hoop-B")
    assert "would be wrapped by 75°; it was tested at 180°" in text
    shutil.copy(corner, folder / "corner.yaml")
    assert "would be wrapped by 75°" in said(
        "--rig", "corner.yaml", "--device", "hoop-B"
    )  # beside the campaign
    by_name = hw.predict_campaign(folder, "two-part", ["hoop-B"])
    by_path = hw.predict_campaign(folder, "!truck.drum > tree > truck", ["hoop-B"])
    assert by_path.advantage == by_name.advantage
