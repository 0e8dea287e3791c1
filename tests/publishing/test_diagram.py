"""The drawing of a rig: weights in proportion, nothing over anything else, stall always there, refusals."""

from __future__ import annotations

import itertools
import math
import os
import re
import subprocess
import sys
import xml.etree.ElementTree as ET
from dataclasses import replace

import pytest
from fontTools.ttLib import TTFont  # type: ignore[import-untyped]
from hypothesis import given
from hypothesis import strategies as st

from haulwright.errors import RigRefusal, UsageRefusal
from haulwright.mechanics.notation import parse_notation
from haulwright.mechanics.solution import RigSolution
from haulwright.mechanics.statics import solve_rig
from haulwright.mechanics.tackles import NAMED, named_rig
from haulwright.publishing.diagram import rig_svg
from haulwright.publishing.diagram.arrangement import Arrangement
from haulwright.publishing.diagram.arranging import arrange
from haulwright.publishing.diagram.boxes import Box, bar, box_meets, disc
from haulwright.publishing.diagram.geometry import Knot, hatching, tangent
from haulwright.publishing.diagram.labels import Setter
from haulwright.publishing.diagram.lanes import _Search
from haulwright.publishing.diagram.obstacles import strand_outlines, strands_cross
from haulwright.publishing.diagram.scheme import read_scheme
from haulwright.publishing.diagram.sizes import SIZES, strand_scale
from haulwright.publishing.diagram.type_size import text_px
from haulwright.publishing.look import FACE_TEXT, FACE_TITLE, font_file
from haulwright.publishing.wording import force

STALL_N, LOAD_N, K = 42_000.0, 26_000.0, 1.07
SVG = "{http://www.w3.org/2000/svg}"
NAMES = [
    f"{rig.name}/{suffix}"
    for rig in NAMED
    for suffix, path in (("on-load", rig.on_load), ("off-load", rig.off_load))
    if path
]
# nothing but a strap under a part of another line makes this one flat
NOT_FLAT = "double spanish burton, fixed end/off-load"
DRAWN = [(name, size) for name in NAMES for size in SIZES]


def solved(name: str) -> tuple[RigSolution, RigSolution]:
    rig = named_rig(name)
    return solve_rig(rig, ratio=K, load_N=LOAD_N), solve_rig(rig, ratio=K, effort_N=STALL_N)


def points(data: str) -> list[tuple[float, float]]:
    return [(float(x), float(y)) for x, y in re.findall(r"(-?[\d.]+) (-?[\d.]+)", data)]


def paths(svg: str, kind: str) -> list[str]:
    return [e.get("d", "") for e in ET.fromstring(svg).iter(f"{SVG}path") if e.get("class") == kind]


def width_at_ends(data: str) -> tuple[float, float]:
    """Width of a ribbon where it begins and where it ends: its outline goes up one side and down the other."""
    p = points(data)
    half = len(p) // 2
    return math.dist(p[0], p[-1]), math.dist(p[half - 1], p[half])


def words(svg: str) -> list[str]:
    return [e.text or "" for e in ET.fromstring(svg).iter(f"{SVG}text")]


# --- weights ---------------------------------------------------------------------------------------------------------
def test_strand_widths_are_in_proportion_to_tension() -> None:
    # two-part: T_fall = k T_standing by the definition of the tension ratio, so the drawn widths have that ratio too
    solution, stall = solved("two-part/on-load")
    svg = rig_svg(solution, stall=stall)
    scale = strand_scale(STALL_N, SIZES["laptop"].sheath)
    for kind, effort in (("sheath", STALL_N), ("core", solution.effort_N["winch"])):
        (data,) = paths(svg, kind)
        standing, fall = width_at_ends(data)
        assert fall / standing == pytest.approx(K, rel=0.02)
        assert fall == pytest.approx(effort * scale, abs=0.15)


