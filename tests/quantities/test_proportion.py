"""Shares of cases, held against a statistics library."""

from __future__ import annotations

import pytest
from scipy.stats import binomtest

from haulwright.errors import QuantityRefusal
from haulwright.quantities.proportion import proportion


@pytest.mark.parametrize(("hits", "cases"), [(0, 1), (1, 1), (3, 10), (0, 2000), (2000, 2000), (1951, 2000)])
def test_interval_is_the_score_interval_of_scipy(hits: int, cases: int) -> None:
    # scipy.stats.binomtest, method wilson
    low, high = binomtest(hits, cases).proportion_ci(0.95, method="wilson")
    found = proportion(hits, cases)
    assert (found.lo, found.hi) == (pytest.approx(low, abs=1e-12), pytest.approx(high, abs=1e-12))
    assert found.value == hits / cases


@pytest.mark.parametrize(("hits", "cases"), [(1, 0), (-1, 5), (6, 5)])
def test_what_is_no_count_is_refused(hits: int, cases: int) -> None:
    with pytest.raises(QuantityRefusal, match="at least one case"):
        proportion(hits, cases)
