"""The sheet of a planned pull: nothing over anything else, the zone as its rules say, every figure with its stall."""

from __future__ import annotations

import itertools
import math
import random
import re
import xml.etree.ElementTree as ET
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from test_diagram import FONTS, SVG, TITLE, glyph_width

from haulwright import workflows
from haulwright.errors import UsageRefusal
from haulwright.field.no_standing import NoStanding
from haulwright.publishing.diagram import pull_svg
from haulwright.publishing.diagram.boxes import Box
from haulwright.publishing.diagram.kept_clear import away_m, clipped, in_line, inside_bends, onto, outline
from haulwright.publishing.diagram.plan import Ruler
from haulwright.publishing.diagram.pull_words import DrawnPull, caution_words, slope_words
from haulwright.publishing.look import LIGHTS
from haulwright.publishing.raster import drawing_png
from haulwright.publishing.wording import force
from haulwright.quantities.units import FORCE_UNITS
from haulwright.workflows.plan_pages import _drawn_pull

PULLS = sorted((Path(__file__).parents[2] / "examples" / "pulls").glob("*.yaml"))
NAMES = [path.stem for path in PULLS]
SIZES = {"laptop": 1008.0, "phone": 360.0}
OVER = ("clay-ramp", "three-part/on-load, beech + stump")


@cache
def drawn(name: str, rig: str | None = None) -> DrawnPull:
    path = next(path for path in PULLS if path.stem == name)
    return _drawn_pull(workflows.plan_rig(path, rig=rig))


@cache
def sheet(
    name: str, size: str = "laptop", units: str = "kN", light: str = "paper", rig: str | None = None
) -> str:
    return pull_svg(drawn(name, rig), title="the rig", units=units, light=light, size=size)


def texts(svg: str) -> Iterator[tuple[str, Box]]:
    """Every text with its box on the page, measured with the font tables by another library."""

    def walk(node: ET.Element, dx: float, dy: float) -> Iterator[tuple[str, Box]]:
        moved = re.match(r"translate\((-?[\d.]+) (-?[\d.]+)\)$", node.get("transform", ""))
        if moved:
            dx, dy = dx + float(moved[1]), dy + float(moved[2])
        if node.tag == f"{SVG}text":
            words, size = node.text or "", float(node.get("font-size", "0"))
            family = node.get("font-family") or ""
            font = TITLE if "Besley" in family else FONTS[int(node.get("font-weight", "400"))]
            wide = glyph_width(words, size, font)
            x, y = float(node.get("x", "0")) + dx, float(node.get("y", "0")) + dy
            left = x - {"start": 0.0, "middle": wide / 2.0, "end": wide}[node.get("text-anchor", "start")]
            yield words, Box(left, y - 0.68 * size, left + wide, y + 0.02 * size)
        for child in node:
            yield from walk(child, dx, dy)

    yield from walk(ET.fromstring(svg), 0.0, 0.0)


@pytest.mark.parametrize(("name", "size", "units"), list(itertools.product(NAMES, SIZES, ("kN", "lbf"))))
def test_no_word_lies_over_another_or_off_the_page(name: str, size: str, units: str) -> None:
    svg = sheet(name, size, units)
    root = ET.fromstring(svg)
    page = Box(0.0, 0.0, float(root.get("width", "0")), float(root.get("height", "0")))
    assert page.x1 == SIZES[size]
    boxes = list(texts(svg))
    for words, box in boxes:
        assert page.grown(0.5).holds(box), words
    for (a, first), (b, second) in itertools.combinations(boxes, 2):
        assert not first.meets(second, 1.0), (a, b)


@pytest.mark.parametrize(("name", "size"), list(itertools.product(NAMES, SIZES)))
def test_every_part_has_its_likely_and_its_stall_figure(name: str, size: str) -> None:
    pull = drawn(name)
    for units in ("kN", "kgf"):
        printed = [words for words, _ in texts(sheet(name, size, units))]
        for record in (pull.expected,):
            for line in record.lines.values():
                for part in line.parts:
                    assert force(part.tension_N, units, unit=False) in printed
        for line_name, line in pull.expected.lines.items():
            for i in range(len(line.parts)):
                most = max(stall.lines[line_name].parts[i].tension_N for stall in pull.stalls)
                assert force(most, units, unit=False) in printed


