"""Values that are wrong in print or easily computed wrong: the checks must refuse them."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from haulwright.catalogue import row
from haulwright.catalogue.printed import PrintedRow, printed_rows
from haulwright.checking import compute
from haulwright.field.families import Applied, military
from haulwright.field.stuck import Ground, StuckVehicle
from haulwright.sources import Source
from haulwright.trials.scatter import inefficiency

ROWS = {printed.id: printed for printed in printed_rows()}


def _family(start: str) -> list[PrintedRow]:
    found = [printed for id_, printed in ROWS.items() if id_.startswith(start + "-")]
    assert found
    return found


def _with(printed: PrintedRow, **args: float) -> float:
    return compute(replace(printed, args={**printed.args, **args}))


@pytest.mark.parametrize("degrees", range(0, 85, 5))
def test_step_is_not_weight_over_cosine(degrees: int) -> None:
    """A homework site gives W/cos(angle) for a wheel pulled over a step: it does not depend on the height."""
    trap = 1.0 / math.cos(math.radians(degrees))
    agreeing = [printed for printed in _family("step-axle") if printed.agrees(trap)]
    assert len(agreeing) < len(_family("step-axle"))
    if degrees == 0:
        assert agreeing == []


# Mean of an autocorrelated series, lag-1 correlation 0.8, 100 values: exact sum of the AR(1) correlations,
# derived.
SERIES = PrintedRow(
    "ar1", "var(mean)/s², r 0.8, n 100", Source("AR(1) sum", flag="derived"), "", {}, "0.086000", "1", 5e-7
)


def test_mean_of_a_correlated_series_is_not_one_minus_a_squared() -> None:
    """A question site claims (1 - a²)/(n - 1): twenty-odd times too small."""
    a, n = 0.8, 100
    exact = (1.0 + 2.0 * sum((1.0 - k / n) * a**k for k in range(1, n))) / n
    trap = (1.0 - a**2) / (n - 1)
    assert SERIES.agrees(exact)
    assert not SERIES.agrees(trap)
    rng = np.random.default_rng(5)
    noise = rng.standard_normal(40_000)
    series = np.empty_like(noise)
    series[0] = noise[0]
    for i in range(1, noise.size):
        series[i] = a * series[i - 1] + math.sqrt(1 - a * a) * noise[i]
    ours = inefficiency(series) / n
    assert ours == pytest.approx(exact, rel=0.2)
    assert ours > 10 * trap


@pytest.mark.parametrize(
    ("start", "wrong"),
    [
        ("ratio-roller", 1.04),
        ("ratio-roller-long", 1.04),
        ("ratio-bronze", 1.09),
        ("overhaul-roller", 1.02),
        ("overhaul-roller", 1.045),
        ("fast-line-104", 1.02),
        ("fast-line-109", 1.045),
        ("users-four-part", 1.04),
    ],
)
def test_families_are_not_mixed(start: str, wrong: float) -> None:
    """The constants of one family do not reproduce the table of another."""
    rows = _family(start)
    assert not any(printed.agrees(_with(printed, k=wrong)) for printed in rows if printed.args["n"] >= 4)


def test_letting_back_is_not_hauling() -> None:
    for printed in _family("overhaul-roller"):
        hauling = compute(replace(printed, formula="crane_ratio"))
        assert not printed.agrees(hauling)


def test_the_number_of_sheaves_counts() -> None:
    """Fall off a fixed block or straight off the moving block: one sheave apart, 4 to 9 % in the answer."""
    for name in ("fast-line-104", "fast-line-109"):
        for printed in _family(name):
            k = float(printed.args["k"])
            assert not printed.agrees(compute(printed) / k)
    for printed in _family("t-method-two-part"):
        e = float(printed.args["e"])
        if e < 1.0:
            assert not printed.agrees(e + e**2)
    four = ROWS["tenth-two-fold-4"]
    assert not four.agrees(_with(replace(four, formula="tenth_rule_straight")))


def test_loss_as_ratio_is_not_loss_as_efficiency() -> None:
    """4 % loss as k = 1.04 gives e = 0.9615, as e = 0.96 gives k = 1.0417."""
    printed = ROWS["fast-line-104-10"]
    assert not printed.agrees(_with(printed, k=1 / 0.96))


# U.S. Army recovery manuals, from memory: pulled out backwards -10 %, own wheels driving -40 %, both -50 %.
MIRE_BOTH = PrintedRow(
    "mire", "share of mire left", Source("FM 9-43-2", flag="memory"), "", {}, "0.50", "1", 0.005
)


def test_mire_reductions_add_and_do_not_multiply() -> None:
    vehicle = StuckVehicle(2000.0, sunk="wheel", drive_helps=True, opposite_direction=True)
    applied = military(vehicle, Ground("shallow mud"))
    assert isinstance(applied, Applied)
    mire = sum(part.likely_N for part in applied.parts)
    assert MIRE_BOTH.agrees(mire / vehicle.weight_N)
    assert not MIRE_BOTH.agrees(0.9 * 0.6)
    shares = [row("surfaces", f"reduction-{name}").si for name in ("opposite", "power", "both")]
    assert shares[0] + shares[1] == pytest.approx(shares[2])


@pytest.mark.parametrize(("degrees", "wrong"), [(30, 1.95), (10, 1.98)])
def test_wrong_factors_of_other_sheets(degrees: int, wrong: float) -> None:
    """A second sheet prints 1.95 at 30° and a third 1.98 at 10°: 2 cos(θ/2) is 1.93 and 1.99."""
    assert not ROWS[f"block-load-{degrees}"].agrees(wrong)
    assert not ROWS[f"block-load-exact-{degrees}"].agrees(wrong)


def test_wrap_is_not_the_angle_between_the_parts() -> None:
    for printed in _family("block-load-exact"):
        if printed.args["degrees"] not in (90,):
            assert not printed.agrees(_with(printed, degrees=180 - printed.args["degrees"]))


def test_degrees_over_sixty_is_not_the_sine() -> None:
    for printed in _family("grade-sine"):
        if printed.args["degrees"] != 30:
            assert not printed.agrees(printed.args["degrees"] / 60)


def test_correlation_counts_in_a_ratio() -> None:
    printed = ROWS["gum-h2-u--0.36"]
    assert not printed.agrees(_with(printed, r=0.0))
