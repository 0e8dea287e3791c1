"""The page of rigs over HTTP: one record with solution, loads and drawing; the same numbers as the command line."""

import json
import xml.etree.ElementTree as ET

import pytest

from haulwright.interfaces.cli.main import main
from haulwright.quantities.units import speak

UNITS = {"Haulwright-Units": "kgf"}


def laid(ask, name="stacked two-parts"):
    mapping = ask("POST", "/api/rig/file", json={"rig": name, "lay_out": True}).json()["mapping"]
    mapping["sheaves"] = {"law": "by-wrap", "k": "1.07 ± 0.03"}
    mapping["load"]["resistance"] = "26 kN"
    mapping["winch"]["stall"] = "42 kN"
    return mapping


@pytest.fixture
def speaking_again():
    yield
    speak("kN")


@pytest.mark.usefixtures("speaking_again")
def test_the_sheet_the_file_and_the_command_line_have_the_same_numbers(ask, tmp_path, capsys):
    moved = ask(
        "POST", "/api/rig/sheet", json={"rig": laid(ask), "move": {"name": "truck", "to_m": [15.0, 1.5]}}
    ).json()
    sheet = ask("POST", "/api/rig/sheet", json={"rig": moved["mapping"]}).json()
    assert sheet["answer"] == moved["answer"]
    file = ask("POST", "/api/rig/file", json={"rig": moved["mapping"]}).json()
    (tmp_path / "rig.yaml").write_text(file["yaml"], encoding="utf-8")
    assert main(["rig", "solve", str(tmp_path / "rig.yaml"), "--json"]) == 0
    printed = json.loads(capsys.readouterr().out)
    for key in ("advantage", "effort_N", "lines", "bodies", "blocks", "uncertainty", "notices"):
        assert printed[key] == sheet["solution"][key]
    row = next(one for one in sheet["loads"] if one["of"] == "drum:winch")
    assert row["expected_N"] == printed["effort_N"]["winch"]
    assert row["interval95_N"] == printed["uncertainty"]["effort_N.winch"]["interval95"]


def test_the_text_of_a_rig_file_is_read(ask):
    written = ask("POST", "/api/rig/file", json={"rig": laid(ask)}).json()
    again = ask("POST", "/api/rig/file", json={"text": written["yaml"]}).json()
    assert again["mapping"] == written["mapping"]
    assert again["notation"] == "helper.drum > ~M > helper ; ~M > !B1@truck > helper"


@pytest.mark.parametrize(
    ("asked", "code"),
    [
        ({}, "VALUE"),
        ({"rig": "two-part", "text": "rig: a"}, "VALUE"),
        ({"text": "a: [1"}, "SYNTAX"),
        ({"rig": "rigs/oak.yaml"}, "UNKNOWN"),
    ],
)
def test_what_is_no_rig_is_refused(ask, asked, code):
    said = ask("POST", "/api/rig/file", json=asked)
    assert (said.status_code, said.json()["error"]["code"]) == (422, code)


def test_a_rig_that_cannot_work_is_an_answer_with_its_reason(ask):
    mapping = laid(ask)
    mapping["lines"] = {}
    said = ask("POST", "/api/rig/sheet", json={"rig": mapping})
    assert said.status_code == 200
    assert said.json()["refused"]["code"] == "NO_LOAD"
    assert said.json()["drawing"].startswith("<svg")
    assert said.json()["solution"] is None


def test_what_cannot_be_read_is_refused_with_its_key(ask):
    mapping = laid(ask)
    mapping["load"]["resistance"] = "a lot"
    said = ask("POST", "/api/rig/sheet", json={"rig": mapping})
    assert said.status_code == 422
    assert "resistance" in said.json()["error"]["message"]


def test_a_name_with_markup_stands_inert_in_the_drawing(ask):
    mapping = ask("POST", "/api/rig/file", json={"rig": "two-part", "lay_out": True}).json()["mapping"]
    evil = '<img src=x onerror="alert(1)">'
    mapping["anchors"] = {evil: mapping["anchors"]["tree"]}
    mapping["load"]["toward"] = evil
    mapping["blocks"]["B1"]["on"] = evil
    sheet = ask("POST", "/api/rig/sheet", json={"rig": mapping}).json()
    assert "&lt;img" in sheet["drawing"]
    for svg in (sheet["drawing"], sheet["unrolled"]):
        assert "<img" not in svg
        for element in ET.fromstring(svg).iter():
            assert element.tag.startswith("{http://www.w3.org/2000/svg}")
            assert not [name for name in element.attrib if name.startswith("on")]


def test_figures_are_drawn_in_the_readers_unit(ask):
    question = {"rig": "two-part", "ratio": 1.1, "load": "20 kN", "stall": "42 kN"}
    kilonewtons = ask("POST", "/api/rig/sheet", json=question).json()
    kilograms = ask("POST", "/api/rig/sheet", json=question, headers=UNITS).json()
    assert ">20.0<" in kilonewtons["drawing"]
    assert ">2\u2009039<" in kilograms["drawing"]  # 20 kN ÷ 9.80665 m/s²
    assert kilograms["solution"]["effort_N"] == kilonewtons["solution"]["effort_N"]


def test_the_picture_is_one(ask):
    said = ask("POST", "/api/rig/picture", json={"rig": laid(ask)})
    assert said.headers["content-type"] == "image/png"
    assert said.content[:8] == b"\x89PNG\r\n\x1a\n"


def test_published_ratios_have_their_source(ask):
    sheaves = ask("GET", "/api/rig/sheaves").json()["sheaves"]
    assert [one["k"]["value"] for one in sheaves] == sorted(one["k"]["value"] for one in sheaves)
    assert all(one["source"] and one["valid"] for one in sheaves)
    solved = ask(
        "POST",
        "/api/rig/solve",
        json={"rig": "two-part", "laws": {"*": {"law": "published", "row": sheaves[0]["row"]}}},
    )
    assert solved.json()["contacts"][0]["ratio"] == sheaves[0]["k"]["value"]


def test_a_thing_dragged_out_of_the_world_does_not_hold_the_server_up(ask):
    mapping = laid(ask)
    frame = ask("POST", "/api/rig/sheet", json={"rig": mapping}).json()["frame"]
    said = ask(
        "POST",
        "/api/rig/sheet",
        json={"rig": mapping, "frame": frame, "move": {"name": "truck", "to_m": [1e7, 1e7]}},
    )
    assert said.status_code == 200
    assert said.elapsed.total_seconds() < 5.0
