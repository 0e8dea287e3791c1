"""Likely conditions and the manual chains in words."""

from __future__ import annotations

from dataclasses import replace
from io import StringIO

import pytest
from rich.console import Console

from haulwright import workflows
from haulwright.interfaces.cli.text_sure import show_siblings, show_uncertainty
from haulwright.planning.result import Candidate
from haulwright.quantities.proportion import proportion
from haulwright.workflows import examples


@pytest.fixture(scope="module")
def chosen() -> Candidate:
    best = workflows.make_plan(examples() / "pulls" / "rutted-clearing.yaml").best
    assert best is not None
    return best


def words(show, candidate: Candidate, units: str = "kN") -> str:
    out = StringIO()
    show(Console(file=out, width=200, highlight=False, markup=False), candidate, units)
    return out.getvalue()


def test_share_stall_drivers_and_what_is_not_in_it_stand_together(chosen: Candidate) -> None:
    text = words(show_uncertainty, chosen)
    assert "2,000 likely conditions" in text
    assert "Were the winch to stall" in text
    assert "resistance" in text
    assert "log-normal" in text
    assert "Not in it: whether the anchors hold" in text
    assert "It is no chance that nothing breaks." in text
    for never in ("probability", "safe ", "safety"):
        assert never not in text.lower()


def test_a_stall_that_goes_over_is_said_even_beside_a_full_share(chosen: Candidate) -> None:
    assert chosen.likely is not None
    over = replace(
        chosen,
        inside_share=proportion(2000, 2000),
        likely=replace(chosen.likely, at_stall=proportion(0, 2000)),
    )
    text = words(show_uncertainty, over)
    assert "In all of them (99.8 % or more by the number of draws) the winch pulls it" in text
    assert "within its limit in none of them" in text


def test_why_there_is_no_share_is_said(chosen: Candidate) -> None:
    none = replace(chosen, inside_share=None, likely=None, drivers=(), likely_note="No share: no drum.")
    assert words(show_uncertainty, none) == "No share: no drum.\n"


def test_by_hand_follows_the_units(chosen: Candidate) -> None:
    assert "kN" in words(show_siblings, chosen)
    text = words(show_siblings, chosen, "lbf")
    assert "lbf" in text
    assert "kN" not in text
    assert "fall line" in text
    assert "dead line" in text
    assert "Friction:" in text
    assert words(show_siblings, replace(chosen, siblings=None)) == ""