def test_core_and_sheath_share_one_scale() -> None:
    solution, stall = solved("redirect/off-load")
    svg = rig_svg(solution, stall=stall)
    sheath, core = width_at_ends(paths(svg, "sheath")[0])[1], width_at_ends(paths(svg, "core")[0])[1]
    assert sheath / core == pytest.approx(STALL_N / solution.effort_N["winch"], rel=0.02)


def test_a_core_thinner_than_three_pixels_is_said_to_be_drawn_alike() -> None:
    solution, stall = solved("luff on luff/off-load")
    svg = rig_svg(solution, stall=stall)
    assert min(width_at_ends(data)[1] for data in paths(svg, "core")) >= 2.8
    assert any("drawn alike" in line for line in words(svg))


@pytest.mark.parametrize("name", ["three-part/on-load", "stacked two-parts/off-load", "six-part/on-load"])
def test_the_widest_strand_stays_within_its_limit(name: str) -> None:
    _, stall = solved(name)
    for size in SIZES.values():
        greatest = max(p.tension_N for line in stall.lines.values() for p in line.parts)
        assert 0.0 < greatest * strand_scale(greatest, size.sheath) <= size.sheath


@pytest.mark.parametrize(("name", "towards"), [("single line/on-load", 1.0), ("single line/off-load", -1.0)])
def test_the_plait_points_to_the_drum(name: str, towards: float) -> None:
    # the drum is on the load (right) or on the anchor (left); the tip of each chevron lies on the drum's side
    solution, stall = solved(name)
    (data,) = paths(rig_svg(solution, stall=stall), "plait")
    for chevron in data.split("M")[1:]:
        (x0, _), (tip, _), (x2, _) = points(chevron)
        assert (tip - x0) * towards > 0.0
        assert (tip - x2) * towards > 0.0


# --- nothing lies over anything else ----------------------------------------------------------------------------------
@pytest.mark.parametrize(("name", "size"), DRAWN)
def test_labels_keep_clear(name: str, size: str) -> None:
    solution, stall = solved(name)
    found = arrange(read_scheme(solution, (stall,)), SIZES[size], "kN", frozenset())
    plan, placed = found.plan, found.placed
    assert not strands_cross(plan)
    setter = Setter(SIZES[size])
    pins = {(round(b.x, 3), round(b.y, 3)) for b in plan.blocks}
    boxes = []
    for p in placed:
        assert plan.sheet.holds(p.box)
        x, y = p.box.centre
        if p.keyed and (round(x, 3), round(y, 3)) in pins:
            continue  # at last a block carries its letter in place of its pin
        wide, high = setter.measure(p.label.tagged() if p.keyed else p.label, stacked=p.stacked)
        assert (p.box.x1 - p.box.x0, p.box.y1 - p.box.y0) == pytest.approx((wide, high))
        boxes.append(p.box)
    for a, b in itertools.combinations(boxes, 2):
        assert not a.meets(b)
    for box in boxes:
        assert not any(box_meets(box, outline) for outline in strand_outlines(plan))


FONTS = {w: TTFont(font_file(FACE_TEXT, w)) for w in (400, 600, 700)}
TITLE = TTFont(font_file(FACE_TITLE, 600))


def glyph_width(text: str, size: float, font: TTFont) -> float:
    table, cmap = font["hmtx"], font.getBestCmap()
    return float(size * sum(table[cmap[ord(c)]][0] for c in text) / font["head"].unitsPerEm)


def text_boxes(svg: str) -> list[tuple[str, Box]]:
    """Every text of a drawing with its box, measured with the font tables by another library."""
    found = []
    for e in ET.fromstring(svg).iter(f"{SVG}text"):
        text, size = e.text or "", float(e.get("font-size", "0"))
        font = TITLE if "Besley" in (e.get("font-family") or "") else FONTS[int(e.get("font-weight", "400"))]
        wide = glyph_width(text, size, font)
        x, y = float(e.get("x", "0")), float(e.get("y", "0"))
        left = x - {"start": 0.0, "middle": wide / 2.0, "end": wide}[e.get("text-anchor", "start")]
        found.append((text, Box(left, y - 0.68 * size, left + wide, y + 0.02 * size)))
    return found


