"""What is said and checked before a pull leaves nothing out: every piece, every danger, no reading past a limit."""

from __future__ import annotations

import math
from typing import Any

import pytest

import haulwright as hw
from haulwright import workflows
from haulwright.planning.plan import make_plan, planned
from haulwright.publishing.wording import of_limit
from haulwright.quantities.units import speaking

EXAMPLES = (
    "rutted-clearing",
    "helper-ahead",
    "round-the-oak",
    "between-two-larches",
    "clay-ramp",
)


@pytest.mark.parametrize("name", EXAMPLES)
def test_the_checklist_names_every_piece_of_the_rig(name: str) -> None:
    found = planned(f"examples/pulls/{name}.yaml", draws=0)
    text = "\n".join(found.plan.checklist)
    for use in found.settings[found.plan.chosen or ""].geared.uses:
        assert use.label in text, f"{use.label} ({use.role})"
    assert text.count("pin home or knot seated") == sum(
        use.owned is not None and "shackle" in use.owned.kind
        for use in found.settings[found.plan.chosen or ""].geared.uses
    )


def test_a_floating_block_and_a_bridle_are_said_in_words() -> None:
    text = "\n".join(make_plan("examples/pulls/between-two-larches.yaml").checklist)
    assert "line 2" not in text
    assert "the floating block M" in text
    assert "the bridle between left larch and right larch" in text


def test_a_vehicle_that_may_run_away_is_said_in_the_brief(pull: dict[str, Any]) -> None:
    pull["ground"] = {"surface": "road", "slope": "12 deg", "direction": "down"}
    for brief in make_plan(pull).briefs.values():
        assert "run away" in brief[0]


def test_a_pull_that_cannot_be_made_has_no_end(pull: dict[str, Any]) -> None:
    pull["vehicle"]["mass"] = "60 t"
    plan = make_plan(pull)
    assert plan.chosen is None
    assert plan.closing == ()


def test_no_cell_may_read_on_past_the_limit_of_a_weaker_piece(pull: dict[str, Any]) -> None:
    pull["rig"] = "single line"
    pull["kit"]["winches"][0]["mount"]["rating"] = "20 kN"  # the high resistance asks for 36
    plan = make_plan(pull)
    assert plan.best is not None
    assert plan.best.verdict == "over"
    for mark in plan.marks:
        assert mark.stop_N == pytest.approx(20e3)  # one line: the tree and the line carry what the mount does
        assert "W-1 mount" in mark.stop_why


def test_what_is_not_to_be_used_stops_at_nothing(pull: dict[str, Any]) -> None:
    pull["rig"] = "single line"
    pull["site"]["anchors"][0]["signs"] = ["dead"]
    plan = make_plan(pull)
    assert [mark.stop_N for mark in plan.marks] == [0.0, 0.0]
    assert "inf" not in " ".join(plan.brief)
    assert hw.step_pull(pull, steps=4).peaks[-1].utilisation == math.inf


def test_an_anchor_without_a_limit_says_so_at_its_mark(pull: dict[str, Any]) -> None:
    pull["site"]["anchors"] = [{"name": "boulder", "kind": "rock", "distance": "12 m"}]
    assert "not known" in make_plan(pull).marks[-1].stop_why


@pytest.mark.parametrize(("share", "words"), [(0.8, "80"), (0.8001, "80.1"), (1.0, "100"), (1.0004, "100.1")])
def test_a_percentage_never_hides_the_side_of_its_limit(share: float, words: str) -> None:
    assert of_limit(share) == f"{words}\u00a0%"


def test_reasons_speak_the_unit_that_is_asked(pull: dict[str, Any]) -> None:
    pull["kit"]["winches"][0]["line_pull"] = "20 kN"
    with speaking("lbf"):
        plan = make_plan(pull)
    words = " ".join(one.lacked for one in plan.rejected)
    assert "lbf" in words
    assert "kN" not in words


def test_a_reason_is_told_once_and_counts_in_grammar(pull: dict[str, Any]) -> None:
    pull["kit"]["items"] = [one for one in pull["kit"]["items"] if one["kind"] != "block"]
    pull["kit"]["items"] += [{"id": f"E-{n}", "kind": "rope", "length": "9 m"} for n in (1, 2)]
    lacked = {one.rig: one.lacked for one in make_plan(pull).rejected}
    assert lacked["two-part/on-load"].startswith("1 block or ring;")
    pull["want"]["travel"] = "9 m"
    pull["kit"]["items"] += [
        {"id": f"B-{n}", "kind": "block", "rating": "9 t", "basis": "WLL"} for n in (1, 2)
    ]
    lacked = {one.rig: one.lacked for one in make_plan(pull).rejected}
    assert lacked["stacked two-parts/on-load"].count("nearest anchor") == 1


def test_a_line_that_carries_more_than_planned_is_stopped_whatever_the_ratio() -> None:
    pull = "examples/pulls/rutted-clearing.yaml"
    for moving in (True, False):
        record = hw.check_readings(pull, line="29.5 kN", anchor="56 kN", moving=moving)
        assert record.verdict == "as drawn"
        assert record.words[0].startswith("STOP")
        assert workflows.readings_exit_code(record) == 1
    assert workflows.readings_exit_code(hw.check_readings(pull, line="3 kN", anchor="6 kN")) == 0


