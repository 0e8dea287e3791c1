"""Every refusal that needs no floating geometry: its code, and a sentence that names the part at fault."""

import copy

import pytest

from haulwright.errors import FileRefusal, RigRefusal
from haulwright.files.rig import read_rig
from haulwright.mechanics.statics import solve_rig

BASE = {
    "order": ["oak", "truck"],
    "anchors": {"oak": {}},
    "load": {"name": "truck", "toward": "oak", "resistance": "26 kN"},
    "blocks": {"B": {"on": "oak"}},
    "lines": {"winch line": {"standing": "truck", "through": ["B"], "fall": "winch"}},
    "winch": {"on": "truck"},
}


def variant(**changes):
    rig = copy.deepcopy(BASE)
    for key, value in changes.items():
        if value is None:
            rig.pop(key)
        else:
            rig[key] = value
    return rig


def refused(given, **how):
    with pytest.raises(RigRefusal) as caught:
        solve_rig(read_rig(given), **how)
    return caught.value


def line(standing, through=(), **end):
    return {"standing": standing, "through": list(through), **(end or {"fall": "winch"})}


CASES = [
    ("NO_LOAD", variant(load=None), "Nothing is connected to be pulled"),
    ("NO_WINCH", variant(lines={"a": line("truck", ["B"], to="truck")}), "No line goes to a winch"),
    (
        "NO_LOAD",
        variant(lines={"a": line("oak", to="oak"), "b": line("oak")}, winch={"on": "oak"}),
        "no line on truck",
    ),
    ("OPEN_END", variant(lines={"a": {"standing": "truck", "through": ["B"]}}), "made fast at one end only"),
    ("UNKNOWN", variant(lines={"a": line("truk", ["B"])}), "Did you mean truck?"),
    ("UNKNOWN", variant(lines={"a": line("truck", ["BB"])}), "not in the rig"),
    ("ZERO_PART", variant(lines={"a": line("truck"), "b": line("oak", to="truck")}), "has no length"),
    ("INPUT", variant(load={"name": "truck", "direction": [0, 0]}), "direction"),
    ("INPUT", variant(load={"name": "truck", "toward": "oak", "resistance": "-3 kN"}), "above 0"),
    ("RATIO", variant(sheaves={"law": "by-wrap", "k": 0.9}), "cannot give back more than it gets"),
    ("RATIO", variant(sheaves={"law": "efficiency", "e": 1.2}), "cannot give back more than it gets"),
    ("RATIO", variant(sheaves={"law": "capstan", "mu": -0.1}), "0 or more"),
    ("INPUT", variant(sheaves={"law": "magic", "k": 1.1}), "Give one of per-contact"),
    ("INPUT", variant(winches={"a": {"on": "truck"}}), "Both winch: and winches:"),
    ("UNSUPPORTED", variant(lines={"a": line("truck", ["B"]), "b": line("truck")}), "2 lines fall to winch"),
    ("INPUT", variant(blocks={"B": {"strap": {"to": "oak", "length": "2 m"}}}), "write mode: ground"),
    (
        "LOOSE",
        variant(blocks={"B": {"on": "oak"}, "M": {"floating": True}}, order=["oak", "M", "truck"]),
        "no line on M",
    ),
    ("INPUT", variant(blocks={"B": {"on": "oak", "wrap": 75, "between": 105}}), "twice"),
]


@pytest.mark.parametrize(("code", "rig", "words"), CASES, ids=[f"{i}-{c[0]}" for i, c in enumerate(CASES)])
def test_refused_with_code_and_words(code, rig, words):
    error = refused(rig)
    assert error.code == code
    assert words in error.message


NOTATION = [
    ("ONE_WAY", "X.drum > ~M > X ; !O > X", "Every line on M pulls it the same way"),
    ("UNDER", "X.drum > ~M > !O", "can move while the winch stands still"),
    ("LOCKED", "X.drum > !O ; O > X", "tie the rig solid"),
    ("REDUNDANT", "X.drum > !O ; X > Y", "more than needed"),
    ("LOAD_STILL", "X.drum > ~M ; X > ~M > !O | order X M O", "does not move the load"),
    ("BACKWARDS", "beyond.drum > !O > beyond ", "away from where it should go"),
    ("NO_LOAD", "X.drum > O", "Mark the load once with !"),
    ("NO_WINCH", "X > !O", "No line goes to a winch"),
    ("SLACK", "!O.drum > ~M > X > ~M ; X > ~M | order X M O", "would have to push"),
    ("OPEN_END", "X.drum > ", "is not a line"),
    ("UNKNOWN", "X.drum", "There is no rig named"),
    ("NOTATION", "!X.drum > !O", "both marked"),
    ("NOTATION", "X.drum > !O.drum", "write it first"),
    ("UNKNOWN", "X.drum > !O | order X P", "not in the rig"),
    ("REDUNDANT", "X.drum > !O ; Y.drum > O", "speeds as 1 : 1"),
]


@pytest.mark.parametrize(
    ("code", "text", "words"), NOTATION, ids=[f"{c[0]}-{i}" for i, c in enumerate(NOTATION)]
)
def test_notation_refused_with_code_and_words(code, text, words):
    error = refused(text)
    assert error.code == code
    assert words in error.message


def test_a_ratio_below_one_is_refused_from_the_caller_too():
    assert refused(BASE, ratio=0.95).code == "RATIO"
    assert refused(BASE, ratio={"C": 1.1}).code == "UNKNOWN"
    assert refused(BASE, ratio=1.1, load_N=1.0, effort_N=1.0).code == "INPUT"


def test_a_file_refusal_names_the_line(tmp_path):
    path = tmp_path / "rig.yaml"
    path.write_text(
        "rig: x\nanchors: {oak: {}}\nload: {name: truck}\nblocks:\n  B: {onn: oak}\n", encoding="utf-8"
    )
    with pytest.raises(FileRefusal) as caught:
        read_rig(path)
    assert caught.value.line == 5
    assert "did you mean on?" in caught.value.message


def test_a_misspelt_body_names_the_line_and_the_nearest(tmp_path):
    path = tmp_path / "rig.yaml"
    path.write_text(
        "rig: x\nanchors: {oak: {}}\nload: {name: truck}\nlines:\n  a: {standing: oka, fall: winch}\nwinch: {on: truck}\n",
        encoding="utf-8",
    )
    with pytest.raises(RigRefusal) as caught:
        read_rig(path)
    assert (caught.value.code, caught.value.line) == ("UNKNOWN", 5)
    assert "Did you mean oak?" in caught.value.message
