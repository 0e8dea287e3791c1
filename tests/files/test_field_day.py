"""What changes in a campaign on its day: notes, logs under the sheet's names, runs pulled again; nothing is lost."""

import datetime as dt
import shutil

import pytest

from haulwright.errors import FileRefusal
from haulwright.files.campaign import read_campaign
from haulwright.files.field_day import attached, noted, pulled_again
from haulwright.files.sheet_edit import rows_of
from haulwright.workflows import examples

RUN = "two-a2"


@pytest.fixture
def folder(tmp_path):
    return shutil.copytree(examples() / "campaign", tmp_path / "c", ignore=shutil.ignore_patterns("results"))


def row(changes, run=RUN):
    return next(one for one in rows_of(changes["runs.csv"].decode()) if one["run"] == run)


def write(folder, changes):
    for path, data in changes.items():
        (folder / path).write_bytes(data)
    return read_campaign(folder, logs_needed=False)


def test_a_note_stands_in_its_column_on_one_line(folder):
    changes = noted(folder, RUN, {"weather": "dry,\n windy", "air_C": "21"})
    assert [*changes] == ["runs.csv"]
    assert row(changes)["weather"] == "dry, windy"
    entry = next(one for one in write(folder, changes).runs if one.run == RUN)
    assert entry.conditions.air_C == 21.0


def test_forces_typed_from_the_displays_take_the_place_of_logs_to_come(folder):
    for place in ("line", "anchor"):
        (folder / "logs" / f"meadow-two-a2_{place}.csv").unlink()
    changes = noted(folder, RUN, {"line_reading": "612 kgf", "anchor_reading": "1120 ± 10 kgf"})
    entry = next(one for one in write(folder, changes).runs if one.run == RUN)
    assert entry.typed
    assert entry.logs == ()


def test_typed_forces_never_hide_a_log_that_is_there(folder):
    with pytest.raises(FileRefusal) as refused:
        noted(folder, RUN, {"line_reading": "612 kgf", "anchor_reading": "1120 kgf"})
    assert refused.value.code == "EXISTS"


def test_a_column_that_is_not_of_the_day_is_refused(folder):
    with pytest.raises(FileRefusal) as refused:
        noted(folder, RUN, {"rig": "three-part"})
    assert refused.value.code == "UNKNOWN_HEADER"


def test_a_log_is_kept_to_the_byte_under_the_name_of_the_sheet(folder):
    (folder / "logs" / "meadow-two-a2_line.csv").unlink()
    changes = attached(folder, RUN, "line", "DATA07.TXT", b"\x00\xffraw")
    assert changes["logs/meadow-two-a2_line.txt"] == b"\x00\xffraw"
    assert row(changes)["line_log"] == "meadow-two-a2_line.txt"
    assert row(changes)["came_as"] == "DATA07.TXT"


def test_one_log_of_both_cells_takes_the_place_of_two_names(folder):
    changes = attached(folder, RUN, "both", "day.csv", b"x")
    assert "logs/meadow-two-a2.csv" in changes
    assert (row(changes)["line_log"], row(changes)["anchor_log"]) == ("meadow-two-a2.csv", "")


def test_a_log_that_is_there_is_not_replaced_unasked(folder):
    with pytest.raises(FileRefusal) as refused:
        attached(folder, RUN, "line", "other.csv", b"x")
    assert refused.value.code == "EXISTS"
    assert (
        attached(folder, RUN, "line", "other.csv", b"x", instead=True)["logs/meadow-two-a2_line.csv"] == b"x"
    )


def test_the_log_of_another_run_is_refused_whatever_it_is_called(folder):
    twin = (folder / "logs" / "meadow-two-b1.csv").read_bytes()
    with pytest.raises(FileRefusal, match="meadow-two-b1") as refused:
        attached(folder, RUN, "both", "fresh.csv", twin)
    assert refused.value.code == "DUPLICATE_LOG"


@pytest.mark.parametrize("name", ["a.csv/../../x", "no-ending", "x.c?v", "x.averylongone"])
def test_a_strange_ending_never_reaches_a_path(folder, name):
    changes = attached(folder, RUN, "both", name, b"x")
    assert all(path in ("runs.csv", "logs/meadow-two-a2.csv") for path in changes)


@pytest.mark.parametrize(("place", "data", "code"), [("drum", b"x", "PLACE"), ("line", b"", "EMPTY")])
def test_a_place_or_log_that_is_none_is_refused(folder, place, data, code):
    with pytest.raises(FileRefusal) as refused:
        attached(folder, RUN, place, "a.csv", data)
    assert refused.value.code == code


def test_a_run_pulled_again_keeps_the_first_and_says_why_it_is_left_out(folder):
    before = (folder / "decisions.yaml").read_text(encoding="utf-8")
    name, changes = pulled_again(folder, RUN, who="A. Sample", why="clipped", when=dt.date(2025, 6, 3))
    assert name == "two-a2-again"
    new = row(changes, name)
    assert (new["rig"], new["devices"], new["notes"], new["date"]) == ("two-part", "puck-A", "", "")
    assert new["line_log"] == "meadow-two-a2-again_line.csv"
    assert row(changes)["line_log"] == "meadow-two-a2_line.csv"
    read = write(folder, changes)
    decision = read.exclusion(RUN)
    assert (decision.who, decision.why) == ("A. Sample", "clipped")
    assert before.partition("stretches: []")[0] in changes["decisions.yaml"].decode()  # comments stay


@pytest.mark.parametrize(("who", "why"), [("", "clipped"), ("A. Sample", "  ")])
def test_a_decision_without_a_name_or_a_reason_is_refused(folder, who, why):
    with pytest.raises(FileRefusal) as refused:
        pulled_again(folder, RUN, who=who, why=why, when=dt.date(2025, 6, 3))
    assert refused.value.code == "VALUE"
