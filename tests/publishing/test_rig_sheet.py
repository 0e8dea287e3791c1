"""The rig for a page: the drawing of the file in the page's colours, kept in place while dragged, without numbers where refused."""

from __future__ import annotations

import dataclasses
import json
import re
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest

from haulwright import workflows
from haulwright.errors import UsageRefusal
from haulwright.files.rig import read_rig
from haulwright.mechanics.statics import solve_rig
from haulwright.planning.loads import load_rows
from haulwright.publishing.diagram import rig_svg
from haulwright.publishing.diagram.frame import frame_of
from haulwright.publishing.look import LIVE, PAPER

EXAMPLES = sorted((Path(__file__).parents[2] / "examples" / "rigs").glob("*.yaml"))
SIZES = (("laptop", 1008.0), ("laptop", 820.0), ("phone", 360.0))
SVG = "{http://www.w3.org/2000/svg}"


def given(path):
    return workflows.rig_of_text(path.read_text(encoding="utf-8"))


def handed_back(sheet):
    return json.loads(json.dumps(sheet.to_dict()["frame"]))


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_the_page_and_the_file_have_one_drawing(path):
    """The same drawing, but for the colours, which are the page's, and the strip, which stands by itself."""
    rig = read_rig(given(path))
    stalls = workflows.solve_at_stall(rig, None, "42 kN")
    of_file = rig_svg(solve_rig(rig), stall=stalls, size="laptop")
    sheet = workflows.show_rig(given(path), stall="42 kN", size="laptop", width=1008)
    paper = re.sub(
        r"var\(--([a-z0-9-]+)\)",
        lambda m: f"{PAPER.hatch_op:g}" if m[1] == "hatch-op" else getattr(PAPER, m[1].replace("-", "_")),
        sheet.drawing,
    )
    for mark in ("core", "sheath", "plait", "slack"):
        wanted = re.findall(rf'<path class="{mark}"[^>]*>', paper)
        assert wanted == [one for one in re.findall(rf'<path class="{mark}"[^>]*>', of_file) if one in wanted]
    assert (
        re.findall(r">([^<>]+)</text>", paper)
        == re.findall(r">([^<>]+)</text>", of_file)[: len(re.findall(r"</text>", paper))]
    )


@pytest.mark.parametrize(("size", "width"), SIZES)
@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_nothing_in_it_that_a_strict_policy_would_block_and_every_colour_is_the_pages(path, size, width):
    sheet = workflows.show_rig(given(path), stall="42 kN", size=size, width=width, ghost=True)
    for svg in (sheet.drawing, sheet.unrolled):
        assert float(ET.fromstring(svg).get("width")) == width
        assert not re.search(r"<style|style=|@font-face|url\(|href|<script|on[a-z]+=", svg)
        colours = set(re.findall(r'(?:fill|stroke)="([^"]+)"', svg))
        assert colours <= {
            "none",
            *(getattr(LIVE, f.name) for f in dataclasses.fields(LIVE) if f.name != "hatch_op"),
        }


@pytest.mark.parametrize(("size", "width"), SIZES)
@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_a_frame_handed_back_keeps_the_drawing(path, size, width):
    first = workflows.show_rig(given(path), stall="42 kN", size=size, width=width)
    again = workflows.show_rig(given(path), stall="42 kN", size=size, width=width, frame=handed_back(first))
    assert sorted(re.findall(r"<text[^>]*>", first.drawing)) == sorted(
        re.findall(r"<text[^>]*>", again.drawing)
    )
    assert again.frame.sheet_px == first.frame.sheet_px
    assert again.places == first.places


def test_scale_and_place_stay_while_an_anchor_is_dragged_and_everything_lies_where_the_frame_says():
    path = next(one for one in EXAMPLES if one.stem == "corner-on-a-strap")
    first = workflows.show_rig(given(path), stall="42 kN")
    to = [1.5, -1.0]
    moved = workflows.show_rig(
        given(path), stall="42 kN", frame=handed_back(first), move={"name": "oak", "to_m": to}
    )
    for sheet, at in ((first, (0.0, 0.0)), (moved, to)):
        frame, oak = sheet.frame, next(one for one in sheet.places if one.of == "body:oak")
        where = [
            frame.origin_px[i] + frame.px_per_m * (at[0] * frame.x_px[i] + at[1] * frame.y_px[i])
            for i in (0, 1)
        ]
        assert (oak.x, oak.y) == pytest.approx(where, abs=0.06)
        assert oak.at_m == pytest.approx(at)
    assert (moved.frame.px_per_m, moved.frame.sheet_px) == (first.frame.px_per_m, first.frame.sheet_px)
    assert moved.mapping["anchors"]["oak"]["at"] == ["1.5 m", "-1 m"]
    assert (
        moved.solution.advantage == solve_rig(read_rig(moved.mapping)).advantage != first.solution.advantage
    )


