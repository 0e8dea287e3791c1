"""Every printed value of the package against what the product computes; sources stand in the rows."""

from __future__ import annotations

import pytest

from haulwright.catalogue.printed import PrintedRow, half_last_digit, printed_rows
from haulwright.checking import FORMULAS, compute, published_check
from haulwright.errors import CatalogueRefusal
from haulwright.sources import Source

ASSERTED = [row for row in printed_rows() if row.source.flag != "memory"]


@pytest.mark.parametrize("row", ASSERTED, ids=lambda row: row.id)
def test_printed_value(row: PrintedRow) -> None:
    computed = compute(row)
    assert row.agrees(computed), (
        f"{row.source.cite()}: {row.item}: printed {row.printed}, computed {computed:.6g}"
    )


@pytest.mark.parametrize("row", printed_rows(), ids=lambda row: row.id)
def test_a_tolerance_wider_than_the_print_has_its_reason(row: PrintedRow) -> None:
    assert row.source.title
    assert row.unit
    if row.tolerance > half_last_digit(row.printed):
        assert len(row.why) > 10


@pytest.mark.parametrize("row", ASSERTED, ids=lambda row: row.id)
def test_a_check_can_fail(row: PrintedRow) -> None:
    computed = compute(row)
    assert not row.agrees(computed + 2.5 * row.tolerance)
    assert not row.agrees(computed - 2.5 * row.tolerance)


def test_no_formula_is_idle() -> None:
    used = {row.formula for row in printed_rows()}
    assert used == set(FORMULAS)


def test_the_record() -> None:
    record = published_check()
    body = record.to_dict()
    assert body["kind"] == "published-check"
    assert record.checked == record.agreeing == len(ASSERTED)
    assert record.differing == 0
    assert 0 < record.carried < record.checked / 4
    assert record.from_memory == len(printed_rows()) - len(ASSERTED) > 0
    assert {"source", "item", "printed", "computed", "tolerance", "ok"} <= set(body["rows"][0])
    assert all((row.ok is None) == (row.flag == "memory") for row in record.rows)
    assert [notice.code for notice in record.notices] == ["RULE_OF_THUMB"]


def test_a_wrong_formula_name_is_refused() -> None:
    row = PrintedRow("x", "x", Source("x"), "no_such", {}, "1", "1", 0.5)
    with pytest.raises(CatalogueRefusal, match="no_such"):
        compute(row)
