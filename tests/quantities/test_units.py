"""Reading and printing units: against a general unit library, published factors and round trips."""

from __future__ import annotations

import math
import re

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from haulwright.errors import QuantityRefusal
from haulwright.quantities import units
from haulwright.quantities.numerals import print_number, read_number
from haulwright.quantities.unit_table import DIMENSIONS

ORACLE = pint.UnitRegistry()


# NIST Special Publication 811 (2008), appendix B.8: exact factors.
@pytest.mark.parametrize(
    ("text", "dimension", "si"),
    [
        ("1 lbf", "force", 4.4482216152605),
        ("1 kgf", "force", 9.80665),
        ("1 t", "force", 9806.65),
        ("1 lb", "mass", 0.45359237),
        ("1 t", "mass", 1000.0),
        ("1 short ton", "mass", 907.18474),
        ("1 long ton", "mass", 1016.0469088),
        ("1 in", "length", 0.0254),
        ("1 ft", "length", 0.3048),
        ("1 km/h", "speed", 1 / 3.6),
        ("68 °F", "temperature", 293.15),
        ("0 °C", "temperature", 273.15),
        ("1 deg", "angle", math.pi / 180),
    ],
)
def test_published_factors(text: str, dimension: str, si: float) -> None:
    assert units.parse(text, dimension) == pytest.approx(si, rel=1e-12)


ORACLE_NAMES = {
    "force": {"N": "newton", "kN": "kilonewton", "daN": "decanewton", "kgf": "kilogram_force",
              "kg": "kilogram_force", "lbf": "pound_force", "lb": "pound_force", "tf": "1000*kilogram_force"},
    "mass": {"kg": "kilogram", "t": "metric_ton", "tonne": "metric_ton", "lb": "pound", "g": "gram",
             "short ton": "short_ton", "long ton": "long_ton"},
    "length": {"mm": "mm", "cm": "cm", "m": "m", "km": "km", "in": "inch", "ft": "foot"},
    "angle": {"deg": "degree", "°": "degree", "rad": "radian"},
    "time": {"s": "s", "min": "minute", "h": "hour", "ms": "ms"},
    "speed": {"m/s": "m/s", "m/min": "m/minute", "km/h": "km/hour", "ft/min": "ft/minute"},
}  # fmt: skip
SI_NAME = {"force": "newton", "mass": "kg", "length": "m", "angle": "radian", "time": "s", "speed": "m/s"}


@pytest.mark.parametrize(
    ("dimension", "unit", "name"), [(d, u, n) for d, m in ORACLE_NAMES.items() for u, n in m.items()]
)
def test_against_a_general_library(dimension: str, unit: str, name: str) -> None:
    expected = (7.25 * ORACLE.parse_expression(name)).to(SI_NAME[dimension]).magnitude
    assert units.parse(f"7.25 {unit}", dimension) == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize("unit", ["degC", "degF", "kelvin"])
def test_temperature_against_a_general_library(unit: str) -> None:
    expected = ORACLE.Quantity(41.5, unit).to("kelvin").magnitude
    assert units.parse_temperature(f"41.5 {unit}") == pytest.approx(expected, abs=1e-9)


