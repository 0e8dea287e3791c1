"""The pull file: what is read, that a mapping is the same as a file, what is refused and how."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import pytest

from haulwright.errors import FileRefusal
from haulwright.files.pull import read_pull

KIT = """\
winches:
  - {id: W-1, line_pull: 42 kN}
"""
DEVICES = """\
[devices.puck-A]
k = 1.09
u = 0.01
interval95 = [1.07, 1.11]
valid_N = [3000.0, 13000.0]
source = {title = "trial", flag = "measured"}
"""
PULL = """\
pull: creek
vehicle:
  name: wagon
  mass: 2.6 t
  load: 480 kg
  sunk: rim
  points:
    - {rating: 55 kN, basis: WLL}
ground: {surface: gravel, slope: 4 deg, direction: up}
site:
  anchors:
    - {name: oak, kind: tree, at: 10 m, limit: 95 kN, source: proof pull}
winch: W-1
kit: kit.yaml
friction: devices.toml
want: {travel: 3 m}
"""
MAPPING: dict[str, Any] = {
    "pull": "creek",
    "vehicle": {
        "name": "wagon",
        "mass": "2.6 t",
        "load": "480 kg",
        "sunk": "rim",
        "points": [{"rating": "55 kN", "basis": "WLL"}],
    },
    "ground": {"surface": "gravel", "slope": "4 deg", "direction": "up"},
    "site": {
        "anchors": [{"name": "oak", "kind": "tree", "at": "10 m", "limit": "95 kN", "source": "proof pull"}]
    },
    "winch": "W-1",
    "kit": {"winches": [{"id": "W-1", "line_pull": "42 kN"}]},
    "friction": {
        "puck-A": {
            "k": 1.09,
            "u": 0.01,
            "interval95": [1.07, 1.11],
            "valid_N": [3e3, 13e3],
            "source": "trial",
        }
    },
    "want": {"travel": "3 m"},
}


def folder(tmp_path: Path, pull: str = PULL) -> Path:
    (tmp_path / "kit.yaml").write_text(KIT, encoding="utf-8")
    (tmp_path / "devices.toml").write_text(DEVICES, encoding="utf-8")
    path = tmp_path / "pull.yaml"
    path.write_text(pull, encoding="utf-8")
    return path


def test_values_in_si(tmp_path: Path) -> None:
    pull = read_pull(folder(tmp_path))
    assert pull.total_mass_kg == pytest.approx(3080.0)
    assert pull.ground.slope == pytest.approx(math.radians(4.0))
    assert pull.site.anchors[0].distance == 10.0
    assert pull.own_winch
    assert pull.friction["puck-A"].ratio().value == 1.09


def test_mapping_equals_file(tmp_path: Path) -> None:
    from_file, from_mapping = read_pull(folder(tmp_path)), read_pull(MAPPING)
    assert from_file.vehicle == from_mapping.vehicle
    assert from_file.site == from_mapping.site
    assert from_file.kit == from_mapping.kit
    assert from_file.winch_on == from_mapping.winch_on
    assert from_file.friction["puck-A"].ratio() == from_mapping.friction["puck-A"].ratio()


def test_friction_as_a_campaign_record_holds_it() -> None:
    record = {
        "puck-A": {
            "k": {"value": 1.09, "u": 0.01, "interval95": [1.07, 1.11]},
            "valid_N": [3e3, 13e3],
            "source": "c",
        }
    }
    assert read_pull({**MAPPING, "friction": record}).friction["puck-A"].ratio().u == 0.01


def test_kit_friction_and_rig_can_be_given_in_place_of_the_files(tmp_path: Path) -> None:
    pull = read_pull(
        folder(tmp_path), kit={"winches": [{"id": "W-1", "line_pull": "30 kN"}]}, friction={}, rig="two-part"
    )
    assert pull.winch.line_pull == 30e3
    assert pull.friction == {}
    assert pull.rig == "two-part"


@pytest.mark.parametrize(
    ("old", "new", "line", "words"),
    [
        ("sunk: rim", "sunken: rim", 6, "did you mean sunk"),
        ("sunk: rim", "sunk: rimm", 6, "did you mean rim"),
        ("surface: gravel", "surface: gravle", 9, "did you mean gravel"),
        ("mass: 2.6 t", "mass: 2.6", 4, "unit"),
        ("mass: 2.6 t", "mass: 2600 N", 4, "mass"),
        (", source: proof pull", "", 12, "source"),
        ("winch: W-1", "winch: {id: W-1, on: okk}", None, "did you mean oak"),
        ("winch: W-1", "winch: W-2", None, "did you mean W-1"),
        ("kit: kit.yaml", "kit: kti.yaml", None, "kti.yaml"),
        ("friction: devices.toml", "friction: nothing.toml", None, "nothing.toml"),
        ("name: oak", "name: wagon", None, "two names"),
        (
            "    - {name: oak, kind: tree, at: 10 m, limit: 95 kN, source: proof pull}",
            "    []",
            None,
            "at least one anchor",
        ),
    ],
)
def test_wrong_pulls_are_refused_with_place_and_help(
    tmp_path: Path, old: str, new: str, line: int | None, words: str
) -> None:
    assert old in PULL
    with pytest.raises(FileRefusal, match=words) as refused:
        read_pull(folder(tmp_path, PULL.replace(old, new, 1)))
    if line is not None:
        assert refused.value.line == line


def test_kit_is_not_optional() -> None:
    with pytest.raises(FileRefusal, match="kit"):
        read_pull({key: value for key, value in MAPPING.items() if key != "kit"})


@pytest.mark.parametrize("change", [{"k": 0.9}, {"interval95": [1.10, 1.12]}, {"u": -0.1}, {"valid": 3}])
def test_impossible_friction_is_refused(change: dict[str, Any]) -> None:
    wrong = {"puck-A": {**MAPPING["friction"]["puck-A"], **change}}
    with pytest.raises(FileRefusal, match="puck-A"):
        read_pull({**MAPPING, "friction": wrong})


@pytest.mark.parametrize("name", ["oak > rock", "St. Anne", "!oak", "", "oak; birch"])
def test_names_that_no_rig_could_hold_are_refused(name: str) -> None:
    anchors = [{**MAPPING["site"]["anchors"][0], "name": name}]
    with pytest.raises(FileRefusal, match="name"):
        read_pull({**MAPPING, "site": {"anchors": anchors}})


@pytest.mark.parametrize(
    ("anchor", "words"),
    [
        ({"kind": "tree", "rating": "50 kN", "basis": "WLL"}, "no rating. Enter your own limit"),
        ({"kind": "tree", "limit": "50 kN"}, "needs its source"),
        ({"kind": "tree", "chocks": True}, "chocks is for vehicle"),
        ({"kind": "vehicle", "signs": ["dead"]}, "signs is for tree"),
        ({"kind": "tree", "signs": ["unlucky"]}, "signs"),
        ({"kind": "rock", "pattern": "1-1"}, "pattern is for pickets"),
        ({"kind": "pickets", "pattern": "5-5"}, "pattern"),
        ({"kind": "vehicle", "surface": "wet gras"}, "wet grass"),
        ({"kind": "deadman", "deadman": {"face": "1 ft"}}, "length"),
        ({"kind": "ground anchor", "item": "GA-9"}, "UNKNOWN_ITEM|GA-9"),
    ],
)
def test_what_cannot_be_of_an_anchor_is_refused(anchor: dict[str, Any], words: str) -> None:
    site = {"anchors": [{"name": "it", "at": "10 m", **anchor}]}
    with pytest.raises(FileRefusal, match=words):
        read_pull({**MAPPING, "site": site})