@pytest.mark.parametrize(("name", "units"), list(itertools.product(NAMES, FORCE_UNITS)))
def test_cautions_stand_on_the_sheet_in_its_unit(name: str, units: str) -> None:
    pull = drawn(name)
    told = caution_words(pull, units)
    assert force(pull.candidate.stall_N, units) in told[0]
    printed = " ".join(words for words, _ in texts(sheet(name, "phone", units)))
    for needed in (*told, "Nobody within", "At no distance:", slope_words(pull)):
        assert needed.replace("\u00a0", " ") in printed.replace("\u00a0", " ")
    assert any(words.startswith("Nobody in line") for words in told)
    assert any("licensed people" in words for words in told)


def test_the_slope_is_said_with_its_direction() -> None:
    pull = drawn("clay-ramp")
    assert slope_words(pull) == "8° (14 %) up"
    down = replace(pull, candidate=replace(pull.candidate, rise_rad=-math.atan(0.14)))
    assert slope_words(down) == "8° (14 %) down"
    level = replace(pull, candidate=replace(pull.candidate, rise_rad=0.0))
    assert slope_words(level) == "level"


# --- the zone -----------------------------------------------------------------------------------------------------------
def holds(shape: tuple[tuple[float, float], ...], at: tuple[float, float]) -> bool:
    turns = {
        (bx - ax) * (at[1] - ay) - (by - ay) * (at[0] - ax) > 0.0
        for (ax, ay), (bx, by) in zip(shape, (*shape[1:], shape[0]), strict=True)
        if math.dist((ax, ay), (bx, by)) > 1e-9
    }
    return len(turns) == 1


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize(
    "ways", [(("x", -1.0), ("y", 1.0)), (("y", -1.0), ("x", -1.0)), (("x", 1.0), ("y", -1.0))]
)
def test_hatched_and_crossed_ground_is_what_the_rule_forbids(
    name: str, ways: tuple[tuple[str, float], ...]
) -> None:
    """Against the rule's own answer for a place (field.no_standing), at places drawn at random."""
    zone = drawn(name).plan.zone
    rule = NoStanding(1e-9, zone.parts, zone.bends, zone.in_line_rad)
    (level, right), (upright, down) = ways
    ruler = Ruler(4.0, (level, right, -60.0 * right), (upright, down, -60.0 * down))
    place, box = onto(ruler), Box(0.0, 0.0, 480.0, 480.0)
    lines = [w.shape for w in in_line(zone, place, box)]
    bends = [w.shape for w in inside_bends(zone, place, box)]
    chance = random.Random(7)
    found = 0
    for _ in range(1500):
        spot = (chance.uniform(-58.0, 58.0), chance.uniform(-58.0, 58.0))
        why = rule.why_not(spot)
        at = place(spot)
        assert any(holds(shape, at) for shape in lines) == any(w.startswith("in line") for w in why), spot
        assert any(holds(shape, at) for shape in bends) == any(w.startswith("inside") for w in why), spot
        found += bool(why)
    assert found > 20


@pytest.mark.parametrize("name", NAMES)
def test_the_outline_is_everywhere_at_the_distance_and_stations_stand_outside(name: str) -> None:
    zone = drawn(name).plan.zone
    edge = outline(zone)
    assert len(edge) == 180
    for at in edge:
        assert away_m(zone, at) == pytest.approx(zone.radius_m, abs=1e-6)
    for spot in zone.stand_m:
        assert away_m(zone, spot) >= zone.radius_m - 1e-3


def test_parts_too_far_apart_have_no_outline() -> None:
    zone = drawn("round-the-oak").plan.zone
    assert outline(replace(zone, radius_m=2.0)) == []
    assert outline(replace(zone, parts=())) == []


