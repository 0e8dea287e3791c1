"""A file changed by a program says what it was given, and keeps its comments where it can."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from ruamel.yaml import YAML

import haulwright as hw
from haulwright.files.deciding import decided, withdrawn
from haulwright.files.rewriting import plain_content, rewritten
from haulwright.files.yamlfile import parse_yaml

KIT = """\
# whose it is
kit: club   # since 2024
items:
  - {id: S-1, kind: shackle, due: 2030-02-07}   # bent once
  - id: S-2
    kind: shackle   # new
mbs_factor: 2
"""
WORDS = st.text("abc äö:#-'\"{}[]&*!|>%@`,\n\t 0123456789.~=", max_size=12)
SCALARS = (
    st.none()
    | st.booleans()
    | st.integers(-(10**20), 10**20)
    | st.floats(allow_nan=False, allow_infinity=False)
    | WORDS
)
KEYS = st.text("abcxyz_-01 :#", min_size=1, max_size=6)
NODES = st.recursive(
    SCALARS,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(KEYS, inner, max_size=4),
    max_leaves=12,
)
CONTENTS = st.dictionaries(KEYS, NODES, min_size=1, max_size=5)


def read(text):
    return plain_content(YAML(typ="rt").load(text))


def test_what_does_not_change_stays_to_the_byte():
    assert rewritten(KIT, read(KIT)) == KIT


def test_comments_and_order_stay_where_a_value_changes():
    content = read(KIT)
    content["items"][0]["quarantined"] = True
    content["items"][1]["name"] = "the new one"
    content["mbs_factor"] = 3
    text = rewritten(KIT, content)
    assert read(text) == content
    for comment in ("# whose it is", "# since 2024", "# bent once", "# new"):
        assert comment in text
    assert [*read(text)] == ["kit", "items", "mbs_factor"]


def test_an_entry_keeps_its_own_lines_when_one_before_it_goes():
    content = read(KIT)
    del content["items"][0]
    text = rewritten(KIT, content)
    assert read(text) == content
    assert "# new" in text


def test_true_is_not_one():
    assert "true" in rewritten("wet: 1\n", {"wet": True})


@settings(max_examples=150, deadline=None)
@given(CONTENTS, CONTENTS)
def test_whatever_is_said_reads_back_as_said(before, after):
    text = rewritten(None, before)
    assert read(text) == before
    assert read(rewritten(text, after)) == after


@pytest.mark.parametrize(
    "before",
    [
        "a: &x [1]\nb: *x\n",
        "a: !!str 1\n",
        "- 1\n",
        "a: [\n",
        "",
        "? {x: 1}\n: 2\n",
        "a: &x {b: 1}\nc: {<<: *x}\n",
    ],
)
def test_a_text_that_cannot_be_changed_is_written_anew(before):
    assert read(rewritten(before, {"a": [2], "b": [1]})) == {"a": [2], "b": [1]}


ONE = {"run": "two-a1", "who": "Kim", "when": "2025-06-05", "why": "a root"}


def test_a_stretch_takes_the_place_of_the_earlier_which_stays_to_be_read():
    text = decided("# ours\nexclusions: []\n", "stretch", {**ONE, "start": "95 s", "end": "160 s"})
    text = decided(text, "stretch", {**ONE, "who": "Lee", "start": "99 s", "end": "160 s"})
    found = parse_yaml(text, "decisions.yaml")
    assert [one["start"] for one in found["stretches"]] == ["99 s"]
    assert found["withdrawn"][0]["who"] == "Lee"
    assert found["withdrawn"][0]["was"] == {
        "who": "Kim", "when": "2025-06-05", "why": "a root", "start": "95 s", "end": "160 s"
    }  # fmt: skip
    assert text.startswith("# ours\n")


def test_a_stretch_may_stand_beside_another():
    text = decided(None, "stretch", {**ONE, "start": "95 s", "end": "110 s"})
    text = decided(text, "stretch", {**ONE, "start": "120 s", "end": "160 s"}, also=True)
    assert len(parse_yaml(text, "d")["stretches"]) == 2
    assert "withdrawn" not in parse_yaml(text, "d")


def test_a_zero_of_one_channel_leaves_that_of_the_other():
    text = decided(None, "zero", {**ONE, "channel": "line", "zero": "2 kgf"})
    text = decided(text, "zero", {**ONE, "channel": "anchor", "zero": "3 kgf"})
    text = withdrawn(text, "zero", {**ONE, "channel": "line"})
    found = parse_yaml(text, "d")
    assert [one["channel"] for one in found["zeros"]] == ["anchor"]
    assert found["withdrawn"][0]["was"]["zero"] == "2 kgf"


def test_nothing_to_take_back_is_refused():
    with pytest.raises(hw.Refusal) as told:
        withdrawn(None, "exclusion", ONE)
    assert told.value.code == "NO_DECISION"
