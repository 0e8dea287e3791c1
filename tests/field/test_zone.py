"""Stand-clear distances: every rule shown, the largest wins, some places never."""

from __future__ import annotations

import pytest

from haulwright import catalogue
from haulwright.errors import QuantityRefusal
from haulwright.field.zone import stand_clear


def test_all_published_rules_are_shown_and_the_largest_wins() -> None:
    zone = stand_clear(line_m=30.0, paid_out_m=28.0, spread_m=20.0, strap_m=9.0)
    in_catalogue = [row for row in catalogue.load("rules") if row.startswith("stand-clear-")]
    assert len(zone.rules) == len(in_catalogue) == 5
    # 1.5 × line, 2 × paid out, 1 × line, 1 × distance, 50 ft
    assert [rule.distance_m for rule in zone.rules] == pytest.approx([45.0, 56.0, 30.0, 20.0, 15.24])
    assert zone.radius_m == pytest.approx(56.0)
    assert "paid out" in zone.rule
    assert all(rule.source for rule in zone.rules)


def test_a_rule_without_its_length_says_so() -> None:
    zone = stand_clear(spread_m=12.0)
    missing = [rule for rule in zone.rules if rule.distance_m is None]
    assert len(missing) == 3
    assert all("not given" in rule.note for rule in missing)
    assert zone.radius_m == pytest.approx(50 * 0.3048)  # 50 ft at least


def test_strap_alone() -> None:
    assert stand_clear(strap_m=20.0).radius_m == pytest.approx(30.0)


def test_known_accidents_lie_inside() -> None:
    # reported: a man about 10 m away killed by a sheared tow hook, Queensland 2005
    assert stand_clear(strap_m=9.0).radius_m > 10.0


def test_places_that_are_never_safe() -> None:
    never = " ".join(stand_clear(line_m=10.0).never)
    for words in ("in line", "bight", "between the vehicles", "astride"):
        assert words in never


def test_bad_lengths_are_refused() -> None:
    with pytest.raises(QuantityRefusal, match="paid-out"):
        stand_clear(paid_out_m=0.0)
