"""The field takes its published numbers from the catalogue: move a row there and the answer moves."""

from __future__ import annotations

import ast
import math
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

import haulwright.field
from haulwright import catalogue
from haulwright.catalogue import Row
from haulwright.field.anchor import parked_vehicle
from haulwright.field.derating import choker, shackle_side_load, wire_bend
from haulwright.field.drum import least_wraps
from haulwright.field.made_anchor import deadman, pickets
from haulwright.field.rating import working_limit
from haulwright.field.resistance import Ground, StuckVehicle, estimate
from haulwright.field.zone import stand_clear


def _likely(name: str, vehicle: StuckVehicle, ground: Ground) -> float:
    return next(rule.likely_N for rule in estimate("p", vehicle, ground).rules if rule.name == name)


CASES: list[tuple[str, str, Callable[[], float]]] = [
    (
        "surfaces",
        "mire-wheel",
        lambda: _likely("military mire and grade", StuckVehicle(1e3, sunk="wheel"), Ground("bog")),
    ),
    ("surfaces", "commonwealth-bog", lambda: _likely("training fractions", StuckVehicle(1e3), Ground("bog"))),
    (
        "surfaces",
        "trade-rolling-soft",
        lambda: _likely("trade sheets", StuckVehicle(1e3), Ground("soft ground")),
    ),
    ("friction", "parked-wet-grass", lambda: parked_vehicle(1e3, "wet grass").likely_N),
    ("anchors", "pickets-2-1", lambda: pickets("2-1").likely_N),
    ("anchors", "deadman-slope-1-2", lambda: deadman(0.4, 1.8, 1.6, math.atan(0.5), 0.3).likely_N),
    ("shackles", "side-load", lambda: shackle_side_load(1.0).share),
    ("slings", "choker-angle", lambda: choker(1.0).share),
    ("wire_rope", "bend-strength", lambda: wire_bend(0.1, 0.01).share),
    ("rules", "least-wraps-wire", lambda: least_wraps("wire")),
    ("rules", "mbs-factor", lambda: 1.0 / (working_limit(1e3, "MBS").limit_N or math.nan)),
    ("rules", "stand-clear-paid-out", lambda: stand_clear(paid_out_m=90.0).radius_m),
]


@pytest.mark.parametrize(("table", "id_", "answer"), CASES, ids=[case[1] for case in CASES])
def test_the_number_is_the_catalogues(
    table: str, id_: str, answer: Callable[[], float], monkeypatch: pytest.MonkeyPatch
) -> None:
    before = answer()
    rows = catalogue.load(table)
    rows[id_] = _scaled(rows[id_])
    load, row = catalogue.load, catalogue.row
    monkeypatch.setattr(catalogue, "load", lambda name: rows if name == table else load(name))
    monkeypatch.setattr(catalogue, "row", lambda name, key: rows[key] if name == table else row(name, key))
    assert answer() == pytest.approx(1.25 * before)


def _scaled(row: Row) -> Row:
    if row.points:
        return replace(row, points=tuple((x, 1.25 * y) for x, y in row.points))
    assert row.value is not None
    value = 1.25 * row.value
    if row.lo is None or row.hi is None:
        return replace(row, value=value)
    return replace(row, value=value, lo=1.25 * row.lo, hi=1.25 * row.hi)


def test_row_ids_are_known_in_one_place() -> None:
    """Every other module asks by word; the wire rope look-up is the catalogue's own."""
    folder = Path(haulwright.field.__file__).parent
    users = set()
    for path in folder.glob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.ImportFrom) and node.module and node.module.startswith("haulwright"):
                names = {node.module, *(f"{node.module}.{alias.name}" for alias in node.names)}
                if "haulwright.catalogue" in names:
                    users.add(path.stem)
    assert users == {"published", "published_gear", "published_rope", "wire_rope"}
