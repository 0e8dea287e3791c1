"""Ratings: bases kept apart, house numbers named, verdict edges."""

from __future__ import annotations

import pytest

from haulwright import catalogue
from haulwright.errors import QuantityRefusal
from haulwright.field.rating import derated, entered_limit, utilisation, verdict, working_limit, worst


def test_wll_is_used_as_it_stands() -> None:
    # shackle of 4.75 t WLL, minimum break six times that (printed with RR-C-271 and EN 13889 sizes)
    wll_N = 4.75 * 9806.65
    limit = working_limit(wll_N, "WLL", factor=6.0, item="bow shackle")
    assert (limit.limit_N, limit.basis) == (wll_N, "WLL")
    assert "not used" in limit.note


def test_mbs_is_divided_by_the_stated_factor() -> None:
    limit = working_limit(279.5e3, "MBS", factor=6.0, item="bow shackle")
    assert limit.limit_N == pytest.approx(4.75 * 9806.65, rel=1e-3)
    assert limit.basis == "MBS ÷ 6"
    assert not limit.notices


def test_mbs_without_a_factor_uses_the_house_number_and_says_so() -> None:
    limit = working_limit(80e3, "MBS", item="winch line")
    assert limit.limit_N == pytest.approx(80e3 / catalogue.row("rules", "mbs-factor").si)
    assert "house factor" in limit.basis
    assert [notice.level for notice in limit.notices] == ["warning"]
    assert "winch line" in limit.notices[0].message


def test_unknown_is_never_fine() -> None:
    limit = working_limit(None, "unknown", item="old hook")
    assert limit.limit_N is None
    assert [notice.code for notice in limit.notices] == ["UNKNOWN_RATING"]
    assert utilisation(1.0, limit) is None
    assert verdict(utilisation(1.0, limit)) == "unknown"
    assert derated(limit, 0.5, "side load").limit_N is None


@pytest.mark.parametrize(
    ("rating", "basis", "factor", "code"),
    [
        (None, "WLL", None, "RATING"),
        (1e4, "unknown", None, "RATING"),
        (1e4, "SWL", None, "BASIS"),
        (1e4, "MBS", 1.0, "FACTOR"),
        (1e4, "MBS", float("nan"), "FACTOR"),
        (0.0, "WLL", None, "NOT_POSITIVE"),
    ],
)
def test_mixed_or_wrong_ratings_are_refused(
    rating: float | None, basis: str, factor: float | None, code: str
) -> None:
    with pytest.raises(QuantityRefusal) as caught:
        working_limit(rating, basis, factor, item="strap")
    assert caught.value.code == code
    assert "strap" in caught.value.message


def test_a_tree_has_no_number_of_its_own() -> None:
    assert verdict(utilisation(5e3, entered_limit(None, "", "oak"))) == "unknown"
    known = entered_limit(60e3, "test pull", "oak")
    assert verdict(utilisation(30e3, known)) == "inside"
    assert "test pull" in known.basis
    with pytest.raises(QuantityRefusal, match="source"):
        entered_limit(60e3, "  ", "oak")


def test_verdict_edges() -> None:
    tight = catalogue.row("rules", "tight-share").si
    edges = [
        (0.0, "inside"),
        (tight, "inside"),
        (tight + 1e-6, "tight"),
        (1.0, "tight"),
        (1.0 + 1e-6, "over"),
    ]
    assert [verdict(used) for used, _ in edges] == [word for _, word in edges]
    with pytest.raises(QuantityRefusal):
        verdict(float("nan"))


def test_worst_puts_over_before_unknown() -> None:
    assert worst(["inside", "over", "unknown"]) == "over"
    assert worst(["inside", "tight"]) == "tight"
    assert worst([]) == "unknown"


def test_deratings_pile_up_in_the_note() -> None:
    limit = derated(derated(working_limit(10e3, "WLL"), 0.7, "side load"), 0.9, "heat")
    assert limit.limit_N == pytest.approx(6300)
    assert limit.note == "side load: × 0.7; heat: × 0.9"
