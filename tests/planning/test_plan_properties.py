"""What can only make a plan worse never makes it better, whatever the pull: friction, weaker gear, more resistance."""

from __future__ import annotations

import copy
import math
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from haulwright.errors import Refusal
from haulwright.field.rating import VERDICTS
from haulwright.files.pull import read_pull
from haulwright.planning.found import survey
from haulwright.planning.rank import rank, worst_item
from haulwright.planning.result import Candidate

TRIED = settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck), derandomize=True)


def force(low: float, high: float) -> st.SearchStrategy[str]:
    return st.integers(int(low), int(high)).map(lambda number: f"{number} kN")


@st.composite
def marks(draw: st.DrawFn, low: float, high: float) -> dict[str, Any]:
    basis = draw(st.sampled_from(["WLL", "WLL", "WLL", "MBS", "unmarked"]))
    if basis == "unmarked":
        return {}
    return {"rating": draw(force(low, high)), "basis": basis}


@st.composite
def devices(draw: st.DrawFn) -> dict[str, Any]:
    k = draw(st.floats(1.02, 1.3))
    return {
        "k": k,
        "u": 0.01,
        "interval95": [max(k - 0.02, 1.0), k + 0.02],
        "valid_N": [1.0, 1e6],
        "source": "invented",
    }


@st.composite
def anchors(draw: st.DrawFn, name: str) -> dict[str, Any]:
    known = draw(st.booleans()) or draw(st.booleans())
    limit = {"limit": draw(force(50, 200)), "source": "invented"} if known else {}
    x, y = draw(st.integers(9, 24)), draw(st.integers(-5, 5))
    return {"name": name, "kind": "tree", "at": [f"{x} m", f"{y} m"], **limit}


@st.composite
def pulls(draw: st.DrawFn) -> dict[str, Any]:
    items: list[dict[str, Any]] = [
        {"id": "L", "kind": "rope", "rating": draw(force(60, 140)), "basis": "MBS", "factor": 2, "diameter": "11 mm",
         "length": f"{draw(st.integers(30, 80))} m"}
    ]  # fmt: skip
    for n in range(draw(st.integers(0, 3))):
        kind = draw(st.sampled_from(["block", "block", "ring"]))
        items.append({"id": f"B{n}", "kind": kind, "device": f"puck-{n}", **draw(marks(50, 180))})
    for n in range(draw(st.integers(2, 6))):
        kind = draw(st.sampled_from(["shackle", "shackle", "soft shackle"]))
        items.append({"id": f"S{n}", "kind": kind, **draw(marks(40, 180))})
    for n in range(draw(st.integers(1, 3))):
        items.append(
            {
                "id": f"T{n}",
                "kind": "strap",
                "length": f"{draw(st.integers(2, 12))} m",
                **draw(marks(60, 200)),
            }
        )
    if draw(st.booleans()):
        items.append({"id": "X", "kind": "extension line", "length": "14 m", **draw(marks(60, 140))})
    names = ["oak", "elm"][: draw(st.integers(1, 2))]
    return {
        "pull": "case",
        "vehicle": {
            "name": "wagon",
            "mass": f"{draw(st.integers(1500, 6000))} kg",
            "sunk": "rim",
            "points": [{"name": f"p{n}", **draw(marks(40, 120))} for n in range(draw(st.integers(1, 2)))],
        },
        "ground": {"surface": "road", "slope": "3 deg", "direction": "up"},
        "site": {"anchors": [draw(anchors(name)) for name in names]},
        "winch": "W",
        "want": {"travel": "4 m", "least_gap": "2 m"},
        "friction": {f"puck-{n}": draw(devices()) for n in range(3)},
        "kit": {
            "items": items,
            "winches": [
                {
                    "id": "W",
                    "line_pull": draw(force(25, 60)),
                    "drum": {"barrel": "300 mm", "width": "1 m"},  # all line on the first layer
                    "rope": "L",
                    "mount": {"rating": draw(force(40, 90)), "basis": "WLL"},
                }
            ],
        },
    }


def found(pull: dict[str, Any]) -> dict[str, Candidate]:
    """Return the ranked rigs by name; none where no rule gives a resistance."""
    try:
        return {one.rig: one for one in rank([one.candidate for one in survey(read_pull(pull)).found])}
    except Refusal:
        return {}


def badness(candidate: Candidate) -> int:
    return VERDICTS.index(candidate.verdict)


