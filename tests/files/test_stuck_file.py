"""The stuck vehicle and its ground as a file writes them: every way to say a slope, a depth, people, wheels, a step."""

from __future__ import annotations

import math
from typing import Any

import pytest

import haulwright as hw
from haulwright.errors import FileRefusal
from haulwright.files.stuck import StuckFile
from haulwright.files.yamlfile import validate_mapping

CASE: dict[str, Any] = {"vehicle": {"mass": "2.6 t"}, "ground": {"surface": "gravel"}}


def read(
    vehicle: dict[str, Any] | None = None, ground: dict[str, Any] | None = None, **top: Any
) -> StuckFile:
    doc = {"vehicle": CASE["vehicle"] | (vehicle or {}), "ground": CASE["ground"] | (ground or {}), **top}
    return validate_mapping(doc, StuckFile, "case")


@pytest.mark.parametrize(
    ("slope", "rise_rad"),
    [
        ("8 deg", math.radians(8)),
        ("12 %", math.atan(0.12)),
        ("1:8", math.atan(1 / 8)),
        ({"rise": "1.2 m", "over": "14 m"}, math.atan(1.2 / 14)),
        ({"rise": "1.2 m", "along": "14 m"}, math.asin(1.2 / 14)),
        ({"heights": ["101.3 m", "102.5 m"], "over": "14 m"}, math.atan(1.2 / 14)),
    ],
)
def test_every_way_to_say_a_slope(slope: Any, rise_rad: float) -> None:
    ground = read(ground={"slope": slope, "direction": "up"}).ground
    assert ground.slope == pytest.approx(rise_rad)
    assert ground.direction == "up"


def test_heights_tell_the_direction() -> None:
    down = read(ground={"slope": {"heights": ["102.5 m", "101.3 m"], "over": "14 m"}}).ground
    assert down.slope == pytest.approx(math.atan(1.2 / 14))
    assert down.direction == "down"
    assert (
        read(ground={"slope": {"rise": "1.2 m", "over": "14 m"}, "direction": "down"}).ground.direction
        == "down"
    )
    level = read(ground={"slope": {"heights": ["1 m", "1 m"], "over": "14 m"}}).ground
    assert (level.slope, level.direction) == (0.0, "level")
    plain = read(ground={"slope": {"rise": 1.2, "over": 14}}, units={"length": "m"}).ground
    assert plain.slope == pytest.approx(math.atan(1.2 / 14))


@pytest.mark.parametrize(
    ("slope", "direction", "words"),
    [
        ({"rise": "1 m"}, None, "expected {rise"),
        ({"rise": "1 m", "over": "9 m", "along": "9 m"}, None, "expected {rise"),
        ({"rise": "1 m", "ovr": "9 m"}, None, "did you mean over"),
        ({"rise": "9 m", "along": "8 m"}, None, "more than the rise"),
        ({"rise": "1 m", "over": "0 m"}, None, "above 0"),
        ({"rise": "1", "over": "9 m"}, None, "no unit"),
        ({"heights": ["1 m"], "over": "9 m"}, None, "expected two"),
        ({"heights": ["2 m", "1 m"], "over": "9 m"}, "up", "these heights go down, but direction says up"),
    ],
)
def test_a_slope_that_is_not_told_whole_is_refused(slope: Any, direction: str | None, words: str) -> None:
    with pytest.raises(FileRefusal, match=words):
        read(ground={"slope": slope} | ({} if direction is None else {"direction": direction}))


@pytest.mark.parametrize(
    ("people", "mass_kg"), [(3, 225.0), ("3", 225.0), ("240 kg", 240.0), (0, 0.0), ("500 lb", 226.796185)]
)
def test_people_are_counted_or_weighed(people: Any, mass_kg: float) -> None:
    # mass of the driver in EU type-approval: 75 kg
    assert read({"people": people}).vehicle.people == pytest.approx(mass_kg)


def test_a_depth_in_centimetres_is_read_as_a_word() -> None:
    vehicle = read({"sunk": "35 cm", "wheel_radius": "390 mm"}).vehicle
    assert vehicle.sunk == "wheel"
    assert vehicle.sunk_depth == pytest.approx(0.35)
    case = {"vehicle": {"mass": "2 t", "sunk": "35 cm", "wheel_radius": "390 mm"}, "ground": CASE["ground"]}
    said = [notice.message for notice in hw.estimate_resistance(case).notices]
    assert any("is read as 'wheel'" in text and "house numbers" in text for text in said)


