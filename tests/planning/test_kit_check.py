"""The kit against its own winches: every use, every state, what is unknown and what to do."""

from __future__ import annotations

import datetime as dt
import math
from typing import Any

import pytest

from haulwright.errors import Refusal
from haulwright.files.kit import Item, read_kit
from haulwright.planning.kit_check import check_kit
from haulwright.planning.kit_result import KitCheck, KitItem
from haulwright.planning.limits import item_limit
from haulwright.planning.placing import STRAIGHT, Placing, strap_half_angle
from haulwright.planning.plan import make_plan
from haulwright.workflows import kit_exit_code, show_kit

TONNE = 9806.65
DAY = dt.date(2026, 6, 1)


def kit(*items: dict[str, Any], **keys: Any) -> KitCheck:
    winches = [{"id": "W-1", "line_pull": "40 kN", "stall_factor": 1.25}, {"id": "W-2", "line_pull": "20 kN"}]
    return check_kit(read_kit({"items": list(items), "winches": winches, **keys}), DAY)


def only(record: KitCheck) -> KitItem:
    (item,) = record.items
    return item


def limit_of(placing: Placing = STRAIGHT, **keys: Any) -> tuple[float | None, str]:
    item = read_kit({"items": [{"id": "X", "condition": "good", **keys}]}).items[0]
    found = item_limit(item, read_kit({}), placing)
    return found.limit_N, found.basis


def test_every_use_at_the_stall_of_every_winch() -> None:
    item = only(kit({"id": "S", "kind": "shackle", "rating": "60 kN", "basis": "WLL"}))
    assert [(use.use, use.winch, use.load_N, use.verdict) for use in item.uses] == [
        ("single line", "W-1", 50e3, "tight"),
        ("at a block", "W-1", 100e3, "over"),
        ("single line", "W-2", 20e3, "inside"),
        ("at a block", "W-2", 40e3, "inside"),
    ]
    assert (item.verdict, item.utilisation) == ("over", pytest.approx(100 / 60))
    assert any("too weak at stall: at a block" in text for text in item.to_do)


@pytest.mark.parametrize(
    ("kind", "uses"),
    [
        ("rope", ["single line"]),
        ("extension line", ["single line"]),
        ("block", ["at a block"]),
        ("ring", ["at a block"]),
        ("strap", ["single line", "at a block"]),
        ("ground anchor", ["as anchor of a line", "as anchor of a block"]),
        ("recovery point", ["single line", "at a block"]),
        ("damper", []),
        ("snatch strap", []),
    ],
)
def test_uses_by_kind(kind: str, uses: list[str]) -> None:
    item = only(kit({"id": "X", "kind": kind}))
    assert [use.use for use in item.uses if use.winch == "W-1"] == uses
    assert item.verdict == ("unknown" if uses else None)


def test_regulators_example_by_number() -> None:
    # Workplace Health and Safety Queensland 2018: stall 5 t, connectors 10 t, from block to anchor 20 t
    record = check_kit(
        read_kit(
            {
                "items": [{"id": "S", "kind": "shackle", "rating": "19.9 t", "basis": "MBS", "factor": 2}],
                "winches": [{"id": "W", "line_pull": "5 t"}],
            }
        )
    )
    line, block = (use.guidance for use in only(record).uses)
    assert line is not None
    assert block is not None
    assert (round(line.asked_N / TONNE), line.verdict) == (10, "meets")
    assert (round(block.asked_N / TONNE), block.verdict) == (20, "below")
    assert any("Regulator" in notice.message and "S" in notice.where for notice in record.notices)


def test_due_dates() -> None:
    record = kit(
        {"id": "A", "kind": "strap", "bought": "2024-01-02", "inspected": "2025-05-31", "due": "2026-05-31"},
        {"id": "B", "kind": "strap", "due": "2026-06-01"},
    )
    assert [(item.item, item.due, item.overdue) for item in record.items] == [
        ("A", "2026-05-31", True),
        ("B", "2026-06-01", False),
    ]
    assert [notice.where for notice in record.notices if notice.code == "OVERDUE"] == [("A",)]
    assert "overdue" in record.items[0].to_do[0]


def test_set_aside_is_shown_and_not_judged() -> None:
    record = kit(
        {"id": "Q", "kind": "shackle", "rating": "9.5 t", "basis": "WLL", "quarantined": True},
        {"id": "D", "kind": "strap", "condition": "damaged"},
    )
    assert record.set_aside == ("Q", "D")
    assert [(item.uses, item.verdict) for item in record.items] == [((), None)] * 2


