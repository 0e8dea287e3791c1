"""Damaged and hostile files end in one helpful refusal or a named warning: never a traceback, never a silent number."""

from __future__ import annotations

import io
import json
import tracemalloc
import zipfile
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np
import pytest
from made_logs import ANCHOR, COUNT, LINE, fixed, long, rows, stamps, wide, workbook
from openpyxl import Workbook

import haulwright as hw
from haulwright.errors import Refusal, TrialRefusal
from haulwright.interfaces.cli.main import main
from haulwright.trials.readers import read_log

PLAIN = wide()
LINES = PLAIN.splitlines()


def sheet(*lines: list[object], name: str = "log") -> bytes:
    def fill(book: Workbook) -> None:
        assert book.active is not None
        book.active.title = name
        for line in lines:
            book.active.append(line)

    return workbook(fill)


def formulas(book: Workbook) -> None:
    page = book.active
    assert page is not None
    page.append(["time_s", "line_kgf", "anchor_kgf"])
    for i in range(COUNT):
        page.append([i, float(LINE[i]), "=B2*2" if i == 40 else float(ANCHOR[i])])


def bomb() -> bytes:
    good = io.BytesIO(workbook(formulas))
    bad = io.BytesIO()
    with zipfile.ZipFile(good) as old, zipfile.ZipFile(bad, "w", zipfile.ZIP_DEFLATED) as new:
        for part in old.infolist():
            data = old.read(part)
            if part.filename.startswith("xl/worksheets/"):
                data = data.replace(b"</sheetData>", b" " * 60_000_000 + b"</sheetData>")
            new.writestr(part.filename, data)
    return bad.getvalue()


def entities() -> bytes:
    good = io.BytesIO(workbook(formulas))
    bad = io.BytesIO()
    with zipfile.ZipFile(good) as old, zipfile.ZipFile(bad, "w") as new:
        for part in old.infolist():
            data = old.read(part)
            if part.filename == "xl/workbook.xml":
                data = b'<?xml version="1.0"?><!DOCTYPE x [<!ENTITY a "aaaa">]>' + data.split(b"?>", 1)[-1]
            new.writestr(part.filename, data)
    return bad.getvalue()


def zipped() -> bytes:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w") as package:
        package.writestr("a.txt", "b")
    return stream.getvalue()


def swapped_on_the_way() -> str:
    head, *body = LINES
    time, line, anchor = head.split(",")
    return "\n".join([head, *body[:60], ",".join((time, anchor, line)), *body[60:]])


