"""Errors and records: what every interface prints."""

import json
from dataclasses import dataclass, field
from typing import ClassVar

import pytest

from haulwright import errors
from haulwright.notices import Code
from haulwright.quantities.measured import Measured
from haulwright.records import Made, Record
from haulwright.version import __version__


@dataclass(frozen=True)
class Inner:
    from_: str
    value: Measured


@dataclass(frozen=True, kw_only=True)
class Example(Record):
    kind: ClassVar[str] = "example"
    parts: tuple[Inner, ...]
    _hidden: dict = field(default_factory=dict)


def test_a_record_prints_version_kind_notices_and_its_own_fields():
    record = Example(
        parts=(Inner("a", Measured.normal(2.0, 0.1)),),
        notices=(Code.NO_PEAKS.notice(),),
        made=Made("by hand", {"x": float("nan")}),
        _hidden={"trace": object()},
    )
    printed = json.loads(json.dumps(record.to_dict(), allow_nan=False))
    assert printed["haulwright"] == __version__
    assert printed["kind"] == "example"
    assert printed["notices"][0]["code"] == "NO_PEAKS"
    assert printed["parts"][0]["from"] == "a"
    assert set(printed["parts"][0]["value"]) == {"value", "u", "interval95"}
    assert printed["made"]["inputs"] == {"x": None}
    assert "hidden" not in str(printed)


def test_every_refusal_is_a_value_error_with_the_same_record():
    for name in (
        "QuantityRefusal",
        "CatalogueRefusal",
        "FileRefusal",
        "RigRefusal",
        "TrialRefusal",
        "PlanRefusal",
        "UsageRefusal",
    ):
        refusal = getattr(errors, name)("CODE", "What is wrong and what to do.", ("here",), 3)
        assert isinstance(refusal, errors.Refusal)
        assert isinstance(refusal, ValueError)
        assert isinstance(refusal, errors.HaulwrightError)
        printed = refusal.to_dict()
        assert printed["kind"] == "refusal"
        assert printed["error"] == {
            "code": "CODE",
            "message": "What is wrong and what to do.",
            "where": ["here"],
            "line": 3,
        }


def test_a_measured_value_lies_in_its_interval():
    with pytest.raises(ValueError, match="does not lie in its interval"):
        Measured(2.0, 0.1, 2.5, 3.0)
    with pytest.raises(ValueError, match="does not lie in its interval"):
        Measured(2.0, -0.1, 1.5, 3.0)
    assert Measured.exact(2.0).to_dict() == {"value": 2.0, "u": 0.0, "interval95": [2.0, 2.0]}
