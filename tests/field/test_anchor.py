"""Anchors against statics and a published deadman table."""

from __future__ import annotations

import math

import pytest

from haulwright import catalogue
from haulwright.errors import PlanRefusal, QuantityRefusal
from haulwright.field.anchor import parked_vehicle, slide_pull, slide_pull_towards
from haulwright.field.made_anchor import deadman, deadman_bearing, pickets
from haulwright.field.published import grip

FOOT, LBF = 0.3048, 4.4482216152605
LB_FT2 = LBF / FOOT**2

# TM 5-5420-278-10, table 9: lb/ft² in loam by depth (ft), line at 1:1, 1:2, 1:3, 1:4
TABLE = {
    3: (950, 1300, 1450, 1500),
    4: (1750, 2200, 2600, 2700),
    5: (2800, 3600, 4000, 4100),
    6: (3800, 5100, 5800, 6000),
    7: (5100, 7000, 8000, 8400),
}


def test_level_vehicle_slides_at_mu_times_weight() -> None:
    # 35 kN on wet grass, 0.35: 12.3 kN; a tree rescue manual saw an unchocked 3000 kg slide at about 10 kN
    assert slide_pull(35e3, 0.35) == pytest.approx(12.25e3)
    holds = parked_vehicle(3000.0, "wet grass")
    assert holds.low_N < 10e3 < holds.likely_N < 10.5e3 < holds.high_N < 12e3


@pytest.mark.parametrize("pulled", ["up", "down"])
@pytest.mark.parametrize("degrees", [0.0, 5.0, 10.0])
@pytest.mark.parametrize("rise", [0.0, 15.0, 40.0])
def test_slide_pull_balances(pulled: str, degrees: float, rise: float) -> None:
    weight, mu = 30e3, 0.5
    theta, alpha = math.radians(degrees), math.radians(rise)
    pull = slide_pull(weight, mu, theta, pulled, alpha)
    grip = mu * (weight * math.cos(theta) - pull * math.sin(alpha))
    weight_along = weight * math.sin(theta) * (1 if pulled == "up" else -1)
    assert pull * math.cos(alpha) == pytest.approx(grip + weight_along)


def test_up_the_slope_holds_more_than_down_and_uplift_less() -> None:
    down, level, up = (
        slide_pull(30e3, 0.5, math.radians(d), p) for d, p in ((8, "down"), (0, "down"), (8, "up"))
    )
    assert down < level < up
    assert slide_pull(30e3, 0.5, 0.0, "down", math.radians(25)) < level


def test_a_vehicle_that_slides_by_itself_is_no_anchor() -> None:
    with pytest.raises(PlanRefusal, match="by itself") as caught:
        slide_pull(30e3, 0.35, math.radians(20))
    assert caught.value.code == "SLIDES"
    with pytest.raises(QuantityRefusal, match="wet grass"):
        parked_vehicle(3000.0, "wet gras")


@pytest.mark.parametrize("depth", TABLE)
@pytest.mark.parametrize("run", [1, 2, 3, 4])
def test_deadman_table(depth: int, run: int) -> None:
    printed = TABLE[depth][run - 1] * LB_FT2
    assert deadman_bearing(depth * FOOT, math.atan(1 / run)).value == pytest.approx(printed, rel=1e-6)
    assert deadman_bearing(depth * FOOT, math.atan(1 / run), "hardpan").value == pytest.approx(
        5 * printed, rel=1e-6
    )
    assert deadman_bearing(depth * FOOT, math.atan(1 / run), "fine wet").value == pytest.approx(
        0.5 * printed, rel=1e-6
    )


def test_deadman_between_rows_takes_the_weaker() -> None:
    assert deadman_bearing(5.9 * FOOT, math.atan(1 / 2.9)).value == pytest.approx(3600 * LB_FT2, rel=1e-6)
    assert deadman_bearing(9 * FOOT, math.radians(5)).value == pytest.approx(8400 * LB_FT2, rel=1e-6)