def test_a_size_by_table_is_named_so() -> None:
    # catalogue table quoting RR-C-271 and EN 13889: 19 mm body 4.75 t
    limit, basis = limit_of(kind="shackle", diameter="19 mm", grade="6")
    assert limit == pytest.approx(4.75 * TONNE)
    assert basis == "WLL by table"
    assert limit_of(kind="shackle", diameter="19 mm")[0] is None
    assert limit_of(kind="shackle", diameter="20.5 mm", grade="6")[0] is None
    # EN 12385-4: 10 mm 6x36 with steel core, 1770 N/mm²: 63.0 kN
    limit, basis = limit_of(
        kind="rope",
        material="steel",
        diameter="10 mm",
        construction="6x36",
        core="steel",
        grade="1770",
        factor=5,
    )
    assert limit == pytest.approx(63.0e3 / 5, rel=1e-3)
    assert basis == "MBS by table ÷ 5"


def test_a_mark_comes_before_the_table() -> None:
    limit, basis = limit_of(kind="shackle", diameter="19 mm", grade="6", rating="3.25 t", basis="WLL")
    assert (limit, basis) == (pytest.approx(3.25 * TONNE), "WLL")


def test_a_colour_is_no_mark() -> None:
    item = only(kit({"id": "V", "kind": "sling", "colour": "violet"}))
    assert item.limit_N is None
    assert "violet is the colour of 1 t" in item.note


def test_the_lower_of_mark_and_own_limit() -> None:
    mark: dict[str, Any] = {"kind": "strap", "rating": "60 kN", "basis": "WLL", "source": "trainer"}
    assert limit_of(**mark, limit="40 kN") == (40e3, "limit entered by the user (trainer)")
    assert limit_of(**mark, limit="80 kN") == (60e3, "WLL")


@pytest.mark.parametrize(
    ("keys", "placing", "share"),
    [
        # shackle sheets after ASME B30.26: 45° 70 %, 90° 50 %
        ({"kind": "shackle"}, Placing(side_rad=0.05), 1.0),
        ({"kind": "shackle"}, Placing(side_rad=0.3), 0.7),
        ({"kind": "shackle"}, Placing(side_rad=1.2), 0.5),
        ({"kind": "soft shackle"}, Placing(side_rad=1.2), 1.0),
        # two legs in the bow: full WLL up to 120°
        ({"kind": "shackle"}, Placing(between_rad=2.09), 1.0),
        ({"kind": "shackle"}, Placing(between_rad=2.2), 0.0),
        # heat: up to 200 °C 1.00, 201 to 300 0.90, 301 to 400 0.75, above not to be used
        ({"kind": "shackle", "temperature_C": 250}, Placing(), 0.9),
        ({"kind": "shackle", "temperature_C": 401}, Placing(), 0.0),
        # EN 1492: choked 0.8, polyester to 100 °C; leaflet after ASME B30.9: choke under 90° 0.74
        ({"kind": "sling", "use": "choke"}, Placing(), 0.8),
        ({"kind": "sling", "use": "choke", "choke_angle": "89 deg"}, Placing(), 0.8 * 0.74),
        ({"kind": "sling", "material": "polyester", "temperature_C": 99}, Placing(), 1.0),
        ({"kind": "sling", "material": "polyester", "temperature_C": 101}, Placing(), 0.0),
        # handbooks: nylon loses up to a quarter when wet, polyester nothing
        ({"kind": "strap", "material": "nylon", "wet": True}, Placing(), 0.75),
        ({"kind": "strap", "material": "nylon"}, Placing(wet=True), 0.75),
        ({"kind": "strap", "material": "polyester", "wet": True}, Placing(), 1.0),
        ({"kind": "strap", "material": "HMPE", "wet": True}, Placing(), 1.0),
        # open textbook: common knots 40 to 80 %; TM 5-3810-305-10: clips 80 %
        ({"kind": "rope", "material": "polyester", "end": "knotted"}, Placing(), 0.4),
        ({"kind": "rope", "material": "steel", "end": "clips"}, Placing(), 0.8),
        # basket: EN 1492 2 for parallel legs, 1.4 up to 45°, 1 up to 60°
        ({"kind": "sling", "use": "basket"}, Placing(), 2.0),
        ({"kind": "sling", "use": "basket", "length": "3 m"}, Placing(round_m=0.4), 1.4),
        ({"kind": "sling", "use": "basket", "length": "1.3 m"}, Placing(round_m=0.4), 1.0),
        ({"kind": "sling", "use": "basket", "length": "1.2 m"}, Placing(round_m=0.4), 0.0),
        ({"kind": "sling", "length": "3 m"}, Placing(round_m=0.4), 1.0),
    ],
)
def test_what_the_rig_takes_off(keys: dict[str, Any], placing: Placing, share: float) -> None:
    limit, _ = limit_of(placing, rating="100 kN", basis="WLL", **keys)
    assert limit == pytest.approx(share * 100e3)


