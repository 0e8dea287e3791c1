"""Rejected rigs are merged by the named rig they are, whatever signs its name holds."""

from haulwright.planning.rejections import merged
from haulwright.planning.result import Rejected


def test_a_name_with_a_comma_stays_whole() -> None:
    name = "double spanish burton, fixed end/off-load"
    rows = [Rejected(f"{name}, {anchor}", "a second rope", name) for anchor in ("oak", "birch")]
    assert [(one.rig, one.lacked) for one in merged(rows)] == [(name, "a second rope")]


def test_what_lacks_different_things_keeps_its_rows() -> None:
    rows = [
        Rejected(f"two-part, {anchor}", lack, "two-part") for anchor, lack in (("oak", "a"), ("birch", "b"))
    ]
    assert merged(rows) == tuple(rows)
