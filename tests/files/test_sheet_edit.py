"""A run sheet changed in place: every other row to the byte, and read back by the reader of run sheets."""

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haulwright.errors import FileRefusal
from haulwright.files.runsheet import read_run_sheet
from haulwright.files.sheet_edit import again_name, changed_row, rows_of, with_run_again

PLAIN = "run,rig,line_log,notes\n1,two-part,a.csv,\n2,two-part,b.csv,windy\n"
ODD = '\ufeffrun;rig;line_log;notes\r\n1;two-part;a.csv;"first\r\nsecond"\r\n\r\n2;two-part;b.csv'


def test_one_cell_changes_and_the_rest_stays_to_the_byte():
    assert changed_row(PLAIN, "1", {"notes": "cold"}) == PLAIN.replace("a.csv,\n", "a.csv,cold\n")


def test_separator_line_ends_mark_and_cells_over_two_lines_stay():
    after = changed_row(ODD, "2", {"notes": "a;b"})
    assert after == ODD + ';"a;b"\r\n'


def test_a_new_column_comes_last_and_short_rows_stay():
    after = changed_row(PLAIN, "2", {"air_C": "21"})
    assert after.splitlines() == [
        "run,rig,line_log,notes,air_C",
        "1,two-part,a.csv,",
        "2,two-part,b.csv,windy,21",
    ]


def test_clearing_a_column_that_is_not_there_adds_none():
    assert changed_row(PLAIN, "2", {"air_C": ""}) == PLAIN


def test_an_unknown_run_is_refused_with_its_nearest_name():
    with pytest.raises(FileRefusal, match="two-a1") as refused:
        changed_row("run,rig,line_log\ntwo-a1,two-part,a.csv\n", "two-a2", {"notes": "x"})
    assert refused.value.code == "UNKNOWN_RUN"


def test_a_run_again_stands_below_the_first_without_its_logs():
    after = with_run_again(PLAIN, "1", {"run": "1-again", "line_log": "c.csv", "notes": ""})
    assert [row["run"] for row in rows_of(after)] == ["1", "1-again", "2"]
    assert after.startswith(PLAIN.splitlines(True)[0] + PLAIN.splitlines(True)[1])


@pytest.mark.parametrize(
    ("runs", "run", "name"),
    [
        (["a"], "a", "a-again"),
        (["a", "a-again"], "a", "a-again2"),
        (["a", "a-again"], "a-again", "a-again2"),
        (["a", "a-again", "a-again2"], "a-again2", "a-again3"),
        (["never-again", "x"], "never-again", "never-again2"),
    ],
)
def test_names_of_runs_pulled_again_are_free(runs, run, name):
    text = "run,rig,line_log\n" + "".join(f"{one},two-part,{one}.csv\n" for one in runs)
    found = again_name(text, run)
    assert found not in runs
    assert found == name


CELL = st.text(st.characters(codec="utf-8", exclude_categories=("C", "Z")), max_size=12).map(str.strip)


@given(st.lists(CELL, min_size=3, max_size=3), CELL, st.sampled_from(",;"), st.sampled_from(["\n", "\r\n"]))
def test_whatever_stands_in_a_cell_comes_back(notes, note, separator, ending):
    out = io.StringIO()
    writer = csv.writer(out, delimiter=separator, lineterminator=ending)
    writer.writerow(["run", "rig", "line_log", "notes"])
    writer.writerows([[f"r{n}", "two-part", f"{n}.csv", text] for n, text in enumerate(notes)])
    after = rows_of(changed_row(out.getvalue(), "r1", {"notes": note}))
    assert [row["notes"] for row in after] == [notes[0], note, notes[2]]


def test_the_reader_of_run_sheets_takes_what_was_changed(tmp_path):
    path = tmp_path / "runs.csv"
    text = changed_row(PLAIN, "2", {"air_C": "21", "time": "10:42", "weather": "dry, windy"})
    path.write_text(text, encoding="utf-8")
    entry = read_run_sheet(path, tmp_path / "logs", logs_needed=False)[1]
    assert entry.conditions.air_C == 21.0
    assert entry.conditions.notes == {"time": "10:42"}
    assert entry.row["weather"] == "dry, windy"