def never_better(pull: dict[str, Any], worse: dict[str, Any]) -> None:
    """Check that no rig has a better verdict in the worse pull, and none is there that was not before."""
    before, after = found(pull), found(worse)
    assert set(after) <= set(before)
    for name, candidate in after.items():
        assert badness(candidate) >= badness(before[name]), (
            f"{name}: {before[name].verdict} -> {candidate.verdict}"
        )


@TRIED
@given(pulls(), st.integers(0, 3), st.floats(1.01, 1.5))
def test_more_friction_never_improves_a_verdict(pull: dict[str, Any], which: int, factor: float) -> None:
    worse = copy.deepcopy(pull)
    for n in range(3):
        if which in (n, 3):  # one device, or all of them
            device = worse["friction"][f"puck-{n}"]
            device["k"] *= factor
            device["interval95"] = [end * factor for end in device["interval95"]]
    never_better(pull, worse)


def scaled(marked: dict[str, Any], key: str, share: float) -> None:
    if key in marked:
        marked[key] = f"{float(marked[key].split()[0]) * share} kN"


@TRIED
@given(pulls(), st.integers(0, 30), st.floats(0.3, 0.99))
def test_a_weaker_item_never_improves_a_verdict(pull: dict[str, Any], which: int, share: float) -> None:
    worse = copy.deepcopy(pull)
    pieces = [(item, "rating") for item in worse["kit"]["items"]]
    pieces += [(worse["kit"]["winches"][0]["mount"], "rating")]
    pieces += [(point, "rating") for point in worse["vehicle"]["points"]]
    pieces += [(anchor, "limit") for anchor in worse["site"]["anchors"]]
    scaled(*pieces[which % len(pieces)], share)
    never_better(pull, worse)


@TRIED
@given(pulls(), st.floats(1.01, 2.0))
def test_a_higher_resistance_never_improves_a_verdict(pull: dict[str, Any], factor: float) -> None:
    worse = copy.deepcopy(pull)
    worse["vehicle"]["mass"] = f"{float(pull['vehicle']['mass'].split()[0]) * factor} kg"
    never_better(pull, worse)


def chosen(rigs: dict[str, Candidate]) -> tuple[float, float]:
    """Return how good the best rig is: verdict, then worst utilisation; nothing is worse than no rig."""
    if not rigs:
        return (math.inf, math.inf)
    best = next(iter(rigs.values()))
    item = worst_item(best)
    return (
        badness(best),
        math.inf if item is None or item.utilisation is None else round(item.utilisation, 4),
    )


@st.composite
def additions(draw: st.DrawFn) -> dict[str, Any]:
    """Return one more thing there is."""
    what = draw(st.sampled_from(["anchor", "shackle", "strap", "block", "extension line", "longer line"]))
    if what == "anchor":
        return draw(anchors("birch")) | {"what": what}
    length = {"length": f"{draw(st.integers(2, 20))} m"} if what in ("strap", "extension line") else {}
    device = {"device": "puck-0"} if what == "block" else {}
    return {"what": what, "id": "NEW", "kind": what, **length, **device, **draw(marks(40, 200))}


@TRIED
@given(pulls(), additions())
def test_more_line_gear_or_anchors_never_make_the_chosen_rig_worse(
    pull: dict[str, Any], more: dict[str, Any]
) -> None:
    richer = copy.deepcopy(pull)
    what = more.pop("what")
    if what == "longer line":  # still on one layer: on more layers a longer line does cost line pull
        line = richer["kit"]["items"][0]
        line["length"] = f"{float(line['length'].split()[0]) + 5.0} m"
    elif what == "anchor":
        richer["site"]["anchors"].append(more)
    else:
        richer["kit"]["items"].append(more)
    before, after = chosen(found(pull)), chosen(found(richer))
    assert after[0] <= before[0], f"{before} -> {after} by {what}"
    if (
        after[0] == before[0] and what != "block"
    ):  # a block of less friction may be the weaker one, both inside
        assert after[1] <= before[1] + 1e-9, f"{before} -> {after} by {what}"


def test_the_pulls_tried_have_rigs_of_every_verdict() -> None:
    seen: set[str] = set()

    @settings(
        max_examples=80,
        deadline=None,
        suppress_health_check=list(HealthCheck),
        derandomize=True,
        database=None,
    )
    @given(pulls())
    def look(pull: dict[str, Any]) -> None:
        seen.update(one.verdict for one in found(pull).values())

    look()
    assert seen == set(VERDICTS)


@pytest.mark.parametrize("words", [VERDICTS])
def test_verdicts_are_ordered_from_good_to_bad(words: tuple[str, ...]) -> None:
    assert tuple(words) == ("inside", "tight", "unknown", "over")