@pytest.mark.parametrize("wrong", [{}, {"size": "laptop"}, None])
def test_a_frame_that_is_none_is_refused(wrong):
    whole = handed_back(workflows.show_rig("two-part"))
    with pytest.raises(UsageRefusal) as refused:
        frame_of(whole | {"sheet_px": [0, 0, 1e9, 1]} if wrong is None else wrong)
    assert refused.value.code == "FRAME"


def test_a_refused_rig_is_drawn_without_a_number_and_ringed_where_it_was_refused():
    loose = {
        "mode": "ground", "anchors": {"oak": {"at": ["0 m", "0 m"]}},
        "load": {"name": "truck", "at": ["12 m", "0 m"], "toward": "oak", "resistance": "20 kN"},
        "blocks": {"M": {"floating": True, "near": ["6 m", "1 m"]}},
        "lines": {"winch line": {"standing": "truck", "through": ["M"], "fall": "winch"}}, "winch": {"on": "truck"},
    }  # fmt: skip
    sheet = workflows.show_rig(loose, stall="40 kN")
    assert sheet.solution is None
    assert sheet.loads == ()
    assert sheet.refused.where
    names = {one.of.partition(":")[2] for one in sheet.places}
    assert set(sheet.refused.where) & names
    assert 'class="refused"' in sheet.drawing
    assert 'class="slack"' in sheet.drawing
    assert not re.search(r'class="(core|plait|sheath)"', sheet.drawing)
    shown = [
        words
        for words in re.findall(r">([^<>]+)</text>", sheet.drawing)
        if not re.fullmatch(r"−?\d+( m)?", words)
    ]
    assert not [words for words in shown if re.search(r"\d", words.replace("B1", ""))]


def test_a_line_that_begins_and_ends_at_one_place_is_refused_and_drawn():
    rig = workflows.lay_out_rig("two-part")
    rig["lines"]["winch line"] = {"standing": "truck", "fall": "winch"}
    sheet = workflows.show_rig(rig)
    assert sheet.refused.code == "ZERO_PART"
    assert sheet.drawing


def test_what_is_put_down_before_any_line_is_led_is_drawn():
    bare = {
        "mode": "ground",
        "anchors": {"oak": {"at": ["0 m", "0 m"]}},
        "load": {"name": "truck", "at": ["12 m", "0 m"]},
    }
    sheet = workflows.show_rig(bare)
    assert [one.of for one in sheet.places] == ["body:oak", "body:truck"]
    assert sheet.refused.code == "NO_LOAD"


def test_an_anchor_no_line_leads_to_is_drawn_beside_the_rig():
    path = next(one for one in EXAMPLES if one.stem == "corner-by-the-oak")
    rig = given(path)
    rig["anchors"]["pine"] = {"at": [4, 9]}
    sheet = workflows.show_rig(rig, stall="42 kN")
    assert next(one for one in sheet.places if one.of == "body:pine").at_m == (4.0, 9.0)
    assert ">pine</text>" in sheet.drawing


def test_limits_are_held_against_the_greatest_load_with_friction_and_without():
    """Ratings from the rig's own words; over, tight, inside as common practice has them, no source."""
    path = next(one for one in EXAMPLES if one.stem == "three-part-self-recovery")
    rig = given(path)
    rig["anchors"]["oak"] = {"limit": "85 kN", "source": "test pull"}
    rig["blocks"]["B1"]["wll"] = "98.1 kN"
    rig["lines"]["winch line"]["rope"] = {"break": "90 kN"}
    sheet = workflows.show_rig(rig, stall="42 kN")
    rows = {row.of: row for row in sheet.loads}
    # 42 kN on each of three parts without friction is the most the oak can get; B1 has two of them
    assert rows["body:oak"].stall_N == pytest.approx(126e3)
    assert rows["body:oak"].verdict_stall == "over"
    assert rows["block:B1"].stall_N == pytest.approx(84e3)
    assert rows["block:B1"].verdict_stall == "tight"
    assert rows["block:B2"].verdict == rows["becket:B2"].verdict == "unknown"
    assert rows["part:winch line:2"].basis.startswith("MBS ÷ ")
    assert rows["part:winch line:2"].utilisation_stall == pytest.approx(42.0 / (90.0 / 2.0))  # house factor 2
    assert rows["part:winch line:2"].verdict_stall == "tight"
    assert " over</text>" in sheet.drawing
    assert rows["drum:winch"].expected_N == sheet.solution.effort_N["winch"]