@pytest.mark.parametrize("length_m", [1.3, 1.5, 2.0, 3.0, 6.0])
def test_strap_round_a_tree_closes(length_m: float) -> None:
    # a string round a circle: two tangents and the arc between them make up the length
    radius = 0.2
    half = strap_half_angle(length_m, 2 * radius)
    assert half is not None
    far = radius / math.sin(half)
    assert 2 * math.sqrt(far**2 - radius**2) + radius * (math.pi + 2 * half) == pytest.approx(
        length_m, rel=1e-6
    )


def test_nothing_unknown_is_ever_inside() -> None:
    for kind in ("shackle", "strap", "rope", "block", "ring", "bridle", "soft shackle"):
        for keys in ({}, {"rating": "500 kN"}):
            assert only(kit({"id": "X", "kind": kind, **keys})).verdict == "unknown"


def test_with_a_pull_its_places_count(pull: dict[str, Any]) -> None:
    plan = make_plan(pull)
    gear = read_kit(pull["kit"])
    record = check_kit(gear, DAY, [plan])
    best = plan.best
    assert best is not None
    assert [(one.name, one.rig) for one in record.pulls] == [(plan.pull, plan.chosen)]
    for item in record.items:
        there = [one for one in best.items if one.item == item.item]
        told = [use for use in item.uses if use.pull is not None]
        assert [use.load_N for use in told] == [one.load_N.stall for one in there]
        if there:
            assert item.utilisation == max(one.utilisation or 0.0 for one in there)
    assert set(record.verdicts) == {
        one.verdict for one in best.items if one.item in {i.id for i in gear.items}
    }


def test_words_of_an_item_that_is_fine_are_few() -> None:
    fine = {"id": "S", "kind": "shackle", "rating": "30 t", "basis": "WLL", "condition": "good"}
    item = only(kit(fine))
    assert (item.unknown, item.to_do, item.note) == ((), (), "")
    assert Item(**fine).rated


def test_several_pulls_tell_each_piece_at_its_hardest(pull: dict[str, Any]) -> None:
    steeper = {**pull, "pull": "the same, with a limit on the winch's rope", "winch": pull["winch"]}
    record = show_kit(pull["kit"], pull=[pull, steeper], day=DAY)
    assert [one.name for one in record.pulls] == [pull["pull"], steeper["pull"]]
    used = [item for item in record.items if item.worst is not None]
    assert used
    for item in used:
        places = [use for use in item.uses if use.pull is not None]
        assert {use.pull for use in places} <= {pull["pull"], steeper["pull"]}
        assert item.worst in places
        assert item.verdict == item.worst.verdict
        assert item.worst.load_N >= 0.0


def test_of_several_pulls_one_that_cannot_be_planned_is_told(pull: dict[str, Any]) -> None:
    broken = {**pull, "pull": "broken", "ground": {"surface": "no such ground"}}
    record = show_kit(pull["kit"], pull=[pull, broken], day=DAY)
    assert record.pulls[0].rig is not None
    assert (record.pulls[1].name, record.pulls[1].rig) == ("broken", None)
    assert "no such ground" in record.pulls[1].lacked
    assert kit_exit_code(record) == 1
    with pytest.raises(Refusal):
        show_kit(pull["kit"], pull=broken)


def test_a_piece_is_good_for_what_it_stands_at_every_winch() -> None:
    # common practice, no source: a block and its ties carry twice the line pull where the line comes back parallel
    record = check_kit(
        read_kit(
            {
                "items": [{"id": "S", "kind": "shackle", "rating": "50 kN", "basis": "WLL"}],
                "winches": [{"id": "a", "line_pull": "30 kN"}, {"id": "b", "line_pull": "20 kN"}],
            }
        ),
        DAY,
    )
    (item,) = record.items
    assert [(use.use, use.winch, use.verdict) for use in item.uses] == [
        ("single line", "a", "inside"),
        ("at a block", "a", "over"),
        ("single line", "b", "inside"),
        ("at a block", "b", "inside"),
    ]
    assert item.good_for == ("single line",)
    assert item.worst is None
