"""What helps to enter a piece: every kind is told, its keys are a kit's, and nothing in it passes for a rating."""

from __future__ import annotations

import re
from typing import get_args

import pytest

from haulwright.catalogue import load
from haulwright.files.item import Item, ItemKind
from haulwright.files.kit import read_kit
from haulwright.planning.kit_check import check_kit
from haulwright.planning.kit_kinds import list_kinds

KINDS = {one.kind: one for one in list_kinds().kinds}


def test_every_kind_a_kit_takes_is_told() -> None:
    assert tuple(KINDS) == get_args(ItemKind)
    assert {one.basis for one in list_kinds().bases} == {"WLL", "MBS", "unknown"}


@pytest.mark.parametrize("kind", get_args(ItemKind))
def test_what_is_asked_is_a_key_of_a_kit(kind: str) -> None:
    told = KINDS[kind]
    assert set(told.asks) <= set(Item.model_fields)
    assert told.usual_basis in ("WLL", "MBS", "unknown")
    for words in (told.what, told.mark, told.why, told.out, told.source):
        assert words.strip()
        assert not words.endswith(" ")


@pytest.mark.parametrize("kind", get_args(ItemKind))
def test_the_usual_basis_never_stands_in_for_the_mark(kind: str) -> None:
    item = {"id": "X", "kind": kind, "rating": "300 kN"}
    (found,) = check_kit(read_kit({"items": [item], "winches": [{"id": "W", "line_pull": "40 kN"}]})).items
    assert found.limit_N is None
    assert found.verdict in ("unknown", None)


def test_the_one_multiple_told_is_that_of_the_table() -> None:
    # RR-C-271 and EN 13889: the least breaking force of a grade 6 shackle is six times its WLL
    assert "six times" in KINDS["shackle"].why
    assert {one.extra.get("family", one.family) for one in load("shackles").values()} >= {"grade-6"}
    numbers = [
        word for one in KINDS.values() for word in re.findall(r"\d+(?:\.\d+)? ?(?:t|kN|kg|lb)\b", one.why)
    ]
    assert numbers == []
