"""Every row of the catalogue has unit, range and source; rows without one are refused; shares stay possible."""

from __future__ import annotations

import math

import pytest

from haulwright.catalogue import NAMES, Row, load, row, shackle_wll, wire_rope_strength_factor
from haulwright.catalogue.loading import row_from, source_from
from haulwright.catalogue.rows import UNITS
from haulwright.errors import CatalogueRefusal
from haulwright.sources import FLAGS, Source

ROWS = [(name, id_) for name in NAMES for id_ in load(name)]


@pytest.mark.parametrize(("name", "id_"), ROWS)
def test_every_row_is_complete(name: str, id_: str) -> None:
    found = row(name, id_)
    assert found.id == id_
    assert found.name[0].isupper()
    assert found.unit in UNITS
    assert len(found.valid) >= 4
    assert found.source.title
    assert found.source.flag in FLAGS
    assert found.source.flag != "measured"
    assert found.points or found.value is not None


@pytest.mark.parametrize(("name", "id_"), ROWS)
def test_values_are_possible(name: str, id_: str) -> None:
    found = row(name, id_)
    if found.quantity == "share":
        assert all(
            0.0 < y <= 1.0 for y in ([found.si] if found.value is not None else [y for _, y in found.points])
        )
    if found.quantity in ("k", "mode-factor", "WLL", "force"):
        assert found.si > 0.0
    if found.points:
        xs = [x for x, _ in found.points]
        assert xs == sorted(set(xs))


def test_rows_from_memory_say_so() -> None:
    assert "from memory" in row("surfaces", "mire-wheel").source.cite()
    assert "common practice" in row("sheaves", "ring").source.cite()
    assert "(" not in row("sheaves", "api-roller").source.cite().split("Addendum")[1]


GOOD = {
    "name": "A", "quantity": "share", "unit": "1", "valid": "always", "value": 0.5, "lo": 0.4, "hi": 0.6,
    "source": {"title": "T", "flag": "found"},
}  # fmt: skip


@pytest.mark.parametrize(
    ("change", "code"),
    [
        ({"unit": None}, "MISSING"),
        ({"unit": "stone"}, "UNIT"),
        ({"valid": None}, "MISSING"),
        ({"valid": " "}, "RANGE"),
        ({"source": None}, "SOURCE"),
        ({"source": {"title": ""}}, "SOURCE"),
        ({"source": {"title": "T", "flag": "hearsay"}}, "SOURCE"),
        ({"source": {"of": "nowhere"}}, "SOURCE"),
        ({"source": {"title": "T", "page": 3}}, "SOURCE"),
        ({"value": None, "lo": None, "hi": None}, "NUMBER"),
        ({"value": math.nan}, "NUMBER"),
        ({"value": 0.7}, "NUMBER"),
        ({"hi": None}, "NUMBER"),
        ({"points": [[1, 2]]}, "NUMBER"),
        ({"quantity": "k"}, "RATIO"),
        ({"quantity": "e", "hi": 1.1}, "RATIO"),
    ],
)
def test_incomplete_rows_are_refused(change: dict[str, object], code: str) -> None:
    given = {key: value for key, value in {**GOOD, **change}.items() if value is not None}
    with pytest.raises(CatalogueRefusal, match="'bad'") as caught:
        row_from("bad", given, {})
    assert caught.value.code == code


def test_a_good_row_is_accepted() -> None:
    assert row_from("good", GOOD, {}).measured().u == pytest.approx(
        0.2 / math.sqrt(12)
    )  # JCGM 100:2008, 4.3.7


def test_a_single_printed_figure_has_no_uncertainty_to_give() -> None:
    with pytest.raises(CatalogueRefusal) as caught:
        row("sheaves", "api-roller").ratio()
    assert caught.value.code == "NO_RANGE"
    with pytest.raises(CatalogueRefusal) as caught:
        row("friction", "rope-on-post").ratio()
    assert caught.value.code == "NOT_FRICTION"
    with pytest.raises(CatalogueRefusal) as caught:
        _ = row("wire_rope", "bend-life").si
    assert caught.value.code == "TABLE"


def test_efficiency_becomes_ratio() -> None:
    k = row("sheaves", "block-rolling").ratio()
    assert (k.lo, k.value, k.hi) == pytest.approx((1 / 0.98, 1 / 0.965, 1 / 0.95))


def test_shared_sources_can_be_narrowed() -> None:
    shared = {"a": {"title": "T", "place": "p. 1", "flag": "found"}}
    assert source_from({"of": "a", "place": "p. 2"}, shared, "x") == Source("T", "p. 2", None, "found")


@pytest.mark.parametrize(("name", "id_"), [("sheafs", "x"), ("sheaves", "api-rollr")])
def test_unknown_names_are_refused(name: str, id_: str) -> None:
    with pytest.raises(CatalogueRefusal) as caught:
        row(name, id_)
    assert caught.value.code == "UNKNOWN"
    if name == "sheaves":
        assert "'api-roller'" in caught.value.message


def test_units_reach_si() -> None:
    assert row("rules", "stand-clear-least").si == pytest.approx(15.24)
    assert row("rules", "fleet-angle-good").si == pytest.approx(math.radians(1.5))
    assert row("slings", "hottest-polyester").si == pytest.approx(373.15)
    assert row("wire_rope", "modulus").si == 1e11
    assert row("shackles", "side-load").points_si[1] == pytest.approx((math.pi / 4, 0.7))
    # 3600 lb/ft² = 172.4 kPa: NIST SP 811 (2008), appendix B
    assert dict(row("anchors", "deadman-slope-1-2").points_si)[5] == pytest.approx(3600 * 47.88026)


# Shackle catalogue table quoting RR-C-271 and EN 13889; EN 12385-4 factors.
def test_lookups() -> None:
    assert shackle_wll(22) == pytest.approx(6500 * 9.80665)
    with pytest.raises(CatalogueRefusal, match="printed are 5, 6, 8"):
        shackle_wll(21)
    assert wire_rope_strength_factor("6x19M", "fibre") == 0.307
    with pytest.raises(CatalogueRefusal, match="6x7 fibre"):
        wire_rope_strength_factor("7x7", "steel")


def test_rows_are_frozen() -> None:
    with pytest.raises(AttributeError):
        row("sheaves", "ring").value = 1.0  # type: ignore[misc]
    assert isinstance(load("sheaves").pop("ring"), Row)
    assert "ring" in load("sheaves")
