"""A number is the same on page, command line and paper: figures.ts against the Python it stands for.

The truth here is the Python side, which has tests of its own against JCGM 100:2008 and exact decimals. Compared are
thousands of values: at random over every size that occurs, and those where roundings part: ties in binary and ties as
they read, steps of the decimals, zero, what is not known.
"""

import importlib.util
import json
import math
import os
import random
import re
import subprocess
import sys
from pathlib import Path

import pytest

from haulwright.publishing import wording
from haulwright.quantities.measured import Measured
from haulwright.quantities.numerals import print_number
from haulwright.quantities.rounding import round_pair
from haulwright.quantities.units import to_si

ROOT = Path(__file__).resolve().parents[2]
UNITS = ("kN", "kgf", "lbf", "t")
MANY = 1500


def builder():
    spec = importlib.util.spec_from_file_location("build_for_figures", ROOT / "frontend" / "build.py")
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="module")
def on_page():
    """What the pages print: list of (function, arguments …) -> list of texts."""
    node = builder().find_node()
    if node is None or not (ROOT / "frontend" / "node_modules" / "vite").is_dir():
        words = "no Node, or no packages of the pages: their figures are not compared"
        if os.environ.get("HAULWRIGHT_BROWSER") == "required":
            pytest.fail(words)
        pytest.skip(words)

    command = [str(node.node), str(Path(__file__).with_name("figures.mjs")), str(ROOT / "frontend")]
    with subprocess.Popen(
        command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, encoding="utf-8"
    ) as page:

        def answers(questions):
            page.stdin.write(re.sub(r"-?Infinity|NaN", r'"\g<0>"', json.dumps(questions)) + "\n")
            page.stdin.flush()
            line = page.stdout.readline()
            assert line, "the figures of the pages could not be asked: see what Node wrote"
            return json.loads(line)

        yield answers
        page.stdin.close()


def compare(on_page, questions, expected):
    said = on_page(questions)
    assert len(said) == len(expected) == len(questions) > 0
    wrong = [(q, js, py) for q, js, py in zip(questions, said, expected, strict=True) if js != py]
    assert not wrong, f"{len(wrong)} of {len(said)} (asked, page, Python): {wrong[:8]}"


