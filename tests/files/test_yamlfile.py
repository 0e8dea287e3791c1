"""Reading YAML: YAML 1.2 rules, lines, nearest spelling, units."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import Literal

import pytest
from pydantic import Field

from haulwright.errors import FileRefusal
from haulwright.files.yamlfile import FileModel, Force, Fraction, Slope, read_yaml, validate_mapping


class Item(FileModel):
    id: str
    rating: Force | None = None
    basis: Literal["WLL", "MBS", "unknown"] = "unknown"


class Box(FileModel):
    name: str
    day: dt.date | None = None
    share: Fraction | None = None
    slope: Slope | None = None
    items: tuple[Item, ...] = ()
    spare: dict[str, Item] = Field(default_factory=dict)


def read(tmp_path: Path, text: str) -> Box:
    path = tmp_path / "box.yaml"
    path.write_text(text, encoding="utf-8")
    return read_yaml(path, Box)


def refused(tmp_path: Path, text: str) -> FileRefusal:
    with pytest.raises(FileRefusal) as caught:
        read(tmp_path, text)
    assert "box.yaml" in caught.value.message
    return caught.value


def test_quantities_become_si(tmp_path: Path) -> None:
    box = read(tmp_path, "name: a\nshare: 12 %\nslope: 8 deg\nitems:\n  - {id: s1, rating: 2 t}\n")
    assert box.items[0].rating == pytest.approx(2000 * 9.80665)  # standard gravity, NIST SP 811
    assert box.share == pytest.approx(0.12)
    assert box.slope == pytest.approx(8 * 3.14159265358979 / 180)


def test_plain_numbers_need_a_units_block(tmp_path: Path) -> None:
    box = read(tmp_path, "units: {force: kN}\nname: a\nitems:\n  - {id: s1, rating: 1.250}\n")
    assert box.items[0].rating == pytest.approx(1250.0)
    found = refused(tmp_path, "name: a\nitems:\n  - id: s1\n    rating: 32\n")
    assert (found.code, found.line) == ("VALUE", 4)
    assert "items[1].rating = 32" in found.message
    assert "12 kN" in found.message


def test_yaml_1_2_keeps_words_and_clock_times(tmp_path: Path) -> None:
    # YAML 1.2.2 (yaml.org), 10.3.2: only true and false are booleans; 1:30 is a text
    assert read(tmp_path, "name: no\n").name == "no"
    assert read(tmp_path, "name: 1:30\n").name == "1:30"
    assert read(tmp_path, "name: a\nday: 2025-06-02\n").day == dt.date(2025, 6, 2)
    assert list(read(tmp_path, "name: a\nspare:\n  4711: {id: 12}\n").spare) == ["4711"]


@pytest.mark.parametrize(
    ("text", "code", "line", "said"),
    [
        ("name: a\nitems:\n  - id: s1\n    ratting: 3 kN\n", "UNKNOWN_KEY", 4, "did you mean rating?"),
        ("name: a\ncolour: red\n", "UNKNOWN_KEY", 2, "expected one of name"),
        ("items: []\n", "MISSING_KEY", None, "name is missing"),
        ("name: a\nitems:\n  - rating: 3 kN\n", "MISSING_KEY", 3, "items[1].id is missing"),
        ("name: a\nitems:\n  - {id: s, basis: WL}\n", "VALUE", 3, "did you mean WLL?"),
        ("name: a\nitems:\n  - {id: s, rating: 3 kJ}\n", "VALUE", 3, "3 kJ"),
        ("name: a\nitems: 3\n", "VALUE", 2, "expected a list"),
        ("name: a\nspare:\n", "VALUE", 2, "expected keys with values"),
        ("name: a\nitems:\n  - {id: s, rating: .nan}\nunits: {force: N}\n", "VALUE", 3, "nan"),
        ("name: a\nname: b\n", "DUPLICATE_KEY", 2, "name is given twice"),
        ("name: [a\nb: 2\n", "SYNTAX", 2, "not readable as YAML"),
        ("name: a\n\titems: 3\n", "SYNTAX", 2, "spaces, not tabs"),
        ("name: !truck.drum > tree > truck\n", "SYNTAX", 1, "Put quotes round"),
        ("", "EMPTY", None, "the file is empty"),
        ("# only a remark\n", "EMPTY", None, "the file is empty"),
        ("- a\n- b\n", "NOT_A_MAPPING", 1, "not a list"),
        ("units: {force: kJ}\nname: a\n", "VALUE", 1, "units.force"),
        ("units: {forc: kN}\nname: a\n", "UNKNOWN_KEY", 1, "did you mean force?"),
        ("units: kN\nname: a\n", "VALUE", 1, "expected a mapping"),
    ],
)
def test_refusals(tmp_path: Path, text: str, code: str, line: int | None, said: str) -> None:
    found = refused(tmp_path, text)
    assert (found.code, found.line) == (code, line)
    assert said in found.message


def test_all_errors_are_counted_and_the_first_leads(tmp_path: Path) -> None:
    found = refused(tmp_path, "name: a\nitems:\n  - {id: s, basis: WL}\n  - {id: t, ratng: 3 kN}\ncolor: 1\n")
    assert found.line == 3
    assert "and 2 more" in found.message
    assert "line 4" in found.message
    assert "line 5" in found.message
    assert found.where[0] == "box.yaml"
    assert len(found.where) == 4


def test_missing_file_names_what_is_there(tmp_path: Path) -> None:
    (tmp_path / "box.yaml").write_text("name: a\n", encoding="utf-8")
    with pytest.raises(FileRefusal, match=r"no such file. Here are: box.yaml"):
        read_yaml(tmp_path / "bx.yaml", Box)


def test_binary_and_huge_files_are_refused(tmp_path: Path) -> None:
    path = tmp_path / "picture.yaml"
    path.write_bytes(b"\xff\xd8\xff\xe0" * 10)
    with pytest.raises(FileRefusal) as caught:
        read_yaml(path, Box)
    assert caught.value.code == "ENCODING"
    path.write_text("name: a # " + "x" * 2_100_000, encoding="utf-8")
    with pytest.raises(FileRefusal, match="over 2 MB"):
        read_yaml(path, Box)


def test_a_plain_mapping_needs_no_file() -> None:
    box = validate_mapping({"name": "a", "items": [{"id": "s", "rating": "3 kN"}]}, Box, "box")
    assert box.items[0].rating == pytest.approx(3000.0)
    with pytest.raises(FileRefusal, match=r"box: items\[1\]") as caught:
        validate_mapping({"name": "a", "items": [{"id": "s", "rating": "3 x"}]}, Box, "box")
    assert caught.value.line is None


def test_aliases_cannot_hang_the_reader(tmp_path: Path) -> None:
    assert refused(tmp_path, "name: a\nspare: &x\n  one: *x\n").line == 3
    layers = ["a0: &a0 [x, x, x, x, x, x, x, x, x, x]"]
    layers += [f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 10)}]" for n in range(1, 9)]
    path = tmp_path / "box.yaml"
    path.write_text("\n".join(layers), encoding="utf-8")
    with pytest.raises(FileRefusal, match="too many aliases"):
        read_yaml(path, Box)
