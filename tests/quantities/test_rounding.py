"""Rounding of value ± uncertainty (JCGM 100:2008, clause 7.2.6)."""

from __future__ import annotations

import math
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haulwright.quantities.rounding import round_pair


@pytest.mark.parametrize(
    ("value", "u", "figures", "expected"),
    [
        (10.05762, 0.027, 2, ("10.058", "0.027")),  # JCGM 100:2008, 7.2.6
        (1.834567, 0.0213, 2, ("1.835", "0.021")),
        (1.834567, 0.0213, 1, ("1.83", "0.02")),
        (1.834567, 0.0996, 2, ("1.83", "0.10")),
        (1.834567, 0.0996, 1, ("1.8", "0.1")),
        (45678.0, 1234.0, 2, ("45\u2009700", "1\u2009200")),
        (-3.14159, 0.0021, 2, ("−3.1416", "0.0021")),
        (0.25, 0.1, 1, ("0.3", "0.1")),
        (2.0, 0.0, 2, ("2", "0")),
        (1.0 / 3.0, 0.0, 2, ("0.333333", "0")),
        (math.nan, 0.1, 2, ("–", "–")),
        (1.5, math.nan, 2, ("1.5", "–")),
    ],
)
def test_examples(value: float, u: float, figures: int, expected: tuple[str, str]) -> None:
    assert round_pair(value, u, figures) == expected


@given(st.floats(-1e6, 1e6), st.floats(1e-6, 1e5), st.integers(1, 2))
def test_both_stand_at_the_same_place(value: float, u: float, figures: int) -> None:
    shown, shown_u = (text.replace("−", "-").replace("\u2009", "") for text in round_pair(value, u, figures))
    assert len(shown.partition(".")[2]) == len(shown_u.partition(".")[2])
    assert float(shown_u) == pytest.approx(u, rel=0.5 * 10.0 ** (1 - figures))
    step = 10.0 ** (Decimal(repr(float(shown_u))).adjusted() - figures + 1)
    assert abs(float(shown) - value) <= 0.5001 * step + 1e-9 * abs(value)