def test_a_bridle_that_would_reach_the_block_is_not_used(pull: dict[str, Any]) -> None:
    # 10 m to the oak, 5 m of travel, 2 m of gap: 3 m are left; a bridle of 4 m between points 0.9 m apart reaches
    # sqrt(4² - 0.9²) / 2 = 1.95 m (Pythagoras), one of 8 m reaches 3.97 m
    pull["vehicle"]["spacing"] = "0.9 m"
    pull["kit"]["items"] += [
        {"id": f"S-{n}", "kind": "soft shackle", "rating": "90 kN", "basis": "WLL"} for n in range(4, 8)
    ]
    long = {"id": "BR-8", "kind": "bridle", "rating": "90 kN", "basis": "WLL", "length": "8 m"}
    short = {**long, "id": "BR-4", "length": "4 m"}

    def bridles(*pieces: dict[str, Any], travel: str = "5 m") -> list[str]:
        kit = {**pull["kit"], "items": [*pull["kit"]["items"], *pieces]}
        asked = {**pull, "kit": kit, "want": {"travel": travel}, "rig": "two-part"}
        best = make_plan(asked).best
        return [item.item for item in best.items if item.role.startswith("bridle on")] if best else []

    assert bridles(long) == []
    assert bridles(long, short) == ["BR-4"]
    assert bridles(long, travel="4 m") == ["BR-8"]


@pytest.mark.parametrize("fault", [{"condition": "damaged"}, {"quarantined": True}])
def test_a_damaged_winch_line_is_over_and_named_first(pull: dict[str, Any], fault: dict[str, Any]) -> None:
    pull["kit"]["items"][0].update(fault)
    plan = make_plan(pull)
    assert {one.verdict for one in plan.candidates} == {"over"}
    assert plan.brief[0].startswith("Not yet:")
    assert "L-1" in plan.brief[0]
    assert workflows.plan_exit_code(plan) == 1


def test_names_change_nothing(pull: dict[str, Any]) -> None:
    def numbers(vehicle: str, *anchors: str) -> list[object]:
        trees = [
            {
                "name": name,
                "kind": "tree",
                "at": [f"{x} m", f"{y} m"],
                "limit": "150 kN",
                "source": "proof pull",
            }
            for name, x, y in zip(anchors, (15, 17), (1, -1), strict=True)
        ]
        items = [
            *pull["kit"]["items"],
            {"id": "L-2", "kind": "rope", "length": "24 m"},
            {"id": "T-2", "kind": "strap"},
            *(
                {"id": f"S-{n}", "kind": "soft shackle", "rating": "90 kN", "basis": "WLL"}
                for n in range(4, 8)
            ),
        ]
        asked = {
            **pull,
            "want": {"travel": "3 m"},
            "vehicle": {**pull["vehicle"], "name": vehicle},
            "site": {"anchors": trees},
            "kit": {**pull["kit"], "items": items},
        }
        plan = hw.make_plan(asked)
        assert any("stacked" in one.rig for one in plan.candidates)
        return sorted(
            (c.verdict, round(c.effort_N.high), [round(i.load_N.stall) for i in c.items])
            for c in plan.candidates
        )

    plain = numbers("wagon", "oak", "elm")
    for odd in (
        ("oak", "oak 2", "oak 3"),
        ("load", "anchor", "winch"),
        ("O", "X", "line 2"),
        ("große Eiche", "樹", "B1"),
    ):
        assert numbers(*odd) == plain, odd


@pytest.mark.parametrize("name", ["M", "N", "beyond"])
def test_a_name_that_rigs_use_is_refused(pull: dict[str, Any], name: str) -> None:
    pull["site"]["anchors"][0]["name"] = name
    with pytest.raises(hw.Refusal, match="another name"):
        make_plan(pull)


def test_an_anchor_may_not_be_called_as_a_bridle_is(pull: dict[str, Any]) -> None:
    tree = {"kind": "tree", "distance": "12 m"}
    pull["site"]["anchors"] = [{"name": name, **tree} for name in ("oak", "elm", "oak + elm")]
    with pytest.raises(hw.Refusal, match="another name"):
        make_plan(pull)


def test_the_way_back_is_told_as_everybody_sees_it(pull: dict[str, Any]) -> None:
    pull["want"] = {"travel": "5 m", "way": "back"}
    pull["winch"] = {"id": "W-1", "end": "rear"}
    lacked = {one.rig: one.lacked for one in make_plan(pull).rejected}
    assert lacked["two-part/on-load"] == "an anchor behind wagon"


def test_nothing_elastic_lies_on_a_drum(pull: dict[str, Any]) -> None:
    rope = {
        "id": "K-1",
        "kind": "kinetic rope",
        "rating": "200 kN",
        "basis": "MBS",
        "length": "40 m",
        "diameter": "20 mm",
    }
    pull["kit"]["winches"][0]["rope"] = rope
    with pytest.raises(hw.Refusal, match="elastic"):
        make_plan(pull)


def test_a_factor_below_the_house_number_is_said(pull: dict[str, Any]) -> None:
    pull["kit"]["items"][0]["factor"] = 1.2
    best = make_plan(pull).best
    assert best is not None
    line = next(item for item in best.items if item.item == "L-1")
    assert line.limit_N == pytest.approx(98e3 / 1.2)
    assert "near its breaking force" in line.note
    assert any("near its breaking force" in notice.message for notice in best.notices)