@pytest.mark.parametrize(("name", "size"), list(itertools.product(NAMES, SIZES)))
def test_the_map_has_the_distance_the_stations_and_the_words(name: str, size: str) -> None:
    pull, svg = drawn(name), sheet(name, size)
    printed = [words for words, _ in texts(svg)]
    assert f"{pull.plan.zone.radius_m:.1f} m".replace(".0 m", " m") in printed
    assert "in line: never" in printed
    assert ("inside the bend: never" in printed) == bool(pull.plan.zone.bends)
    assert svg.count('class="distance"') == 1
    for number in range(1, len(pull.plan.zone.stand_m) + 1):
        assert printed.count(str(number)) >= 1
        assert any(words.startswith(f"Place {number}:") for words in printed)
    assert svg.count('class="stand"') >= len(pull.plan.zone.stand_m)


def test_without_a_rig_on_the_ground_the_zone_is_said_in_words() -> None:
    pull = drawn("clay-ramp")
    zone = replace(pull.plan.zone, parts=(), bends=(), stand_m=())
    svg = pull_svg(replace(pull, plan=replace(pull.plan, zone=zone)), title="the rig", size="phone")
    printed = " ".join(words for words, _ in texts(svg))
    assert "Nobody within 57.0 m" in printed
    assert "No place near by is clear" in printed
    assert 'class="distance"' not in svg


def test_clipping_leaves_nothing_of_what_lies_outside() -> None:
    box = Box(0.0, 0.0, 10.0, 10.0)
    assert clipped([(-5.0, -5.0), (-1.0, -5.0), (-1.0, -1.0)], box) == ()
    assert set(clipped([(-50.0, -50.0), (50.0, -50.0), (50.0, 50.0), (-50.0, 50.0)], box)) == set(box.corners)


# --- bridles, verdicts, lights ------------------------------------------------------------------------------------------
@pytest.mark.parametrize(("name", "rig"), [("between-two-larches", None), OVER])
def test_the_legs_of_a_bridle_carry_together_what_the_lines_put_on_it(name: str, rig: str | None) -> None:
    pull = drawn(name, rig)
    assert pull.bridles
    for body, legs in pull.bridles.items():
        held = pull.expected.bodies[body].vector_N
        assert held is not None
        for axis in (0, 1):
            assert sum(leg.likely_N[axis] for leg in legs) == pytest.approx(
                held[axis], abs=1e-6 * math.hypot(*held)
            )
    printed = [words for words, _ in texts(sheet(name, rig=rig))]
    for leg in itertools.chain(*pull.bridles.values()):
        assert leg.anchor in printed
        assert force(math.hypot(*leg.likely_N), unit=False) in printed
        assert force(math.hypot(*leg.stall_N), unit=False) in printed


@pytest.mark.parametrize("light", LIGHTS)
def test_the_accent_is_for_over_and_nothing_else(light: str) -> None:
    accent = LIGHTS[light].over
    for name in NAMES:
        assert drawn(name).candidate.verdict in ("inside", "tight")
        if light != "print":
            assert accent not in sheet(name, light=light)
    pull, svg = drawn(*OVER), sheet(OVER[0], light=light, rig=OVER[1])
    assert pull.candidate.verdict == "over"
    assert accent in svg
    assert any(words.endswith(" over") for words, _ in texts(svg))


def test_it_says_for_a_listener_what_it_shows() -> None:
    label = ET.fromstring(sheet("round-the-oak")).get("aria-label") or ""
    for words in ("Round the oak", "inside", "Nobody within 60.0 m", "Place 2", "3° (5 %) up", "10.39"):
        assert words in label


@pytest.mark.parametrize("light", LIGHTS)
def test_the_same_records_give_the_same_bytes(light: str) -> None:
    again = pull_svg(drawn("round-the-oak"), title="the rig", light=light, size="phone")
    assert again == sheet("round-the-oak", "phone", light=light)
    picture = drawing_png(again)
    assert picture[:8] == b"\x89PNG\r\n\x1a\n"
    assert picture == drawing_png(again)
    assert int.from_bytes(picture[16:20], "big") == 720


def test_a_size_or_a_light_that_is_none_is_refused() -> None:
    for size in ("wall", "card"):
        with pytest.raises(UsageRefusal, match=f"size = '{size}': give laptop or phone"):
            pull_svg(drawn("clay-ramp"), title="the rig", size=size)
    with pytest.raises(UsageRefusal, match="light = 'dusk'"):
        pull_svg(drawn("clay-ramp"), title="the rig", light="dusk")