@pytest.mark.parametrize(("name", "size"), DRAWN)
def test_no_word_lies_over_another_or_off_the_drawing(name: str, size: str) -> None:
    solution, stall = solved(name)
    svg = rig_svg(solution, stall=stall, size=size, units="kN" if size == "card" else "lbf")
    root = ET.fromstring(svg)
    page = Box(0.0, 0.0, float(root.get("width", "0")), float(root.get("height", "0")))
    boxes = text_boxes(svg)
    for text, box in boxes:
        assert page.grown(0.5).holds(box), text
    for (a, first), (b, second) in itertools.combinations(boxes, 2):
        assert not first.meets(second, 1.0), (a, b)


def test_text_is_measured_as_the_font_tables_say() -> None:
    for weight, font in FONTS.items():
        for text in ("standing part", "117.9 over", "4\u2009283", "Besley, −±×÷°"):
            assert text_px(text, 20.0, weight) == pytest.approx(glyph_width(text, 20.0, font), rel=1e-4)


# --- stall, figures, states -------------------------------------------------------------------------------------------
@pytest.mark.parametrize(("name", "size"), DRAWN)
def test_every_part_and_body_has_its_stall_figure(name: str, size: str) -> None:
    solution, stall = solved(name)
    printed = words(rig_svg(solution, stall=stall, size=size))
    for record in (solution, stall):
        for line in record.lines.values():
            for part in line.parts:
                assert force(part.tension_N, unit=False) in printed
        for body in record.bodies.values():
            assert force(body.load_N, unit=False) in printed
    if size != "card":
        for block in stall.blocks.values():
            assert force(max(block.with_becket_N, block.pin_N), unit=False) in printed


def test_of_several_stall_records_the_greatest_is_drawn() -> None:
    # friction never excuses smaller gear: with k = 1 the anchor of a two-part carries 2 × 42.0 kN, with k = 1.07 less
    rig = named_rig("two-part/on-load")
    solution, stall = solved("two-part/on-load")
    free = solve_rig(rig, ratio=1.0, effort_N=STALL_N)
    both = words(rig_svg(solution, stall=(stall, free), size="card"))
    assert "84.0" in both
    assert force(stall.bodies["X"].load_N, unit=False) not in both


def test_without_stall_the_sheet_says_so() -> None:
    solution, _ = solved("two-part/on-load")
    svg = rig_svg(solution)
    assert any("stall not known" in line for line in words(svg))
    assert not paths(svg, "sheath")


def test_over_is_a_filled_block_with_the_word_in_it() -> None:
    solution, stall = solved("three-part/on-load")
    svg = rig_svg(solution, stall=stall, light="print", over={"body:X"})
    assert words(svg).count("117.9 over") == 1
    over = next(e for e in ET.fromstring(svg).iter(f"{SVG}text") if e.text == "117.9 over")
    assert over.get("fill") == "#ffffff"


def test_print_is_black_and_white() -> None:
    solution, stall = solved("three-part/on-load")
    for colour in re.findall(r"#[0-9a-f]{6}", rig_svg(solution, stall=stall, light="print", size="card")):
        assert colour[1:3] == colour[3:5] == colour[5:7]


def test_the_inside_of_a_bend_is_hatched_and_a_single_line_has_none() -> None:
    for name, hatched in (("two-part/on-load", True), ("single line/on-load", False)):
        solution, stall = solved(name)
        assert bool(paths(rig_svg(solution, stall=stall), "no-standing")[0]) is hatched


