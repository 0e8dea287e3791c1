"""The kit file: what is read, what stays unknown, what is refused and how."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest

from haulwright.errors import FileRefusal
from haulwright.files.kit import read_kit

KIT = """\
kit: test kit
items:
  - {id: L-1, kind: rope, rating: 98 kN, basis: MBS, factor: 2, diameter: 11 mm, length: 38 m}
  - {id: S-1, kind: shackle, rating: 4.75 t, basis: WLL}
  - {id: T-1, kind: strap}
winches:
  - {id: W-1, line_pull: 42 kN, drum: {barrel: 102 mm, width: 229 mm}, rope: L-1}
"""


def written(tmp_path: Path, text: str) -> Path:
    path = tmp_path / "kit.yaml"
    path.write_text(text, encoding="utf-8")
    return path


def test_values_in_si(tmp_path: Path) -> None:
    kit = read_kit(written(tmp_path, KIT))
    assert kit.items[1].rating == pytest.approx(4750 * 9.80665)  # 1 t of force = 1000 kgf, ISO 80000-4
    assert kit.winches[0].drum is not None
    assert kit.winches[0].drum.barrel == pytest.approx(0.102)
    assert kit.rope_of(kit.winches[0]) == kit.items[0]
    assert kit.winches[0].stall_factor == 1.0


def test_unknown_stays_unknown(tmp_path: Path) -> None:
    strap = read_kit(written(tmp_path, KIT)).items[2]
    assert strap.rating is None
    assert strap.basis == "unknown"
    assert strap.usable


def test_damaged_or_quarantined_is_not_usable() -> None:
    kit = read_kit(
        {
            "items": [
                {"id": "a", "kind": "block", "condition": "damaged"},
                {"id": "b", "kind": "block", "quarantined": True},
                {"id": "c", "kind": "block", "condition": "worn"},
            ]
        }
    )
    assert [item.usable for item in kit.items] == [False, False, True]


def test_mapping_equals_file(tmp_path: Path) -> None:
    mapping = {
        "kit": "test kit",
        "items": [
            {
                "id": "L-1",
                "kind": "rope",
                "rating": "98 kN",
                "basis": "MBS",
                "factor": 2,
                "diameter": "11 mm",
                "length": "38 m",
            },
            {"id": "S-1", "kind": "shackle", "rating": "4.75 t", "basis": "WLL"},
            {"id": "T-1", "kind": "strap"},
        ],
        "winches": [
            {
                "id": "W-1",
                "line_pull": "42 kN",
                "drum": {"barrel": "102 mm", "width": "229 mm"},
                "rope": "L-1",
            }
        ],
    }
    assert read_kit(mapping) == read_kit(written(tmp_path, KIT))


@pytest.mark.parametrize(
    ("old", "new", "line", "words"),
    [
        ("rating: 4.75 t", "ratting: 4.75 t", 4, "did you mean rating"),
        ("kind: strap", "kind: strapp", 5, "did you mean strap"),
        ("basis: WLL", "basis: SWL", 4, "WLL"),
        ("rating: 4.75 t", "rating: 4.75", 4, "unit"),
        ("rating: 4.75 t", "rating: -4 t", 4, "greater than 0"),
        ("kind: strap", "kind: strap, basis: WLL", 5, "without a rating"),
        ("rope: L-1", "rope: L-2", None, "L-1"),
        ("id: T-1", "id: S-1", None, "twice"),
        ("rope: L-1", "rope: L-1, stall_factor: 0.9", 7, "greater than or equal to 1"),
    ],
)
def test_wrong_kits_are_refused_with_place_and_help(
    tmp_path: Path, old: str, new: str, line: int | None, words: str
) -> None:
    with pytest.raises(FileRefusal, match=words) as refused:
        read_kit(written(tmp_path, KIT.replace(old, new, 1)))
    if line is not None:
        assert refused.value.line == line


def test_unknown_winch(tmp_path: Path) -> None:
    with pytest.raises(FileRefusal, match="did you mean W-1") as refused:
        read_kit(written(tmp_path, KIT)).winch("W-l")
    assert refused.value.code == "UNKNOWN_WINCH"


@pytest.mark.parametrize(
    ("keys", "words"),
    [
        ({"kind": "shackle", "limit": "5 kN"}, "needs its source"),
        ({"kind": "strap", "use": "basket", "choke_angle": "90 deg"}, "choke_angle"),
        ({"kind": "shackle", "end": "knotted"}, "ropes and straps"),
        ({"kind": "rope", "end": "clips"}, "wire rope"),
        ({"kind": "strap", "inspected": "2026-02-02", "due": "2026-01-01"}, "before inspected"),
        ({"kind": "strap", "bought": "yesterday"}, "bought"),
        ({"kind": "strap", "temperature_C": -300}, "temperature_C"),
    ],
)
def test_what_cannot_be_of_a_piece_is_refused(keys: dict[str, object], words: str) -> None:
    with pytest.raises(FileRefusal, match=words):
        read_kit({"items": [{"id": "X", **keys}]})


def test_dates_and_states_are_read(tmp_path: Path) -> None:
    text = (
        "items:\n  - {id: S, kind: strap, bought: 2024-05-06, due: 2027-05-06, material: nylon, wet: true}\n"
    )
    (strap,) = read_kit(written(tmp_path, text)).items
    assert (strap.bought, strap.due) == (dt.date(2024, 5, 6), dt.date(2027, 5, 6))
    assert strap.wet
    assert strap.textile
    assert [strap.overdue(dt.date(2027, 5, day)) for day in (6, 7)] == [False, True]