@pytest.mark.parametrize(
    ("vehicle", "words"),
    [
        ({"sunk": "35 cm"}, "needs wheel_radius"),
        ({"sunk": "weel"}, "did you mean wheel"),
        ({"people": 2.5}, "how many people"),
        ({"people": -1}, "0 to 100 people"),
        ({"people": True}, "how many people"),
        ({"mass_low": "2.7 t"}, "more than the mass"),
        ({"mass_high": "2.5 t"}, "less than the mass"),
        ({"each_wheel": {"left front": "lockd"}}, "did you mean locked"),
        ({"each_wheel": {"a": "flat"}, "wheels": "all locked"}, "keep one"),
        ({"each_wheel": {str(n): "flat" for n in range(5)}}, "mend wheel_count"),
        ({"suction": "4 kN"}, "suction_source"),
        ({"lies": "on its sied"}, "did you mean on its side"),
        ({"trailer": {"mas": "1 t"}}, "did you mean mass"),
        ({"trailer": {"mass": "1 t", "sunk": "knee"}}, "expected one of none"),
    ],
)
def test_wrong_vehicles_are_refused(vehicle: dict[str, Any], words: str) -> None:
    with pytest.raises(FileRefusal, match=words):
        read(vehicle)


def likely(vehicle: dict[str, Any], ground: dict[str, Any]) -> dict[str, float]:
    case = {"vehicle": {"mass": "2 t"} | vehicle, "ground": {"surface": "gravel"} | ground}
    return {rule.name: rule.likely_N for rule in hw.estimate_resistance(case).rules}


def test_a_step_takes_its_wheels_share_of_the_weight() -> None:
    # rigid wheel at a step, textbook statics: r 0.40, h 0.10: 0.8819 of the load on the wheels that meet it
    name = "handbook rolling and mire"
    step = {"height": "10 cm", "wheels": 2, "wheel_radius": "40 cm"}
    more = likely({}, {"step": step})[name] - likely({}, {})[name]
    assert more == pytest.approx(0.8819 * 1000 * 9.80665, rel=1e-4)
    given = likely({"wheel_radius": "40 cm"}, {"step": {"height": "10 cm", "load": "700 kg"}})[name]
    assert given - likely({}, {})[name] == pytest.approx(0.8819 * 700 * 9.80665, rel=1e-4)
    with pytest.raises(hw.Refusal, match="radius of the wheel") as caught:
        likely({}, {"step": {"height": "10 cm"}})
    assert caught.value.code == "STEP"


def test_a_braked_trailer_counts_as_locked_and_stands_as_deep_as_the_vehicle() -> None:
    name = "fractions and mire"
    free, held = ({"trailer": {"mass": "900 kg", "braked": braked}} for braked in (False, True))
    assert likely(held, {})[name] - likely(free, {})[name] == pytest.approx(0.667 * 900 * 9.80665)
    mired, apart = ({"sunk": "rim", "trailer": {"mass": "900 kg", "sunk": s}} for s in ("rim", "none"))
    deep = likely({"sunk": "rim", "trailer": {"mass": "900 kg"}}, {})
    assert deep == likely(mired, {})
    assert deep[name] - likely(apart, {})[name] == pytest.approx(0.75 * 900 * 9.80665)


def test_single_wheels_and_a_range_of_mass_reach_the_rules() -> None:
    one = likely({"each_wheel": {"left rear": "locked"}}, {})
    both = likely({"each_wheel": {"left rear": "locked", "right rear": "damaged"}}, {})
    assert both == pytest.approx(likely({"wheels": "half locked"}, {}))
    assert likely({}, {})["fractions and mire"] < one["fractions and mire"] < both["fractions and mire"]
    told = {"vehicle": {"mass": "2 t", "mass_high": "2.5 t"}, "ground": {"surface": "gravel"}}
    known = {"vehicle": {"mass": "2 t"}, "ground": {"surface": "gravel"}}
    high, plain = (hw.estimate_resistance(case).rules[0].high_N for case in (told, known))
    assert high == pytest.approx(1.25 * plain)
