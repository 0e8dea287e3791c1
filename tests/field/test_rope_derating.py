"""Ends, knots, water and heat of ropes against what is printed; tables by size and grade; bridles as vectors."""

from __future__ import annotations

import math

import pytest

from haulwright.errors import PlanRefusal, QuantityRefusal
from haulwright.field import by_table, rope_derating
from haulwright.field.bridle import legs, slack_words
from haulwright.field.line_angle import bridle_leg


@pytest.mark.parametrize(
    ("end", "core", "share"),
    [
        # U.S. Army TM 5-3810-305-10, table 4, terminal efficiencies
        ("socket", "steel", 1.0),
        ("socket", "fibre", 1.0),
        ("swaged", "steel", 0.95),
        ("sleeve", "steel", 0.95),
        ("sleeve", "fibre", 0.925),
        ("hand splice", "steel", 0.86),
        ("wedge", "steel", 0.75),
        ("clips", "fibre", 0.80),
    ],
)
def test_ends_of_wire_rope(end: str, core: str, share: float) -> None:
    found = rope_derating.wire_end(end, core)
    assert found.share == share
    assert "TM 5-3810-305-10" in found.source


def test_what_is_not_printed_is_refused() -> None:
    with pytest.raises(PlanRefusal, match="swaged"):
        rope_derating.wire_end("swaged", "fibre")
    with pytest.raises(QuantityRefusal):
        rope_derating.wire_end("bowline", "steel")
    with pytest.raises(PlanRefusal, match="101"):
        rope_derating.textile_heat("polyester", 101.0)
    with pytest.raises(PlanRefusal, match="-41"):
        rope_derating.textile_heat("polypropylene", -41.0)
    assert rope_derating.textile_heat("aramid", 150.0) is None


@pytest.mark.parametrize(("body_mm", "tonnes"), [(5, 0.33), (13, 2.0), (19, 4.75), (28, 9.5), (50, 35.0)])
def test_shackles_by_size_and_grade(body_mm: float, tonnes: float) -> None:
    # table quoting RR-C-271 and EN 13889, grade 6, minimum break 6 × WLL
    found = by_table.shackle(body_mm / 1000.0, "6")
    assert found.force_N == pytest.approx(tonnes * 9806.65)
    assert found.break_N == pytest.approx(6 * tonnes * 9806.65)


@pytest.mark.parametrize(("body_mm", "grade"), [(20.0, "6"), (19.0, "8"), (19.0, "S")])
def test_no_shackle_between_the_rows(body_mm: float, grade: str) -> None:
    with pytest.raises(PlanRefusal) as caught:
        by_table.shackle(body_mm / 1000.0, grade)
    assert caught.value.code == "NO_TABLE"


@pytest.mark.parametrize("degrees", [0.01, 30.0, 60.0, 90.0, 120.0, 170.0])
def test_equal_legs_as_the_sling_charts_have_them(degrees: float) -> None:
    half = math.radians(degrees) / 2.0
    spots = {"oak": (math.cos(half), math.sin(half)), "elm": (math.cos(half), -math.sin(half))}
    one, other = legs((-40e3, 0.0), (0.0, 0.0), spots)
    assert one.tension_N == pytest.approx(bridle_leg(40e3, 2.0 * half), rel=1e-9)
    assert other.tension_N == pytest.approx(one.tension_N, rel=1e-9)


@pytest.mark.parametrize("aside", [-0.9, -0.4, 0.0, 0.3, 0.9, 1.1, 3.0])
def test_legs_balance_the_pull(aside: float) -> None:
    spots = {"oak": (4.0, 4.0), "elm": (4.0, -4.0)}
    pull = (-30e3, -30e3 * aside)
    found = legs(pull, (0.0, 0.0), spots)
    for axis in (0, 1):  # what the legs pull on their anchors adds up to the pull on the joint
        assert sum(leg.vector_N[axis] for leg in found) == pytest.approx(pull[axis], abs=1e-6)
    slack = [leg.name for leg in found if leg.slack]
    assert bool(slack) == (abs(aside) > 1.0)
    assert bool(slack_words(found)) == bool(slack)


def test_the_leg_away_from_the_pull_hangs_slack() -> None:
    spots = {"oak": (4.0, 4.0), "elm": (4.0, -4.0)}
    found = legs(
        (-30e3, 60e3), (0.0, 0.0), spots
    )  # pulled towards the oak's side: only the elm can hold that
    assert [leg.name for leg in found if leg.slack] == ["oak"]
    assert "The leg to oak hangs slack: elm carries the whole pull" in slack_words(found)
    with pytest.raises(PlanRefusal, match="straight line"):
        legs((-1.0, 0.0), (0.0, 0.0), {"oak": (0.0, 4.0), "elm": (0.0, -4.0)})