def test_deadman_worked_example() -> None:
    # log 1.25 ft × 6 ft, 5 ft deep, line at 1:2, trench 1 ft: 6.25 ft² × 3600 = 22 500 lb = 100.1 kN
    holds = deadman(1.25 * FOOT, 6 * FOOT, 5 * FOOT, math.atan(1 / 2), 1 * FOOT)
    assert holds.likely_N / LBF == pytest.approx(22_500)
    assert holds.likely_N == pytest.approx(100.1e3, rel=1e-3)
    assert "TM 5-5420-278-10" in holds.source


def test_deadman_out_of_the_table_is_refused() -> None:
    with pytest.raises(PlanRefusal, match="dig deeper"):
        deadman_bearing(2.9 * FOOT, math.atan(1 / 2))
    with pytest.raises(PlanRefusal, match="flatter"):
        deadman_bearing(5 * FOOT, math.radians(50))
    with pytest.raises(PlanRefusal, match="bends"):
        deadman(1.0 * FOOT, 5.1 * FOOT, 5 * FOOT, math.atan(1 / 2), 1 * FOOT)
    assert deadman(1.0 * FOOT, 8.9 * FOOT, 5 * FOOT, math.atan(1 / 2), 1 * FOOT, shape="timber").low_N > 0
    with pytest.raises(PlanRefusal, match="nothing bears"):
        deadman(1.0 * FOOT, 1.0 * FOOT, 5 * FOOT, math.atan(1 / 2), 1 * FOOT)


@pytest.mark.parametrize(("row", "pounds"), [("single", 700), ("1-1-1", 1800), ("3-2-1", 4000)])
def test_pickets(row: str, pounds: float) -> None:
    # NAVEDTRA 14251, Steelworker Volume 2: picket holdfasts in undisturbed loam
    assert pickets(row).likely_N == pytest.approx(pounds * LBF)
    assert catalogue.row("anchors", "pickets-single").source.cite() == pickets("single").source


@pytest.mark.parametrize("row", ["1-1", "2-1"])
def test_pickets_from_memory_say_so(row: str) -> None:
    assert catalogue.row("anchors", f"pickets-{row}").source.flag == "memory"
    assert "memory" in pickets(row).source


def test_unknown_pickets_are_refused() -> None:
    with pytest.raises(QuantityRefusal, match="3-2-1"):
        pickets("4-3-2-1")


@pytest.mark.parametrize("from_downhill", [0.0, 40.0, 90.0, 135.0, 180.0])
@pytest.mark.parametrize("degrees", [0.0, 6.0, 15.0])
@pytest.mark.parametrize("rise", [0.0, 20.0, 60.0])
def test_slide_pull_any_way_balances(from_downhill: float, degrees: float, rise: float) -> None:
    weight, mu = 30e3, 0.5
    theta, alpha, phi = (math.radians(x) for x in (degrees, rise, from_downhill))
    pull = slide_pull_towards(weight, mu, theta, phi, alpha)
    down = pull * math.cos(alpha) * math.cos(phi) + weight * math.sin(theta)
    across = pull * math.cos(alpha) * math.sin(phi)
    normal = weight * math.cos(theta) - pull * math.sin(alpha)
    assert pull > 0.0
    assert math.hypot(down, across) == pytest.approx(mu * normal)


def test_brakes() -> None:
    full = parked_vehicle(3000.0, "dry road")
    hand = parked_vehicle(3000.0, "dry road", brakes="parking brake")
    assert (hand.low_N, hand.high_N) == (pytest.approx(full.low_N / 2), full.high_N)
    assert parked_vehicle(3000.0, "ice", brakes="off").high_N == 0.0
    assert parked_vehicle(3000.0, "wet grass", math.radians(15)).low_N == 0.0  # tan 15° is above 0.2


@pytest.mark.parametrize(
    ("surface", "printed"),
    [
        ("gravel", 0.35),
        ("wet grass", 0.2),
        ("dry road", 0.65),
        ("wet road", 0.5),
        ("snow", 0.2),
        ("ice", 0.15),
    ],
)
def test_grip_covers_what_is_printed(surface: str, printed: float) -> None:
    # Noon, Engineering Analysis of Vehicular Accidents, CRC Press 1994: one figure a surface
    number = grip(surface)
    assert number.low <= printed <= number.high