def sizes(seed, n=MANY):
    """Numbers of every size and sign, ties in binary, ties as they read, and edges."""
    draw = random.Random(seed)
    found = [draw.choice((-1, 1)) * 10 ** draw.uniform(-5, 7) for _ in range(n)]
    found += [draw.randrange(-40_000, 40_000) / 2 ** draw.randrange(1, 8) for _ in range(n)]
    found += [round(draw.randrange(-10_000, 10_000) / 10**places + 5 * 10 ** -(places + 1), 9)
              for places in (0, 1, 2, 3) for _ in range(n // 4)]  # fmt: skip
    return [*found, 0.0, -0.0, -0.001, 0.5, 1.5, 2.5, 8.345, 1.005, 2.675, 999.995, 9999.5, 1e15, 123456789.0,
            19994.99, 19995.0, 19996.0, -19995.0]  # fmt: skip


def measured(seed, n=MANY):
    """Values with intervals: narrow, wide, exact, lopsided."""
    draw = random.Random(seed)
    found = []
    for _ in range(n):
        value = draw.choice((-1, 1, 1, 1)) * 10 ** draw.uniform(-3, 6)
        u = abs(value) * 10 ** draw.uniform(-6, 1)
        lo, hi = value - 2 * u, value + 2 * u * draw.choice((1, 1, 1.1, 1.3, 3))
        found.append(Measured(value, u, lo, hi))
    found += [Measured.exact(round(draw.uniform(-2e5, 2e5), draw.randrange(0, 5))) for _ in range(n // 5)]
    return [*found, *(Measured.exact(x) for x in (0.0, 1.0, 12345.0, 1e-6, -2.5, 0.1))]


def record(m):
    return {"value": m.value, "u": m.u, "interval95": [m.lo, m.hi]}


def test_every_function_is_compared_here(on_page):
    (functions,) = on_page([("*",)])
    tests = Path(__file__).read_text(encoding="utf-8")
    assert [name for name in functions if f'("{name}", ' not in tests] == []
    assert len(functions) > 10


@pytest.mark.parametrize("decimals", [0, 1, 2, 3])
def test_plain_numbers(on_page, decimals):
    values = [*sizes(1 + decimals), math.nan, math.inf, -math.inf]
    compare(on_page, [("number", x, decimals) for x in values], [print_number(x, decimals) for x in values])


@pytest.mark.parametrize("decimals", [-1, -2, -3])
def test_numbers_in_tens_and_hundreds(on_page, decimals):
    values = [*(float(x) for x in range(-3000, 3000, 5)), *sizes(7)]
    compare(on_page, [("number", x, decimals) for x in values], [print_number(x, decimals) for x in values])


@pytest.mark.parametrize("unit", UNITS)
def test_forces(on_page, unit):
    values = [*sizes(11), *(x / 8 for x in range(159_900, 160_000))]
    compare(on_page, [("force", x, unit) for x in values], [wording.force(x, unit) for x in values])
    compare(
        on_page,
        [("force", x, unit, False) for x in values],
        [wording.force(x, unit, unit=False) for x in values],
    )
    second = "kgf" if unit == "kN" else "kN"
    compare(on_page, [("other", x, unit) for x in values], [wording.force(x, second) for x in values])


def test_newtons_in_each_unit(on_page):
    compare(on_page, [("newtonsPer", unit) for unit in UNITS], [to_si(1.0, unit, "force") for unit in UNITS])


def test_ranges_of_forces(on_page):
    draw = random.Random(12)
    lows = [abs(x) for x in sizes(13, 500)]
    pairs = [(low, low * (1 + draw.choice((0.0, 1e-6, 1e-3, 0.2)))) for low in lows]
    for unit in UNITS:
        compare(
            on_page,
            [("forceRange", low, high, unit) for low, high in pairs],
            [wording.force_range(low, high, unit) for low, high in pairs],
        )


@pytest.mark.parametrize("figures", [1, 2, 3])
def test_value_and_uncertainty(on_page, figures):
    draw = random.Random(20 + figures)
    values = sizes(20 + figures)
    spreads = [draw.choice((0.0, 10 ** draw.uniform(-6, 6), 0.0996, 9.96, 0.095, 0.25, 1.5)) for _ in values]
    spreads = [*spreads, math.nan, math.inf, -1.0, 0.1]
    values = [*values, 1.25, 12.5, 3.0, math.nan]
    compare(
        on_page,
        [("roundPair", x, u, figures) for x, u in zip(values, spreads, strict=True)],
        [list(round_pair(x, u, figures)) for x, u in zip(values, spreads, strict=True)],
    )


@pytest.mark.parametrize("figures", [1, 2])
def test_plus_and_minus(on_page, figures):
    all_of_them = measured(30)
    compare(
        on_page,
        [("plusMinus", record(m), 1, figures) for m in all_of_them],
        [wording.plus_minus(m, figures=figures) for m in all_of_them],
    )
    compare(
        on_page,
        [("percent", record(m), figures) for m in all_of_them],
        [wording.percent(m, figures=figures) for m in all_of_them],
    )
    compare(
        on_page,
        [("pair", record(m), 1, figures) for m in all_of_them],
        [list(round_pair(m.value, m.half95, figures)) for m in all_of_them],
    )


@pytest.mark.parametrize("unit", UNITS)
def test_forces_with_their_interval(on_page, unit):
    all_of_them = measured(40)
    compare(
        on_page,
        [("forcePlusMinus", record(m), unit) for m in all_of_them],
        [wording.force_plus_minus(m, unit) for m in all_of_them],
    )


def test_load_over_limit(on_page):
    draw = random.Random(50)
    values = [draw.uniform(0, 3) for _ in range(MANY)] + [x / 2000 for x in range(4000)]
    values += [0.8, 0.80000001, 0.8049, 0.805, 1.0, 1.0000001, 1.002, 1.005, 12.5, 1234.5, math.inf]
    compare(on_page, [("ofLimit", x) for x in values], [wording.of_limit(x) for x in values])


def test_times_lengths_angles_counts(on_page):
    values = sizes(60)
    compare(on_page, [("seconds", x) for x in values], [wording.seconds(x) for x in values])
    compare(on_page, [("metres", x) for x in values], [f"{print_number(x, 1)}\u00a0m" for x in values])
    small = [x % 7 for x in values]
    compare(on_page, [("degrees", x) for x in small], [f"{print_number(math.degrees(x), 0)}°" for x in small])
    whole = [0, 1, 2, 12, 999, 1000, 10_000, 1_234_567]
    compare(on_page, [("count", n, "run") for n in whole], [wording.count(n, "run") for n in whole])


def test_what_is_not_known_is_a_dash_and_never_a_number(on_page):
    names = ("number", "force", "other", "plusMinus", "percent", "forcePlusMinus", "ofLimit", "metres", "seconds",
             "degrees")  # fmt: skip
    said = on_page([(name, None, "kN" if "orce" in name or name == "other" else 1) for name in names])
    assert all(text.startswith("–") for text in said), said
