"""Words and numbers as printed."""

from __future__ import annotations

import math

import pytest

from haulwright.errors import UsageRefusal
from haulwright.notices import Code
from haulwright.publishing import wording
from haulwright.publishing.look import font_file
from haulwright.quantities.measured import Measured
from haulwright.trials.result import Comparison


def test_value_and_uncertainty_are_rounded_to_one_place() -> None:
    # JCGM 100:2008 (GUM), clause 7.2.6: 10.05762 ohm with 27 milliohm is 10.058
    assert wording.plus_minus(Measured(10.05762, 0.0135, 10.03062, 10.08462)) == "10.058 ± 0.027"


def test_a_lopsided_interval_is_printed_with_its_ends() -> None:
    assert wording.plus_minus(Measured(2.0, 0.1, 1.9, 2.4)) == "2.00 (1.90 to 2.40)"


def test_what_is_not_known_is_a_dash_never_a_number() -> None:
    shown = wording.plus_minus(Measured(math.nan, math.nan, math.nan, math.nan))
    assert not any(c.isdigit() for c in shown)


def test_units_that_are_not_forces_are_refused() -> None:
    with pytest.raises(UsageRefusal) as refused:
        wording.force(1.0, "kg")
    assert "kgf" in refused.value.message


@pytest.mark.parametrize("verdict", ["different", "equivalent", "small_but_real", "undecided"])
def test_every_comparison_names_both_and_its_size(verdict: str) -> None:
    comparison = Comparison("a", "b", Measured.normal(0.95, 0.006), verdict, 16, 0.02)
    sentence = wording.comparison_sentence(comparison)
    assert "5.0 ± 1.2\u00a0%" in sentence
    assert sentence.startswith("a ")
    assert " b" in sentence
    assert ("16 more runs" in sentence) == (verdict == "undecided")
    assert (" 2\u00a0%" in sentence) == (verdict in ("equivalent", "small_but_real"))


def test_less_and_more_follow_the_quotient() -> None:
    less = wording.comparison_sentence(
        Comparison("a", "b", Measured.normal(0.95, 0.006), "different", 0, 0.02)
    )
    more = wording.comparison_sentence(
        Comparison("a", "b", Measured.normal(1.05, 0.006), "different", 0, 0.02)
    )
    assert " less than " in less
    assert " more than " in more


def test_cautions_come_once_and_first() -> None:
    notices = [
        Code.NO_PEAKS.notice(),
        Code.INVENTED.notice(),
        Code.NO_PEAKS.notice(("x",)),
        Code.TREND.notice(text="t"),
    ]
    assert [n.code for n in wording.cautions(notices)] == ["NO_PEAKS"]
    assert [n.code for n in wording.others(notices)] == ["TREND", "INVENTED"]


def test_no_sign_the_faces_lack_is_left() -> None:
    from fontTools.ttLib import TTFont

    known = TTFont(font_file()).getBestCmap()
    text = wording.plain_glyphs("k ≥ 1 ≤ 2 ≈ √ → ∞ a\u202fb \x07")
    assert [c for c in text if ord(c) not in known] == []
