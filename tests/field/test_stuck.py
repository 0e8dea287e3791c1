"""The stuck vehicle as one meets it: people, trailer, range of mass, single wheels, depth, suction, drive, side."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from haulwright.errors import PlanRefusal, QuantityRefusal, Refusal
from haulwright.field.families import FRACTIONS, HANDBOOK, MILITARY, RIGHTING, TRAINING
from haulwright.field.obstacle import Step, step_pull
from haulwright.field.published import Number, best_grip, grip, mire, mire_reduction, righting, rolling
from haulwright.field.resistance import estimate
from haulwright.field.result import Resistance, ResistanceRule
from haulwright.field.savings import also, savings
from haulwright.field.stuck import Ground, StuckVehicle, Trailer, depth_word

G = 9.80665
LB_N = 4.4482216152605


def rule(result: Resistance, name: str) -> ResistanceRule:
    return next(one for one in result.rules if one.name == name)


def power() -> Number:
    found = mire_reduction(False, True)
    assert found is not None
    return found


@pytest.mark.parametrize(
    ("surface", "printed"),
    [
        ("road", 0.04),
        ("grass", 0.14),
        ("hard wet sand", 0.17),
        ("soft wet sand", 0.20),
        ("soft dry sand", 0.25),
        ("shallow mud", 0.33),
    ],
)
def test_training_fractions_against_the_towing_sheet(surface: str, printed: float) -> None:
    # a towing trade load calculation sheet prints the fractions to two digits (its loose gravel is 0.25, ours 1/5)
    fraction = rolling(surface, "training")
    assert fraction is not None
    assert fraction.value == pytest.approx(printed, abs=0.005)


@pytest.mark.parametrize(("depth", "printed"), [("rim", 0.75), ("wheel", 1.00), ("fender", 1.33)])
def test_trade_mire_against_the_towing_sheet(depth: str, printed: float) -> None:
    # the same sheet: tyre depth (up to the rim), wheel depth, body depth (past mid-wheel)
    assert mire("trade")[depth].value == pytest.approx(printed, abs=0.005)


def test_people_weigh_like_load() -> None:
    with_people = estimate("p", StuckVehicle(2000.0, people_kg=225.0), Ground("grass"))
    with_load = estimate("p", StuckVehicle(2000.0, load_kg=225.0), Ground("grass"))
    assert rule(with_people, TRAINING).likely_N == pytest.approx(rule(with_load, TRAINING).likely_N)
    assert with_people.weight_N == pytest.approx(2225.0 * G)


def test_a_trailer_rolls_with_it_and_is_a_driver_of_its_own() -> None:
    alone = estimate("t", StuckVehicle(2000.0), Ground("grass", 0.1, "up"))
    towing = estimate("t", StuckVehicle(2000.0, trailer=Trailer(600.0, 400.0)), Ground("grass", 0.1, "up"))
    # commonwealth fractions are proportional to the weight: 1000 kg more on 2000 kg
    assert rule(towing, TRAINING).likely_N == pytest.approx(1.5 * rule(alone, TRAINING).likely_N)
    assert "trailer: rolling on grass" in [driver.name for driver in rule(towing, FRACTIONS).drivers]


def test_a_trailer_with_its_brake_on_drags() -> None:
    # towing trade load calculation sheet: two thirds of the weight where all wheels are locked
    free = estimate("t", StuckVehicle(2000.0, trailer=Trailer(900.0)), Ground("gravel"))
    held = estimate("t", StuckVehicle(2000.0, trailer=Trailer(900.0, wheels="all locked")), Ground("gravel"))
    more = rule(held, FRACTIONS).likely_N - rule(free, FRACTIONS).likely_N
    assert more == pytest.approx(0.667 * 900.0 * G)
    assert TRAINING in {one.name for one in held.left_out}


def test_a_trailer_that_is_not_mired_leaves_the_military_rule_out() -> None:
    result = estimate("t", StuckVehicle(2000.0, sunk="wheel", trailer=Trailer(900.0)), Ground("bog"))
    reason = next(one.reason for one in result.left_out if one.name == MILITARY)
    assert "trailer is not" in reason


def test_a_range_of_mass_widens_both_ends_and_leaves_the_likely_value() -> None:
    known = rule(estimate("m", StuckVehicle(2600.0, sunk="wheel"), Ground("bog")), MILITARY)
    guess = StuckVehicle(2600.0, sunk="wheel", mass_low_kg=2400.0, mass_high_kg=3000.0)
    ranged = rule(estimate("m", guess, Ground("bog")), MILITARY)
    assert ranged.likely_N == known.likely_N
    assert ranged.low_N == pytest.approx(known.low_N * 2400 / 2600)
    assert ranged.high_N == pytest.approx(known.high_N * 3000 / 2600)


def test_downhill_the_heavier_vehicle_gives_the_low_end() -> None:
    guess = StuckVehicle(2600.0, sunk="wheel", mass_low_kg=2400.0, mass_high_kg=3000.0)
    steep = Ground("road", math.radians(30), "down")
    for one in estimate("m", guess, steep).rules:
        ends = [
            estimate("m", StuckVehicle(mass, sunk="wheel"), steep, chosen=one.name)
            for mass in (2400.0, 3000.0)
        ]
        assert one.low_N == pytest.approx(min(rule(end, one.name).low_N for end in ends))
        assert one.high_N == pytest.approx(max(rule(end, one.name).high_N for end in ends))


@pytest.mark.parametrize(
    ("states", "low", "likely", "high"),
    [
        (("locked", "turns", "turns", "turns"), 0.0, 0.1665, 0.333),
        (("locked", "damaged", "turns", "turns"), 0.333, 0.333, 0.333),
        (("locked", "locked", "locked", "turns"), 0.333, 0.5, 0.667),
        (("locked",) * 4, 0.667, 0.667, 0.667),
        (("turns",) * 4, 0.0, 0.0, 0.0),
    ],
)
def test_single_wheels_lie_between_the_printed_steps(
    states: tuple[str, ...], low: float, likely: float, high: float
) -> None:
    # towing trade load calculation sheet: a third of the weight for half the axles, two thirds for all
    result = estimate("w", StuckVehicle(3000.0, each_wheel=states), Ground("gravel"))
    free = rule(estimate("w", StuckVehicle(3000.0), Ground("gravel")), FRACTIONS)
    found = rule(result, FRACTIONS)
    assert found.likely_N - free.likely_N == pytest.approx(likely * 3000 * G, rel=1e-9)
    assert found.high_N >= free.likely_N + high * 3000 * G - 1e-6
    assert found.low_N <= free.likely_N + low * 3000 * G + 1e-6


def test_flat_tyres_as_the_towing_sheet_prints_them() -> None:
    # towing trade load calculation sheet: 1000 lb for each flat up to 8000 lb of vehicle, 2000 lb above
    for mass_lb, each_lb in ((8000, 1000), (8001, 2000)):
        case = StuckVehicle(mass_lb * 0.45359237, each_wheel=("flat", "flat", "turns", "turns"))
        free = replace(case, each_wheel=())
        more = (
            rule(estimate("f", case, Ground("gravel")), FRACTIONS).likely_N
            - rule(estimate("f", free, Ground("gravel")), FRACTIONS).likely_N
        )
        assert more == pytest.approx(2 * each_lb * LB_N)


def test_the_towing_sheets_own_example_part_by_part() -> None:
    # the same sheet's example: 20 000 lb, wheel depth 1.00, 10° up 0.17, more than half the axles seized 0.67:
    # 20 000 + 3400 + 13 400 lb. Its shares have two digits; here the grade is the sine, 0.1736.
    truck = StuckVehicle(20_000 * 0.45359237, sunk="wheel", wheels="all locked")
    found = rule(estimate("x", truck, Ground("gravel", math.radians(10), "up")), FRACTIONS)
    parts = {driver.name: driver.force_N / LB_N for driver in found.drivers}
    assert parts["mire to the wheel"] == pytest.approx(20_000)
    assert parts["grade up 10°"] == pytest.approx(3400, abs=100)
    assert parts["wheels all locked"] == pytest.approx(13_400, abs=100)


def test_suction_is_asked_for_and_added_to_the_breakout_only() -> None:
    without = rule(estimate("s", StuckVehicle(3000.0, sunk="wheel"), Ground("bog")), MILITARY)
    told = rule(estimate("s", StuckVehicle(3000.0, sunk="wheel", suction_N=5e3), Ground("bog")), MILITARY)
    assert told.breakout_N - without.breakout_N == pytest.approx(5e3)
    assert (told.low_N, told.likely_N, told.high_N) == (without.low_N, without.likely_N, without.high_N)
    assert "suction is not covered" in without.note
    assert "suction is not covered" not in told.note


def test_once_clear_only_what_stays_is_left() -> None:
    case, step = StuckVehicle(3000.0, sunk="wheel"), Step(0.1, 0.4, 8e3)
    found = rule(estimate("c", case, Ground("gravel", 0.1, "up"), step=step), FRACTIONS)
    rolling = rule(estimate("c", StuckVehicle(3000.0), Ground("gravel", 0.1, "up")), FRACTIONS)
    assert found.clear_N == pytest.approx(rolling.likely_N)
    assert rule(estimate("c", case, Ground("bog")), MILITARY).clear_N is None


def test_a_step_on_a_slope_against_moments_about_the_edge() -> None:
    # textbook statics: F (r - h) = W cos(theta) s + W sin(theta) (r - h), so that step and grade add up
    weight_N, radius, height, slope = 8e3, 0.4, 0.1, math.radians(15)
    vehicle = StuckVehicle(weight_N / G)
    ground, step = Ground("road", slope, "up"), Step(height, radius, weight_N)
    with_step = rule(estimate("s", vehicle, ground, step=step), HANDBOOK)
    drivers = {driver.name: driver.force_N for driver in with_step.drivers}
    arm = math.sqrt(2 * radius * height - height**2)
    by_moments = weight_N * (math.cos(slope) * arm + math.sin(slope) * (radius - height)) / (radius - height)
    assert drivers["step of 0.10 m"] + drivers["grade up 15°"] == pytest.approx(by_moments)
    assert step_pull(step) > drivers["step of 0.10 m"]


def test_own_drive_is_a_range_and_never_more_than_the_tyres_grip() -> None:
    alone = rule(estimate("d", StuckVehicle(3000.0, sunk="rim"), Ground("road")), HANDBOOK)
    case = StuckVehicle(3000.0, sunk="rim", drive_helps=True, driven=0.5)
    helped = rule(estimate("d", case, Ground("road")), HANDBOOK)
    assert (helped.likely_N, helped.high_N) == (alone.likely_N, alone.high_N)
    assert helped.low_N < alone.low_N
    most_N = grip("road").high * 0.5 * 3000 * G
    assert helped.low_N >= alone.low_N - most_N - 1e-6
    locked = replace(case, wheels="all locked")
    assert "own drive may take off up to 0%" in rule(estimate("d", locked, Ground("road")), HANDBOOK).note


def test_the_militarys_own_drive_is_not_in_the_high_end() -> None:
    # US Army recovery manuals (from memory): a share less with its own power; a spinning wheel gives none of it
    alone = rule(estimate("d", StuckVehicle(3000.0, sunk="fender"), Ground("bog")), MILITARY)
    helped = rule(
        estimate("d", StuckVehicle(3000.0, sunk="fender", drive_helps=True), Ground("bog")), MILITARY
    )
    assert helped.likely_N == pytest.approx((1.0 - power().value) * alone.likely_N)
    assert helped.high_N >= alone.likely_N
    printed = power().value * mire("military")["fender"].value
    assert ("more than tyres ever grip" in helped.note) == (printed > best_grip().high)


@pytest.mark.parametrize("lies", ["on its side", "on its roof"])
def test_on_its_side_only_the_righting_is_known_and_a_professional_is_called(lies: str) -> None:
    result = estimate("o", StuckVehicle(2000.0, lies=lies), Ground("grass"))
    assert [one.name for one in result.rules] == [RIGHTING]
    assert rule(result, RIGHTING).likely_N == pytest.approx(righting().value * 2000 * G)
    assert "STOP_PROFESSIONAL" in {notice.code for notice in result.notices}
    assert all("no published drag" in one.reason for one in result.left_out)


@pytest.mark.parametrize(
    ("depth", "word"),
    [
        (0.0, "none"),
        (0.01, "rim"),
        (0.2, "rim"),
        (0.21, "wheel"),
        (0.4, "wheel"),
        (0.8, "fender"),
        (0.81, "cab"),
    ],
)
def test_a_depth_in_centimetres_is_never_read_as_the_shallower_word(depth: float, word: str) -> None:
    assert depth_word(depth, 0.40) == word


@pytest.mark.parametrize(
    ("case", "code"),
    [
        (StuckVehicle(2000.0, mass_low_kg=2100.0), "RANGE"),
        (StuckVehicle(2000.0, mass_high_kg=1900.0), "RANGE"),
        (StuckVehicle(2000.0, mass_high_kg=math.inf), "RANGE"),
        (StuckVehicle(2000.0, people_kg=-1.0), "NEGATIVE"),
        (StuckVehicle(2000.0, suction_N=math.nan), "NEGATIVE"),
        (StuckVehicle(2000.0, driven=1.2), "RANGE"),
        (StuckVehicle(2000.0, each_wheel=("lokced",)), "WHEELS"),
        (StuckVehicle(2000.0, wheels="all locked", each_wheel=("flat",)), "WHEELS"),
        (StuckVehicle(2000.0, lies="on its sied"), "LIES"),
        (StuckVehicle(2000.0, trailer=Trailer(0.0)), "NOT_POSITIVE"),
        (StuckVehicle(2000.0, trailer=Trailer(10.0, sunk="knee")), "DEPTH"),
    ],
)
def test_what_makes_no_sense_is_refused(case: StuckVehicle, code: str) -> None:
    with pytest.raises(Refusal) as caught:
        estimate("r", case, Ground("grass"))
    assert caught.value.code == code
    with pytest.raises(QuantityRefusal):
        depth_word(0.1, 0.0)


def test_a_runaway_is_named_before_everything_else() -> None:
    unsure = estimate("d", StuckVehicle(3000.0), Ground("grass", math.radians(8), "down"))
    assert unsure.notices[0].code == "RUNAWAY"
    assert any(one.low_N == 0.0 and one.hold_N > 0.0 for one in unsure.rules)
    with pytest.raises(PlanRefusal, match=r"^Downhill, this vehicle runs away by itself") as caught:
        estimate("d", StuckVehicle(3000.0), Ground("road", math.radians(10), "down"))
    assert "with 13% of its weight" in caught.value.message  # commonwealth: 1/25 - 10/60


def test_mired_on_a_steep_slope_it_runs_once_it_is_out_of_its_hole() -> None:
    steep = estimate("d", StuckVehicle(3000.0, sunk="wheel"), Ground("gravel", math.radians(16), "down"))
    assert steep.notices[0].code == "RUNAWAY"
    assert "out of its hole" in steep.notices[0].message
    found = rule(steep, HANDBOOK)
    assert found.low_N > 0.0 > (found.clear_N or 0.0)
    assert found.hold_N >= -(found.clear_N or 0.0)
    level = estimate("d", StuckVehicle(3000.0, sunk="wheel"), Ground("gravel"))
    assert "RUNAWAY" not in {notice.code for notice in level.notices}
    assert all(one.hold_N == 0.0 for one in level.rules)


def test_what_would_lower_it_by_each_rule_that_knows() -> None:
    case = StuckVehicle(
        3000.0, people_kg=150.0, sunk="wheel", trailer=Trailer(800.0, wheels="all locked", sunk="wheel")
    )
    found = {saving.what: saving for saving in savings(case, Ground("bog"))}
    assert {"let everybody out", "unhitch the trailer", "free the trailer's wheels", "dig it free"} <= set(
        found
    )
    assert found["free the trailer's wheels"].saved_N == pytest.approx(0.667 * 800 * G)
    drive = found["drive along with the pull"]
    assert drive.rule == MILITARY
    assert drive.saved_N == pytest.approx(power().value * 3150 * G)
    now = estimate("n", case, Ground("bog"))
    for saving in found.values():
        assert saving.share == pytest.approx(saving.saved_N / rule(now, saving.rule).likely_N)
        assert saving.by_rule_N[saving.rule] == saving.saved_N


def test_drying_sand_makes_it_worse_so_wetting_is_offered() -> None:
    # towing trade load calculation sheet: soft dry sand 0.25, soft wet sand 0.20
    wet, *_ = (s for s in savings(StuckVehicle(3000.0), Ground("soft dry sand")) if "sand" in s.what)
    assert wet.share == pytest.approx(0.2)
    assert not any("sand" in s.what for s in savings(StuckVehicle(3000.0), Ground("soft wet sand")))
    assert not any(
        any(c.isdigit() for c in text) for text in also(StuckVehicle(3000.0, sunk="rim"), Ground("bog"))
    )