def test_the_rows_name_every_force_of_the_drawing():
    for path in EXAMPLES:
        solution = solve_rig(read_rig(given(path)))
        rows = {row.of for row in load_rows(read_rig(given(path)), solution)}
        parts = {f"part:{name}:{i}" for name, line in solution.lines.items() for i in range(len(line.parts))}
        assert parts | {f"block:{name}" for name in solution.blocks} <= rows


def test_the_ghost_has_the_strands_without_friction_dashed():
    sheet = workflows.show_rig("three-part", 1.1, load="26 kN", stall="42 kN", ghost=True)
    assert 'class="frictionless"' in sheet.drawing
    assert 'stroke-dasharray="7 4"' in sheet.drawing
    assert sheet.without_friction.advantage == pytest.approx(3.0)
    assert (
        'class="frictionless"'
        not in workflows.show_rig("three-part", 1.1, load="26 kN", stall="42 kN").drawing
    )


def test_a_rig_that_cannot_be_drawn_keeps_its_numbers():
    tall = {
        "anchors": {"beam": {"at": ["0 m", "0 m", "4 m"]}},
        "load": {"name": "stone", "at": ["0 m", "0 m", "0 m"], "direction": [0, 0, 1], "resistance": "1 kN"},
        "blocks": {"B": {"on": "stone"}},
        "lines": {"line": {"standing": "beam", "through": ["B"], "fall": "winch"}},
        "winch": {"on": "beam", "stall": "4 kN"},
    }
    sheet = workflows.show_rig(tall)
    assert sheet.drawing is None
    assert sheet.not_drawn.code == "UPRIGHT"
    assert sheet.answer.advantage.value == pytest.approx(2.0)
    assert sheet.answer.stall_N == 4000.0


def test_a_rig_whose_figures_find_no_place_is_drawn_without_them_to_be_moved_on():
    crowded = {
        "rig": "crowded", "mode": "ground", "sheaves": {"law": "by-wrap", "k": 1.07},
        "anchors": {"oak": {"at": ["0 m", "0 m"]}, "elm": {"at": ["2.35 m", "0 m"]}},
        "load": {"name": "truck", "at": ["12 m", "0 m"], "toward": "oak", "resistance": "20 kN"},
        "blocks": {"B1": {"on": "oak"}},
        "lines": {"winch line": {"standing": "truck", "through": ["B1"], "fall": "winch"}},
        "winch": {"on": "truck", "stall": "40 kN"},
    }  # fmt: skip
    sheet = workflows.show_rig(crowded, size="phone", width=348)
    assert sheet.not_drawn.code == "TOO_COMPLEX"
    assert sheet.solution is not None
    assert {"body:oak", "body:elm", "body:truck"} <= {place.of for place in sheet.places}
    assert "without numbers: its figures find no place" in sheet.drawing
    assert "20.0" not in sheet.drawing


def test_of_several_winches_the_line_that_is_not_stated_is_ringed():
    sheet = workflows.show_rig({
        "rig": "two", "mode": "ground", "anchors": {"oak": {"at": ["0 m", "0 m"]}, "elm": {"at": ["0 m", "6 m"]}},
        "load": {"name": "truck", "at": ["12 m", "0 m"], "toward": "oak", "resistance": "20 kN"},
        "lines": {"a": {"standing": "truck", "fall": "one"}, "b": {"standing": "truck", "fall": "two"}},
        "winches": {"one": {"on": "oak"}, "two": {"on": "elm"}},
    })  # fmt: skip
    assert sheet.refused.code == "REDUNDANT"
    rings = sheet.drawing.split('class="refused"')[1].split("</g>")[0]
    assert rings.count("<circle") == 2