REFUSED: dict[str, tuple[str, str | bytes, str, str]] = {
    # name: file, content, code, words
    "empty": ("log.csv", "", "EMPTY", "is empty"),
    "only padding": ("log.csv", b"\0" * 5000, "EMPTY", "is empty"),
    "header only": ("log.csv", LINES[0] + "\n", "NO_ROWS", "no readings"),
    "binary": ("log.csv", bytes(range(256)) * 50, "", "log.csv"),
    "a picture": ("log.csv", b"\x89PNG\r\n\x1a\n" + bytes(range(256)) * 40, "NOT_TEXT", "is a picture, no log"),
    "giant line": ("log.csv", "1," * 2_000_000, "BROKEN_ROW", "no row of a log"),
    "giant line inside": ("log.csv", "\n".join([*LINES[:60], "1" * 900_000, *LINES[60:]]), "BROKEN_ROW", "line 61"),
    "all not a number": ("log.csv", wide(line=["NaN"] * COUNT, anchor=["NaN"] * COUNT), "", "log.csv"),
    "one channel all NaN": ("log.csv", wide(anchor=["NaN"] * COUNT), "ONE_CHANNEL", "line"),
    "time reversed": ("log.csv", "\n".join([LINES[0], *LINES[:0:-1]]), "", "log.csv"),
    "one channel": ("log.csv", "time_s,line_kgf\n" + rows(fixed(range(COUNT)), fixed(LINE)), "ONE_CHANNEL", "other cell"),
    "beyond all floats": ("log.csv", wide(line=["1e999"] * COUNT), "UNPARSABLE", "'1e999' in line"),
    "1e308": ("log.csv", wide(line=["1e308"] * COUNT), "UNPARSABLE", "'1e308' in line"),
    "time beyond all clocks": ("log.csv", wide(times=["1e308"] * COUNT), "", "log.csv"),
    "one stamp in another century": ("log.csv", wide(times=[*fixed(range(COUNT - 1)), "99999999999"]), "CLOCK", "days"),
    "no unit at all": ("log.csv", wide("time,line,anchor"), "UNIT", "--unit"),
    "one unit missing": ("log.csv", wide("time,line [kN],anchor"), "UNIT", "for anchor"),
    "columns swapped on the way": ("log.csv", swapped_on_the_way(), "COLUMNS", "line 62: the header changes"),
    "unit changed on the way": (
        "log.csv", "\n".join([*LINES[:60], LINES[0].replace("kgf", "kN"), *LINES[60:]]), "COLUMNS", "Before:"),
    "a label too few": ("log.csv", wide("line [kgf],anchor [kgf]"), "COLUMNS", "Counted from the right"),
    "decimal commas between commas": (
        "log.csv", wide(times=fixed(range(COUNT), ","), line=fixed(LINE, ","), anchor=fixed(ANCHOR, ",")), "COLUMNS",
        "decimal comma"),
    "thousands or decimals": (
        "log.csv", wide(times=[str(i) for i in range(COUNT)], line=["1,234"] * COUNT, anchor=["2,345"] * COUNT,
        separator=";"), "DECIMAL", "Decimal point: 0 | 1234 | 2345. Decimal comma: 0 | 1.234 | 2.345"),
    "thousands by points or decimals": (
        "log.csv", wide(times=[str(i) for i in range(COUNT)], line=["812", "1.234"] * (COUNT // 2),
        anchor=["912", "2.345"] * (COUNT // 2), separator=";"), "DECIMAL", "point or comma (--decimal)"),
    "a mark for each column": (
        "log.csv", wide(line=fixed(LINE, ","), anchor=fixed(ANCHOR, ","), separator=";"), "DECIMAL", "in two ways"),
    "both readings of a date": (
        "log.csv", wide(times=[t.replace("22/06", "03/04") for t in stamps("%d/%m/%Y %H:%M:%S")]), "DATES",
        "day 03, month 04, 2025 or as month 03, day 04"),
    "both readings of a short year": ("log.csv", wide(times=stamps("%d-%m-%y %H:%M:%S")), "DATES", "year-first"),
    "minutes or hours": ("log.csv", wide(times=[f"10:{i // 3:02d}" for i in range(COUNT)]), "DATES",
        "Minutes and seconds: 10 min 0 s. Hours and minutes: 10 h 0 min"),
    "seconds or milliseconds": ("log.csv", wide("time,line kgf,anchor kgf", times=[str(1000 * i) for i in range(COUNT)]),
        "CLOCK", "s or ms (--clock)"),
    "offset on some stamps": ("log.csv", wide(times=["2025-06-22T10:00:00", "2025-06-22T10:00:01Z"] * (COUNT // 2)),
        "DATES", "offset"),
    "rows of many widths": ("log.csv", "\n".join([LINES[0], *[r if i % 3 else r + ",7" for i, r in enumerate(LINES[1:])]]),
        "BROKEN_ROW", "fields, not 3"),
    "quotes never closed": ("log.csv", PLAIN.replace(",2", ',"2'), "", "log.csv"),
    "formulas in CSV": ("log.csv", wide(line=["=1+1"] * COUNT), "", "log.csv"),
    "a printed paper": ("log.csv", b"%PDF-1.7\n" + PLAIN.encode(), "NOT_TEXT", "is a PDF, no log"),
    "an old workbook": ("log.xls", b"\xd0\xcf\x11\xe0" + bytes(900), "NOT_TEXT", "as a workbook (.xlsx)"),
    "utf-16 cut in two": ("log.csv", PLAIN.encode("utf-16")[:-1], "NOT_TEXT", "broken"),
    "no workbook": ("log.xlsx", b"PK\x03\x04" + b"\0" * 100, "WORKBOOK", "broken"),
    "zip of something else": ("log.xlsx", zipped(), "WORKBOOK", "no workbook"),
    "workbook cut in two": ("log.xlsx", workbook(formulas)[:3000], "WORKBOOK", ""),
    "workbook that bursts": ("log.xlsx", bomb(), "WORKBOOK", "unpacks to 60 MB"),
    "workbook with entities": ("log.xlsx", entities(), "WORKBOOK", "declares"),
    "workbook of formulas": ("log.xlsx", sheet(["time_s", "line_kgf", "anchor_kgf"],
        *[[i, "=A2*2", "=B2*2"] for i in range(COUNT)]), "", "log.xlsx"),
    "empty workbook": ("log.xlsx", sheet(), "NO_ROWS", "no sheet with readings"),
}  # fmt: skip


@pytest.mark.parametrize("name", REFUSED)
def test_refused_in_one_message(tmp_path: Path, name: str) -> None:
    file, content, code, words = REFUSED[name]
    path = tmp_path / file
    path.write_bytes(content.encode() if isinstance(content, str) else content)
    with pytest.raises(TrialRefusal) as caught:
        read_log([path])
    assert not code or caught.value.code == code, caught.value.message
    assert words in caught.value.message
    assert file in caught.value.message


def test_a_truncated_log_loses_its_last_row_only(tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    for left, words in ((9, "has 2 fields, not 3"), (len(LINES[-1]) - 2, "breaks off at")):
        path.write_text("\n".join([*LINES[:-1], LINES[-1][:left]]))
        log = read_log([path])
        assert log.channels["line"].force_N.size == log.channels["anchor"].force_N.size == COUNT - 1
        assert log.rows["broken_line"] == 1
        assert any(words in n.message for n in log.notices if n.code == "ROWS")


def test_formula_cells_are_counted_never_evaluated(tmp_path: Path) -> None:
    path = tmp_path / "log.xlsx"
    path.write_bytes(workbook(formulas))
    log = read_log([path])
    assert log.rows["formula"] == 1
    assert log.channels["anchor"].force_N.size == COUNT - 1
    assert any("1 formula" in notice.message for notice in log.notices)


def test_two_sheets_are_asked_about(tmp_path: Path) -> None:
    def fill(book: Workbook) -> None:
        for title in ("pull 1", "pull 2"):
            page = book.create_sheet(title)
            for i in range(COUNT):
                page.append([i, float(LINE[i]), float(ANCHOR[i])])

    path = tmp_path / "log.xlsx"
    path.write_bytes(workbook(fill))
    with pytest.raises(TrialRefusal, match=r"pull 1: .*; pull 2: .*--sheet NAME") as caught:
        read_log([path])
    assert caught.value.code == "SHEET"
    with pytest.raises(TrialRefusal, match="no sheet 'pull 3'"):
        read_log([path], sheet="pull 3")


def test_names_like_paths_stay_names(tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    path.write_text(wide("time_s,../../line [kgf],/etc/passwd anchor [kgf]"))
    before = sorted(tmp_path.rglob("*"))
    log = hw.read_trial([path])
    assert list(log.channels) == ["line", "anchor"]
    assert sorted(tmp_path.rglob("*")) == before


@pytest.mark.parametrize(
    ("line", "anchor", "words"),
    [
        (np.full(COUNT, 800.0), np.full(COUNT, 1500.0), "not measurable"),
        (np.zeros(COUNT), np.zeros(COUNT), "never carries a load"),
    ],
)
def test_constant_channels_are_named(
    tmp_path: Path, line: np.ndarray, anchor: np.ndarray, words: str
) -> None:
    path = tmp_path / "log.csv"
    path.write_text(wide(line=fixed(line), anchor=fixed(anchor)))
    assert any(words in notice.message for notice in hw.read_trial([path]).notices)
    with pytest.raises(Refusal):
        hw.measure_trial(path, rig="two-part")


def test_clocks_that_do_not_overlap_are_named(tmp_path: Path) -> None:
    one, two = tmp_path / "line.csv", tmp_path / "anchor.csv"
    later = [(datetime(2025, 6, 22, 17, 7) + timedelta(seconds=i)).isoformat() for i in range(COUNT)]
    one.write_text("utc,line_kgf\n" + rows(stamps("%Y-%m-%dT%H:%M:%S"), fixed(LINE)))
    two.write_text("utc,anchor_kgf\n" + rows(later, fixed(ANCHOR)))
    told = [n for n in read_log([one, two]).notices if "laid together" in n.message]
    assert [(n.code, n.level) for n in told] == [("UNCHECKED", "warning")]
    assert "+25620 s" in told[0].message


def test_elapsed_clocks_keep_their_silences(tmp_path: Path) -> None:
    """A stopwatch does not change to summer time: an hour of silence is an hour of silence."""
    times = [str(i if i < 60 else i + 3600) for i in range(COUNT)]
    path = tmp_path / "log.csv"
    path.write_text(wide(times=times))
    assert read_log([path]).channels["line"].time_s[-1] == pytest.approx(COUNT - 1 + 3600)
    zoned = stamps("%Y-%m-%dT%H:%M:%SZ")
    path.write_text(wide(times=zoned[:60] + [t.replace("T10", "T11") for t in zoned[60:]]))
    assert read_log([path]).channels["line"].time_s[-1] == pytest.approx(COUNT - 1 + 3600)


def test_stated_offsets_survive_the_change_of_clocks(tmp_path: Path) -> None:
    half = COUNT // 2
    texts = [f"2025-10-26T02:59:{i:02d}+02:00" for i in range(60)] + [
        f"2025-10-26T02:00:{i:02d}+01:00" for i in range(60)
    ]
    path = tmp_path / "log.csv"
    path.write_text(wide(times=texts))
    log = read_log([path])
    np.testing.assert_allclose(log.channels["line"].time_s, np.arange(COUNT))
    assert half == 60
    assert "+01:00 / +02:00" in log.format["clock"]


def test_held_values_are_counted_once(tmp_path: Path) -> None:
    x, y = np.repeat(np.round(LINE, 1), 4), np.repeat(np.round(ANCHOR, 1), 4)
    path = tmp_path / "log.csv"
    path.write_text(
        "t [s],line kgf,anchor kgf\n"
        + rows([f"{0.25 * i:.2f}" for i in range(4 * COUNT)], fixed(x), fixed(y))
    )
    log = read_log([path])
    assert log.rows["held"] == 2 * 3 * COUNT
    assert log.channels["line"].period_s == pytest.approx(1.0)
    assert any("shown 4 times" in notice.message for notice in log.notices)


def test_a_log_of_one_cell_can_be_read(tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    force = np.concatenate(
        [np.full(60, 5.0), np.full(100, 900.0), np.full(90, 6.0), np.full(80, 800.0), np.full(50, 5.0)]
    )
    time = np.arange(force.size) + np.where(np.arange(force.size) > 120, 200, 0)
    path.write_text("time_s,pull_kgf\n" + rows(fixed(time), fixed(force + np.arange(force.size) % 3)))
    record = hw.read_trial([path])
    assert list(record.channels) == ["line"]
    assert [p.name for p in record.phases] == [
        "rest",
        "haul 1",
        "silence",
        "haul 1",
        "rest",
        "haul 2",
        "rest",
    ]
    assert any("one force only" in notice.message for notice in record.notices)
    with pytest.raises(TrialRefusal) as caught:
        hw.measure_trial(path, rig="two-part")
    assert caught.value.code == "ONE_CHANNEL"


def test_columns_by_number_without_a_header(tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    path.write_text(wide(""))
    with pytest.raises(TrialRefusal, match=r"which of column 2 \('2.5'\), column 3") as caught:
        read_log([path], unit="kgf")
    assert caught.value.code == "ROLES"
    log = hw.read_trial([path], line_column="3", unit="kgf")
    np.testing.assert_allclose(log.channels["line"].n, COUNT)
    assert log.format["columns"] == "line from column 3"


def test_choices_that_cannot_be_are_refused(tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    path.write_text(PLAIN)
    for options in (
        {"separator": "dot"},
        {"decimal": ";"},
        {"encoding": "klingon"},
        {"encoding": "rot13"},
        {"clock": "fortnight"},
    ):
        with pytest.raises(TrialRefusal) as caught:
            read_log([path], **options)
        assert caught.value.code == "CHOICE"
    with pytest.raises(TrialRefusal, match="no column 'x' for the time"):
        read_log([path], time_column="x")
    with pytest.raises(TrialRefusal, match="no unit of force"):
        read_log([path], unit="line=stone")


def test_a_whole_log_in_long_form_keeps_sensors_apart(tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    path.write_text(long("kgf").replace("anchor", "anchor ÄÖ"))
    assert list(read_log([path]).channels) == ["line", "anchor"]


@pytest.mark.parametrize(
    ("name", "times", "code", "words"),
    [
        ("a clock that stands still", ["2025-06-22T10:00:00"] * COUNT, "CLOCK", "stands still"),
        ("three seconds at 40 a second", [f"{i / 40:.3f}" for i in range(COUNT)], "TOO_SHORT", "spans 3.0 s only"),
        ("one stamp two days late", [f"{i}.0" for i in range(COUNT - 1)] + ["172800.0"], "CLOCK", "spans 48 h with readings"),
        ("stamps that never rise", ["5"] * COUNT, "NO_TIME", "seconds or clock stamps that rise"),
    ],
)  # fmt: skip
def test_a_log_without_a_pull_is_refused(
    tmp_path: Path, name: str, times: list[str], code: str, words: str
) -> None:
    path = tmp_path / "log.csv"
    path.write_text(
        wide(
            "time [s],line [kgf],anchor [kgf]" if "." in times[0] else "time,line [kgf],anchor [kgf]",
            times=times,
        )
    )
    with pytest.raises(TrialRefusal) as caught:
        hw.measure_trial(path, rig="two-part")
    assert caught.value.code == code, f"{name}: {caught.value.message}"
    assert words in caught.value.message


def test_another_day_is_no_other_zone(tmp_path: Path) -> None:
    """Zones explain some hours between two clocks, never a day: 2025-06-22 beside 2025-06-23."""
    one, two = tmp_path / "line.csv", tmp_path / "anchor.csv"
    days = stamps("%Y-%m-%dT%H:%M:%S")
    one.write_text("when,line_kgf\n" + rows(days, fixed(LINE)))
    for old, new, level in (("06-22T10", "06-23T10", "warning"), ("T10", "T12", "info")):
        two.write_text("when,anchor_kgf\n" + rows([t.replace(old, new) for t in days], fixed(ANCHOR)))
        (told,) = [n for n in read_log([one, two]).notices if "laid together" in n.message]
        assert told.level == level


HOSTILE_AT_THE_COMMAND = {
    "truncated": "\n".join(LINES[:70])[:-4],
    "binary": bytes(range(256)) * 50,
    "giant line": "1," * 2_000_000,
    "empty": "",
    "header only": LINES[0],
    "all NaN": wide(line=["NaN"] * COUNT, anchor=["NaN"] * COUNT),
    "time reversed": "\n".join([LINES[0], *LINES[:0:-1]]),
    "constant": wide(line=["800.0"] * COUNT, anchor=["1500.0"] * COUNT),
    "one channel": "time_s,line_kgf\n" + rows(fixed(range(COUNT)), fixed(LINE)),
    "formula cells": "\n".join([*LINES[:60], "59.0,=1+1,=B2", *LINES[61:]]),
    "1e308": wide(line=["1e308"] * COUNT),
    "one 1e308": "\n".join([*LINES[:60], "59.0,1e308,7.0", *LINES[61:]]),
    "mixed units, one not told": wide("time,line [kN],anchor"),
    "mixed units, none told": wide("time,line,anchor"),
    "swapped columns": wide("time [s],anchor [kgf],line [kgf]"),
    "swapped on the way": swapped_on_the_way(),
}


@pytest.mark.parametrize("name", HOSTILE_AT_THE_COMMAND)
def test_at_the_command_line(tmp_path: Path, name: str, capsys: pytest.CaptureFixture[str]) -> None:
    """Each ends in one refusal (exit 2, its record on stdout), or in a number with a notice that names what was lost."""
    content = HOSTILE_AT_THE_COMMAND[name]
    path = tmp_path / "log.csv"
    path.write_bytes(content.encode() if isinstance(content, str) else content)
    code = main(["trial", "measure", str(path), "--rig", "two-part", "--json"])
    record = json.loads(capsys.readouterr().out)
    if code == 0:
        assert any("not used" in one["message"] for one in record["notices"])
        assert record["advantage"]["value"] == pytest.approx(1.9, rel=0.02)
    else:
        assert code == 2
        assert record["kind"] == "refusal"
        assert record["error"]["code"] not in ("", "INTERNAL")


@pytest.mark.parametrize(
    "path", ["../../../etc/none.csv", "a\x01b.csv", "x" * 5000, ".", "/dev/null", "con:aux|.csv"]
)
def test_paths_that_are_no_logs(tmp_path: Path, path: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    with pytest.raises(TrialRefusal) as caught:
        hw.measure_trial(path, rig="two-part")
    assert caught.value.code in ("NO_FILE", "UNREADABLE")
    assert list(tmp_path.iterdir()) == []


def test_memory_stays_below_ten_files(tmp_path: Path) -> None:
    """A regular log and one with blanks, read with less than ten times its size allocated (about six are needed)."""
    rng = np.random.default_rng(3)
    count = 60_000
    time = np.arange(count) / 100.0
    line, anchor = 800.0 + rng.standard_normal(count), 1500.0 + rng.standard_normal(count)
    odd = ["NA" if i % 50 == 0 else text for i, text in enumerate(fixed(line, digits=2))]
    for name, x in (("regular", fixed(line, digits=2)), ("with blanks", odd)):
        path = tmp_path / "log.csv"
        path.write_text(
            "time_s,line_kgf,anchor_kgf\n" + rows(fixed(time, digits=2), x, fixed(anchor, digits=2))
        )
        tracemalloc.start()
        try:
            log = read_log([path])
            peak = tracemalloc.get_traced_memory()[1]
        finally:
            tracemalloc.stop()
        assert log.channels["anchor"].force_N.size == count
        assert peak < 10 * path.stat().st_size, f"{name}: {peak / path.stat().st_size:.1f} times the file"
