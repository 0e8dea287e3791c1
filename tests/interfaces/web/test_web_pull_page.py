"""The sheet of a plan over HTTP: the same plan as everywhere, drawings that may stand in a page, the rig asked for."""

import re
import xml.etree.ElementTree as ET

import pytest

from haulwright.interfaces.web.questions.pull import PULL_EXAMPLE

SVG = "{http://www.w3.org/2000/svg}"
DRAWN = {"svg", "g", "path", "rect", "circle", "text", "tspan", "line"}
COLOURS = ("fill", "stroke")


@pytest.fixture
def sheet(ask):
    def asked(units="kN", **given):
        answer = ask(
            "POST",
            "/api/plan/sheet",
            json={"pull": PULL_EXAMPLE, **given},
            headers={"Haulwright-Units": units},
        )
        assert answer.status_code == 200, answer.text
        return answer.json()

    return asked


def test_the_plan_is_the_plan(ask, sheet):
    made = ask("POST", "/api/plan/make", json={"pull": PULL_EXAMPLE}).json()
    record = sheet()
    assert record["kind"] == "plan-sheet"
    assert record["plan"]["candidates"] == made["candidates"]
    assert record["plan"]["checklist"] == made["checklist"]
    assert record["plan"]["zone"] == made["zone"]
    walked = ask("POST", "/api/plan/pull", json={"pull": PULL_EXAMPLE, "steps": 60}).json()
    assert record["steps"]["steps"] == walked["steps"]
    assert (
        next(one["title"] for one in made["candidates"] if one["rig"] == made["chosen"])
        == "Two-part, own winch"
    )


def test_drawings_may_stand_in_a_page(sheet):
    """What the content policy blocks, or what would clash with another drawing, is not in them."""
    record = sheet()
    kinds = {(one["what"], one["size"]) for one in record["drawings"]}
    assert kinds == {("glyph", "")} | {
        (w, s) for w in ("ground", "zone", "line") for s in ("laptop", "phone")
    }
    for one in record["drawings"]:
        root = ET.fromstring(one["svg"])
        assert root.get("role") == "img"
        assert root.get("aria-label")
        for node in root.iter():
            assert node.tag.removeprefix(SVG) in DRAWN, node.tag
            for name, value in node.attrib.items():
                assert name not in ("id", "style", "href", "onload"), one["what"]
                assert "url(" not in value
                if name in COLOURS:
                    assert value == "none" or re.fullmatch(r"var\(--[a-z0-9-]+\)", value), value


def test_every_drawing_fits_its_size(sheet):
    widths = {
        "laptop": {"ground": 1008, "line": 1008, "zone": 660},
        "phone": {"ground": 360, "line": 360, "zone": 344},
    }
    for one in sheet()["drawings"]:
        if one["size"]:
            assert float(ET.fromstring(one["svg"]).get("width")) == widths[one["size"]][one["what"]]


def test_figures_stand_in_the_unit_asked_for_and_numbers_stay(sheet):
    first, second = sheet(), sheet(units="kgf")
    assert first["plan"]["candidates"][0]["effort_N"] == second["plan"]["candidates"][0]["effort_N"]
    assert "kN" in " ".join(first["lead"])
    assert "kgf" in " ".join(second["lead"])
    assert "kN" not in " ".join([*second["lead"], *second["cautions"]])


def test_another_rig_of_the_plan_is_chosen_with_all_that_is_said_of_it(sheet):
    elm = {"name": "elm", "kind": "tree", "distance": "12 m", "aside": "2 m"}
    site = {"anchors": [*PULL_EXAMPLE["site"]["anchors"], elm]}
    pull = {**PULL_EXAMPLE, "site": site}
    first = sheet(pull=pull)
    other = next(one["rig"] for one in first["plan"]["candidates"] if one["rig"] != first["plan"]["chosen"])
    second = sheet(pull=pull, rig=other)
    assert second["plan"]["chosen"] == other
    assert [c["rig"] for c in second["plan"]["candidates"]] == [c["rig"] for c in first["plan"]["candidates"]]
    assert {one["rig"] for one in second["drawings"] if one["what"] == "zone"} == {other}
    assert second["steps"]["rig"] == other


def test_where_no_rig_can_be_used_the_sheet_says_so_and_draws_none(sheet):
    record = sheet(pull={**PULL_EXAMPLE, "vehicle": {**PULL_EXAMPLE["vehicle"], "mass": "30 t"}})
    assert record["plan"]["chosen"] is None
    assert record["drawings"] == []
    assert record["undrawn"]
    assert record["plan"]["rejected"]
    assert record["plan"]["brief"]


def test_words_of_a_pull_are_answered_at_once(ask):
    kinds = ask("GET", "/api/plan/kinds").json()
    assert kinds["kind"] == "pull-kinds"
    assert "tree" in kinds["anchor_kinds"]
