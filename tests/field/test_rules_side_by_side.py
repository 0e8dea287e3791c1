"""Sibling rules in one picture, so that a slip in one of them stands out."""

from __future__ import annotations

import math

import pytest

from haulwright.field.families import FAMILIES, FRACTIONS, HANDBOOK, MILITARY, SHEETS, TRAINING, physics
from haulwright.field.published import mire, rolling
from haulwright.field.resistance import Ground, StuckVehicle, estimate

WEIGHT_N = 30e3
CASE = WEIGHT_N / 9.80665
# Rules for one surface, as far as they cover it, lie within this ratio of each other: the spread of the trade.
SPREAD = {
    ("road", "none", "rolling"): 10.0,  # 1/25 of a training sheet and 1/10 of a towing sheet against 0.013
    ("gravel", "none", "rolling"): 11.0,  # 1/5 against handbooks' 0.01 to 0.06
    ("bog", "wheel", "rolling"): 3.1,
    ("bog", "fender", "rolling"): 4.1,
    ("shallow mud", "wheel", "rolling"): 4.1,
    ("road", "rim", "rolling"): 1.2,
    ("road", "wheel", "rolling"): 1.2,
    ("road", "fender", "rolling"): 1.6,
    ("gravel", "wheel", "all locked"): 1.2,
}


def _by_name(ground: Ground, sunk: str = "none", wheels: str = "rolling") -> dict[str, float]:
    found = estimate("side by side", StuckVehicle(CASE, wheels=wheels, sunk=sunk), ground)
    return {
        rule.name: rule.likely_N / WEIGHT_N
        for rule in found.rules
        if rule.name != MILITARY or wheels == "rolling"
    }


@pytest.mark.parametrize("case", SPREAD, ids=" ".join)
def test_rules_lie_within_the_stated_ratio(case: tuple[str, str, str]) -> None:
    surface, sunk, wheels = case
    shares = _by_name(Ground(surface), sunk, wheels)
    assert len(shares) >= 2
    assert 1.0 <= max(shares.values()) / min(shares.values()) <= SPREAD[case], shares


def test_mire_of_the_military_and_of_the_trade_by_depth() -> None:
    # US Army manuals against trade sheets: the same at the wheel, never a factor of 1.55 apart
    military, trade = mire("military"), mire("trade")
    assert military["wheel"].value == pytest.approx(trade["wheel"].value, rel=0.05)
    for word in set(military) & set(trade):
        assert 1.0 <= military[word].value / trade[word].value <= 1.55
        assert trade[word].high <= military[word].value * 1.01
    for depths in (military, trade):
        values = [number.value for number in depths.values()]
        assert values == sorted(values)


@pytest.mark.parametrize("degrees", [5, 10, 15, 20, 25, 30, 45])
def test_grade_by_sixtieths_and_by_sine(degrees: int) -> None:
    # printed sine against theta / 60: 4.5 % low for small angles, equal at 30 degrees, 6.1 % high at 45
    up, level = (_by_name(Ground("grass", math.radians(a), "up" if a else "level")) for a in (degrees, 0))
    sixtieths = up[TRAINING] - level[TRAINING]
    sine = up[FRACTIONS] - level[FRACTIONS] * math.cos(math.radians(degrees))
    assert sine == pytest.approx(math.sin(math.radians(degrees)))
    assert sixtieths == pytest.approx(degrees / 60)
    assert -0.046 <= sixtieths / sine - 1.0 <= 0.061


@pytest.mark.parametrize("direction", ["up", "down"])
@pytest.mark.parametrize("sunk", ["rim", "wheel", "fender"])
def test_every_rule_of_statics_against_the_formula_written_out(direction: str, sunk: str) -> None:
    slope = math.radians(7.0)
    ground = Ground("road", slope, direction)
    rise = slope if direction == "up" else -slope
    depth = mire("trade")[sunk].value
    found = _by_name(ground, sunk)
    for name, table in ((FRACTIONS, "training"), (SHEETS, "trade"), (HANDBOOK, "handbook")):
        number = rolling("road", table)
        assert number is not None
        assert found[name] == pytest.approx(physics(1.0, rise, number.value, depth))


def test_no_rule_is_left_out_of_this_picture() -> None:
    seen = {name for surface, sunk, wheels in SPREAD for name in _by_name(Ground(surface), sunk, wheels)}
    assert seen == set(FAMILIES)
    assert HANDBOOK in seen
