"""Wire rope strength by EN 12385-4."""

from __future__ import annotations

import pytest

from haulwright.errors import QuantityRefusal, Refusal
from haulwright.field.wire_rope import breaking_force


@pytest.mark.parametrize(
    ("grade", "diameter_mm", "kN"),
    [(1770, 8, 40.3), (1770, 10, 63.0), (1770, 12, 90.7), (1770, 14, 123.5), (1960, 8, 44.7), (1960, 10, 69.8), (1960, 12, 100.5)],
)  # fmt: skip
def test_breaking_force(grade: float, diameter_mm: float, kN: float) -> None:
    # EN 12385-4, F = K d² R, K = 0.356 for 6x36 with a steel core
    assert breaking_force(diameter_mm / 1e3, grade * 1e6, "6x36", "steel") / 1e3 == pytest.approx(
        kN, abs=0.05
    )


def test_fibre_core_is_weaker() -> None:
    assert breaking_force(0.01, 1770e6, "6x19", "fibre") < breaking_force(0.01, 1770e6, "6x19", "steel")


def test_what_the_standard_does_not_give_is_refused() -> None:
    with pytest.raises(Refusal, match="6x99"):
        breaking_force(0.01, 1770e6, "6x99", "steel")
    with pytest.raises(QuantityRefusal, match="grade"):
        breaking_force(0.01, 1770.0, "6x36", "steel")