def test_a_part_is_marked_in_both_drawings() -> None:
    solution, stall = solved("three-part/on-load")
    marked = [
        e.get("data-of") for e in ET.fromstring(rig_svg(solution, stall=stall)).iter() if e.get("data-of")
    ]
    for i in range(3):
        assert marked.count(f"part:winch line:{i}") == 3  # strand, figure, strip


def test_the_strip_names_every_contact_and_what_it_keeps() -> None:
    # a contact with tension ratio k keeps 1/k of the hauling tension: 93.5 % at k = 1.07
    solution, stall = solved("three-part/on-load")
    printed = words(rig_svg(solution, stall=stall))
    assert sum(line.startswith("keeps 93.5 %") for line in printed) == 2
    assert any(line.endswith("turned 180°") for line in printed)


def test_the_limit_of_the_line_stands_over_its_stall_tension() -> None:
    solution, stall = solved("three-part/on-load")
    svg = rig_svg(solution, stall=stall, limits_N={"winch line": 49_000.0})
    (limit,), (outline,) = paths(svg, "limit"), paths(svg, "stall")
    base = max(y for _, y in points(outline))
    tall = base - min(y for _, y in points(outline))
    assert (base - points(limit)[0][1]) / tall == pytest.approx(49.0 / 42.0, rel=0.01)
    assert "limit of the line 49.0" in words(svg)


def test_two_ropes_are_two_strips_joined() -> None:
    solution, stall = solved("stacked two-parts/off-load")
    svg = rig_svg(solution, stall=stall)
    assert len(paths(svg, "stall")) == 2
    assert len(paths(svg, "joined")) == 1


# --- the same bytes, whole documents ----------------------------------------------------------------------------------
def test_the_same_input_gives_the_same_bytes_in_another_process() -> None:
    code = (
        "from haulwright.mechanics.statics import solve_rig\n"
        "from haulwright.mechanics.tackles import named_rig\n"
        "from haulwright.publishing.diagram import rig_svg\n"
        "rig = named_rig('stacked two-parts/on-load')\n"
        "print(rig_svg(solve_rig(rig, ratio=1.07, load_N=26e3), stall=solve_rig(rig, ratio=1.07, effort_N=42e3)))"
    )
    out = [
        subprocess.run(
            [sys.executable, "-c", code],
            capture_output=True,
            check=True,
            env={**os.environ, "PYTHONHASHSEED": seed},
        ).stdout
        for seed in ("1", "2")
    ]
    assert out[0] == out[1] != b""


def test_hostile_names_stay_words() -> None:
    solution, stall = solved("two-part/on-load")

    def rename(record: RigSolution) -> RigSolution:
        line = replace(record.lines["winch line"])
        contacts = tuple(replace(c, line='a"><script>') for c in record.contacts)
        return replace(record, lines={'a"><script>': line}, contacts=contacts, sentence="<b>&")

    svg = rig_svg(rename(solution), stall=rename(stall))
    assert "<script" not in svg
    assert ET.fromstring(svg).get("aria-label", "").endswith("<b>&")


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize(
    "load", ["the stuck wagon of the club", "the stuck wagon of the club and its trailer " * 3]
)
def test_long_names_are_drawn_without_overlap(load: str, size: str) -> None:
    rig = parse_notation(f"!{load.strip()}.drum > the old oak by the gate > {load.strip()}")
    solution, stall = solve_rig(rig, ratio=K, load_N=LOAD_N), solve_rig(rig, ratio=K, effort_N=STALL_N)
    svg = rig_svg(solution, stall=stall, size=size)
    for (a, first), (b, second) in itertools.combinations(text_boxes(svg), 2):
        assert not first.meets(second, 1.0), (a, b)


# --- refusals -----------------------------------------------------------------------------------------------------------
def code_of(solution: RigSolution, **words: object) -> str:
    with pytest.raises(RigRefusal) as caught:
        rig_svg(solution, **words)  # type: ignore[arg-type]
    return caught.value.code