@pytest.mark.parametrize(
    ("text", "dimension", "si"),
    [
        ("3,2 kN", "force", 3200.0),
        ("3.2kN", "force", 3200.0),
        ("12 500 N", "force", 12500.0),
        ("12\u2009500 N", "force", 12500.0),
        ("12\u00a0500,5 N", "force", 12500.5),
        ("12\u202f500 N", "force", 12500.0),
        ("1,234.5 N", "force", 1234.5),
        ("1.234,5 N", "force", 1234.5),
        ("1,234,567 N", "force", 1234567.0),
        ("1.500 kN", "force", 1500.0),
        ("0,500 kN", "force", 500.0),
        ("1e3 N", "force", 1000.0),
        ("−5 N", "force", -5.0),
        ("9000 lbs", "force", 9000 * 4.4482216152605),
        ("3.2 T", "mass", 3200.0),
        ("5 ft 3 in", "length", 1.6002),
        ("5'3\"", "length", 1.6002),
        ("1 m 20 cm", "length", 1.2),
        ("2 min 40 s", "time", 160.0),
        ("2min40s", "time", 160.0),
        ("1 h 2 min 3,5 s", "time", 3723.5),
        ("8 deg", "slope", math.radians(8)),
        ("12 %", "slope", math.atan(0.12)),
        ("1:8", "slope", math.atan(0.125)),
        ("1 in 8", "slope", math.atan(0.125)),
        ("0.5 %", "fraction", 0.005),
        ("0.005", "fraction", 0.005),
        (0.005, "fraction", 0.005),
        ("293 K", "temperature", 293.0),
    ],
)
def test_accepted(text: str | float, dimension: str, si: float) -> None:
    assert units.parse(text, dimension) == pytest.approx(si, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "dimension", "code", "says"),
    [
        ("1,500 kg", "mass", "AMBIGUOUS", "1.500 or 1500"),
        ("9,500 lbf", "force", "AMBIGUOUS", "9.500 or 9500"),
        ("2 ton", "mass", "AMBIGUOUS", "short.*long.*metric"),
        ("2 tons", "force", "AMBIGUOUS", "short.*long.*metric"),
        ("2:1", "slope", "AMBIGUOUS", "rise:run"),
        ("3.2", "mass", "UNIT", "no unit"),
        (3.2, "force", "UNIT", "no unit"),
        ("3 kM", "force", "UNIT", "'kM'.*Did you mean kN"),
        ("3 stone", "mass", "UNIT", "Accepted: kg, lb, g, t"),
        ("3 kN", "mass", "UNIT", "not a unit of mass"),
        ("nan", "force", "NUMBER", "cannot be read"),
        (math.nan, "force", "NUMBER", "finite"),
        (math.inf, "force", "NUMBER", "finite"),
        ("1e999 kN", "force", "NUMBER", "not a number"),
        (True, "force", "NUMBER", "not a quantity"),
        (None, "force", "NUMBER", "not a quantity"),
        ("", "force", "NUMBER", "12 kN"),
        ("kN", "force", "NUMBER", "12 kN"),
        ("12 34 kN", "force", "NUMBER", "not a number"),
        ("1.2.3 kN", "force", "NUMBER", "not a number"),
        ("3 kN 2 N", "force", "NUMBER", "one force"),
        ("3 in 5 ft", "length", "NUMBER", "one length"),
        ("5.5 ft 3 in", "length", "NUMBER", "one length"),
        ("5 ft 3", "length", "NUMBER", "one length"),
        ("2:40", "time", "UNIT", "':' is not a unit|no unit"),
        ("-300 °C", "temperature", "RANGE", "absolute zero"),
    ],
)
def test_refused(text: object, dimension: str, code: str, says: str) -> None:
    with pytest.raises(QuantityRefusal, match=says) as caught:
        units.parse(text, dimension, what="input.x")  # type: ignore[arg-type]
    assert caught.value.code == code
    assert caught.value.where == ("input.x",)
    assert caught.value.message.startswith("input.x ")


def test_default_unit_is_for_plain_numbers_only() -> None:
    assert units.parse_force(3, default_unit="kN") == 3000.0
    assert units.parse_force("3", default_unit="kN") == 3000.0
    assert units.parse_force("3 N", default_unit="kN") == 3.0


@given(
    st.sampled_from([(d, u.name) for d, known in DIMENSIONS.items() for u in known if d != "slope"]),
    st.floats(0.001, 1e5),
)
def test_text_round_trip(kind: tuple[str, str], value: float) -> None:
    dimension, unit = kind
    si = units.parse(f"{value!r} {unit}", dimension)
    assert units.from_si(si, unit, dimension) == pytest.approx(value, rel=1e-9, abs=1e-9)


@given(st.floats(0.01, 1.5))
def test_slope_round_trip(angle: float) -> None:
    for unit in ("deg", "rad", "%"):
        assert units.parse_slope(units.from_si(angle, unit, "slope"), default_unit=unit) == pytest.approx(
            angle
        )


@given(st.sampled_from(units.FORCE_UNITS), st.floats(-1e6, 1e6))
def test_what_is_shown_can_be_read_back(unit: str, force_N: float) -> None:
    shown = units.show(force_N, unit)
    step = 10.0 ** -len(shown.split("\u00a0")[0].partition(".")[2])
    assert units.parse_force(shown) == pytest.approx(force_N, abs=0.51 * units.to_si(step, unit, "force"))


@pytest.mark.parametrize(
    ("force_N", "unit", "text"),
    [
        (19994.9, "kN", "19.99\u00a0kN"),
        (19995.0, "kN", "20.0\u00a0kN"),
        (-1234.0, "kN", "−1.23\u00a0kN"),
        (123456.0, "N", "123\u2009456\u00a0N"),
        (-0.1, "kN", "0.00\u00a0kN"),
        (9806.65, "t", "1.000\u00a0t"),
        (98066.5, "t", "10.00\u00a0t"),
        (math.nan, "kN", "–\u00a0kN"),
    ],
)
def test_figure_rules(force_N: float, unit: str, text: str) -> None:
    assert units.show(force_N, unit) == text


def test_a_force_in_kg_is_shown_in_kgf() -> None:
    assert units.show(9806.65, "kg", dimension="force") == "1\u2009000\u00a0kgf"
    assert units.show(0.128, "%", 1) == "12.8\u00a0%"
    assert units.show(math.radians(85.55), "deg") == "85.5°"


@given(st.floats(allow_nan=False, allow_infinity=False, width=32))
def test_read_number_agrees_with_python(value: float) -> None:
    assert read_number(repr(value)) == value
    assert read_number(repr(value).replace(".", ",", 1)) == value or re.search(r",\d{3}$", repr(value))


@given(st.integers(-(10**9), 10**9), st.integers(0, 4))
def test_printed_numbers_can_be_read_back(number: int, decimals: int) -> None:
    assert read_number(print_number(number / 10**decimals, decimals)) == pytest.approx(
        number / 10**decimals, rel=1e-12
    )