def test_what_cannot_be_drawn_is_refused() -> None:
    solution, _ = solved("two-part/on-load")
    other, _ = solved("three-part/on-load")
    assert code_of(replace(solution, _layout={})) == "NO_LAYOUT"
    assert code_of(solution, stall=other) == "OTHER_RIG"


@pytest.mark.parametrize("name", NAMES)
def test_a_strap_may_pass_under_a_part_only_where_nothing_else_is_possible(name: str) -> None:
    solution, stall = solved(name)
    laid = Arrangement(read_scheme(solution, (stall,)), SIZES["laptop"], 1.0)
    search = _Search(laid.spans, laid.columns, strict=True)
    search.go([])
    assert (search.best is None) is (name == NOT_FLAT)


def test_sixteen_parts_are_too_many() -> None:
    rig = parse_notation("!O.drum" + " > X > O" * 8)
    assert code_of(solve_rig(rig, ratio=K, load_N=LOAD_N)) == "TOO_COMPLEX"


@pytest.mark.parametrize(
    ("words", "code"),
    [({"size": "wall"}, "SIZE"), ({"light": "dusk"}, "LIGHT"), ({"units": "stone"}, "UNITS")],
)
def test_unknown_choices_are_refused(words: dict[str, str], code: str) -> None:
    with pytest.raises(UsageRefusal) as caught:
        rig_svg(solved("two-part/on-load")[0], **words)  # type: ignore[arg-type]
    assert caught.value.code == code


# --- plane geometry -----------------------------------------------------------------------------------------------------
circles = st.tuples(st.floats(-200, 200), st.floats(-200, 200), st.floats(1, 30), st.sampled_from([-1, 1]))


@given(circles, circles)
def test_a_tangent_touches_both_circles_at_a_right_angle(
    first: tuple[float, float, float, int], second: tuple[float, float, float, int]
) -> None:
    # Euclid, Elements III.18: a tangent is perpendicular to the radius drawn to the point of contact
    a, b = Knot(*first), Knot(*second)
    if math.dist((a.x, a.y), (b.x, b.y)) < a.radius + b.radius + 1.0:
        return
    start, end = tangent(a, b)
    ux, uy = end[0] - start[0], end[1] - start[1]
    for knot, touch in ((a, start), (b, end)):
        rx, ry = touch[0] - knot.x, touch[1] - knot.y
        assert math.hypot(rx, ry) == pytest.approx(knot.radius)
        assert (rx * ux + ry * uy) / math.hypot(ux, uy) == pytest.approx(
            0.0, abs=1e-6 * (1 + math.hypot(ux, uy))
        )
        assert (
            rx * uy - ry * ux
        ) * -knot.turn < 0.0 or knot.radius == 0.0  # the line runs round it the stated way


@given(st.floats(20, 200), st.floats(20, 200), st.floats(-60, 60))
def test_hatching_covers_its_polygon_and_nothing_else(wide: float, high: float, lean: float) -> None:
    # parallel lines a step apart: their summed length × step is a Riemann sum of the area, and for a convex figure
    # (chords rise, then fall) it is off by at most one step times the longest chord
    polygon = [(0.0, 0.0), (wide, 0.0), (wide + lean, high), (lean, high)]
    step = 2.0
    length = 0.0
    for piece in hatching(polygon, step).split("M")[1:]:
        p, q = points(piece)
        length += math.dist(p, q)
        for x, y in (p, q):
            assert -0.1 <= y <= high + 0.1
            assert lean * y / high - 0.2 <= x <= wide + lean * y / high + 0.2
    longest = math.hypot(wide + abs(lean), high)
    assert abs(length * step - wide * high) <= step * (longest + 4.0)


def test_boxes_and_outlines() -> None:
    assert box_meets(Box(0, 0, 4, 4), disc(5, 5, 2))
    assert not box_meets(Box(0, 0, 4, 4), disc(6, 6, 2))
    assert not box_meets(Box(0, 0, 4, 4), bar((0, 10), (10, 0), 2.0))
