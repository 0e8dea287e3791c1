"""The workbook: its formulas reckoned again from its cells, its readings beside the logs, nothing hostile in it."""

import csv
import importlib.util
import re
import shutil
import subprocess
import sys
import zipfile
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from openpyxl import load_workbook
from openpyxl.utils import get_column_letter
from spreadsheet import FUNCTIONS, Spreadsheet

from haulwright import workflows
from haulwright.errors import FileRefusal
from haulwright.publishing.workbook.cells import MOST_ROWS
from haulwright.publishing.workbook.run_pages import check_length
from haulwright.trials.channels.make import as_read
from haulwright.trials.channels.result import LoggedChannel, RunChannels

CAMPAIGN = Path(__file__).resolve().parents[2] / "examples" / "campaign"
HOSTILE = (
    '=HYPERLINK("http://x.invalid","open")',
    "+1",
    "@x",
    "-2+3|cmd",
    "=1+1",
    "\t=1",
    "{=1}",
    "http://x.invalid/a",
)
EVERY_HEAD = ("formula", "value", "as written")


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    copy = tmp_path_factory.mktemp("given") / "campaign"
    shutil.copytree(CAMPAIGN, copy, ignore=shutil.ignore_patterns("results"))
    return copy


@pytest.fixture(scope="module")
def campaign(folder):
    return workflows.kept_campaign(folder)


@pytest.fixture(scope="module")
def path(folder, campaign, tmp_path_factory):
    out = tmp_path_factory.mktemp("out")
    return Path(workflows.publish_workbook(folder, out, units="kgf").files[0].path)


@pytest.fixture(scope="module")
def sheets(path):
    return Spreadsheet(path)


def head_rows(sheet):
    """Yield (row of the third line of a head, its columns)."""
    for row in sheet.iter_rows():
        told = [one for one in row if one.value in EVERY_HEAD]
        if told and all(one.font.i for one in told):
            yield row[0].row, told


def test_every_formula_gives_the_number_of_the_record(sheets):
    """Reckoned from the cells by an evaluator of the tests; the cached result is the record's own number."""
    wrong, kinds, n = [], set(), 0
    for sheet, at in sheets.formulas():
        n += 1
        cached = sheets.cached[sheet][at].value
        if not np.isclose(sheets.value(sheet, at), cached, rtol=1e-12, atol=1e-12):
            wrong.append((sheet, at, sheets.book[sheet][at].value, cached))
        kinds |= set(re.findall(r"[A-Z]{2,}(?=\()", sheets.book[sheet][at].value))
    assert n > 1000
    assert kinds >= {"AVERAGEIFS", "SUMPRODUCT", "EXP", "SQRT"}
    assert wrong == []


def test_the_means_are_those_of_the_rows(campaign, sheets):
    """Against numpy on the cells, to the last digit that is printed of a double."""
    for number, run in enumerate(campaign.runs, 1):
        sheet = sheets.book[f"{number:02d} {run.run}"]
        rows = [[one.value for one in row] for row in sheet.iter_rows(min_row=8, max_col=3)]
        known = np.array([row for row in rows if all(isinstance(x, float | int) for x in row)], dtype=float)
        time, line, anchor = known.T
        inside = np.zeros(time.size, dtype=bool)
        for one in run.steady:
            inside |= (time >= one.start_s) & (time <= one.end_s)
        assert float(line[inside].mean()) == pytest.approx(run.mean_N["line"].value, rel=1e-14)
        assert float(anchor[inside].mean()) == pytest.approx(run.mean_N["anchor"].value, rel=1e-14)
        ratio = float(anchor[inside].mean() / line[inside].mean())
        assert f"{ratio:.15g}" == f"{run.ratio.value:.15g}"


def test_numbers_of_the_record_stand_with_every_figure(campaign, sheets):
    results = sheets.cached["Results"]
    head = [one.value for one in results[4]]
    for row, run in zip(results.iter_rows(min_row=7, values_only=True), campaign.runs, strict=False):
        a = run.advantage
        at = head.index("Advantage")
        assert row[0] == run.run
        assert row[at : at + 4] == (a.value, a.u, a.lo, a.hi)
        assert row[head.index("Mean force of the line") + 1] == run.mean_N["line"].u
    devices = sheets.cached["Devices"]
    for row, (name, one) in zip(
        devices.iter_rows(min_row=7, values_only=True), campaign.devices.items(), strict=False
    ):
        assert row[0] == name
        assert row[2:6] == (one.k.value, one.k.u, one.k.lo, one.k.hi)
        assert "runs " in row[-1]


def test_readings_stand_as_in_the_log(folder, sheets):
    """The figures of a joint log in kN with decimal commas, read here by the csv module alone."""
    text = (folder / "logs" / "meadow-two-a1.csv").read_text("utf-8-sig")
    lines = list(csv.reader(text.splitlines(), delimiter=";"))
    at = next(n for n, line in enumerate(lines) if any("[kN]" in one for one in line))
    typed = [[line[1], line[2]] for line in lines[at + 1 :] if len(line) >= 3]
    sheet = sheets.book["02 two-a1 r"]
    assert [sheet.cell(6, n).value for n in (2, 6)] == ["[kN]", "[kN]"]
    for column, n in ((2, 0), (6, 1)):
        said = [float(row[n].replace(",", ".")) for row in typed if row[n].strip()]
        held = [
            one for (one,) in sheet.iter_rows(8, None, column, column, values_only=True) if one is not None
        ]
        assert held == said
        assert len(said) > 200


def test_a_reading_gives_the_very_force_that_was_read():
    """612.4 kgf times 9.80665 N and back is not always 612.4; where no short figure does, none is taken."""
    figures = np.round(np.random.default_rng(3).uniform(0.0, 3000.0, 4000), 3)
    for unit in (9.80665, 1000.0, 4.4482216152605, 1.0):
        assert as_read(figures * unit, unit).tolist() == figures.tolist()
    odd = np.random.default_rng(4).uniform(0.0, 30000.0, 100)
    assert np.allclose(as_read(odd, 9.80665) * 9.80665, odd, rtol=3e-16, atol=0.0)


def test_the_cautions_come_first_and_every_head_has_its_unit(campaign, sheets):
    first = sheets.book.worksheets[0]
    words = [one for row in first.iter_rows(values_only=True) for one in row if one]
    assert first.title == "Cautions"
    assert words[1:3] == [
        "Invented",
        "Invented demo data: nothing here describes a real device, place or person.",
    ]
    for notice in campaign.notices:
        assert notice.level != "caution" or notice.message in words[:12]
    heads = 0
    for sheet in sheets.book:
        for row, told in head_rows(sheet):
            heads += 1
            for one in told:
                unit = sheet.cell(row - 1, one.column).value
                assert sheet.cell(row - 2, one.column).value
                if one.value != "as written":
                    assert re.fullmatch(r"\[.+\]", unit), (sheet.title, one.coordinate)
    assert heads > 20


def test_columns_are_wide_enough_and_heads_stay(sheets):
    for sheet in sheets.book.worksheets[1:]:
        assert sheet.freeze_panes is not None or sheet.title == "Cells"
        if sheet.title in ("Results", "Devices", "Configurations"):
            widths = {}
            for one in sheet.column_dimensions.values():
                widths |= {get_column_letter(n): one.width for n in range(one.min, one.max + 1)}
            for row in sheet.iter_rows(min_row=7, max_row=20):
                for one in row:
                    if one.data_type == "n" and one.value is not None:
                        assert widths.get(one.column_letter, 0) >= 7
                        assert one.number_format != "General" or isinstance(one.value, int)


def test_charts_draw_the_cells(path):
    with zipfile.ZipFile(path) as archive:
        charts = [archive.read(one).decode() for one in archive.namelist() if "charts/chart" in one]
    assert len(charts) == 10
    bars = [one for one in charts if "<c:errBars>" in one]
    assert len(bars) == 2
    assert all("Configurations" in one for one in bars)
    for one in charts:
        assert one.count("<c:axId") >= 2
        assert "[N]" in one or "[1]" in one or "[%]" in one


def test_the_same_bytes_wherever_the_campaign_lies(folder, path, tmp_path):
    other = tmp_path / "elsewhere"
    shutil.copytree(folder, other)
    again = workflows.publish_workbook(other, tmp_path / "again", units="kgf").files[0]
    assert Path(again.path).read_bytes() == path.read_bytes()
    assert load_workbook(path, read_only=True).properties.created.year == 1980
    with zipfile.ZipFile(path) as archive:
        everything = b"".join(archive.read(one) for one in archive.namelist())
    assert str(folder).encode() not in everything
    assert str(tmp_path.parent).encode() not in everything


def test_another_spreadsheet_program_reckons_the_same(path, tmp_path):
    """LibreOffice, made to reckon everything anew, from a workbook whose cached results are all wrong."""
    program = shutil.which("soffice") or shutil.which("libreoffice")
    if program is None:
        pytest.skip("no other spreadsheet program here")
    spoilt = tmp_path / "spoilt.xlsx"
    with zipfile.ZipFile(path) as given, zipfile.ZipFile(spoilt, "w") as out:
        for name in given.namelist():
            data = given.read(name)
            if name.startswith("xl/worksheets/sheet"):
                data = re.sub(rb"(</f><v>)[^<]*", rb"\g<1>-77", data)
            out.writestr(name, data)
    profile = tmp_path / "profile"
    (profile / "user").mkdir(parents=True)
    (profile / "user" / "registrymodifications.xcu").write_text(
        '<?xml version="1.0" encoding="UTF-8"?><oor:items xmlns:oor="http://openoffice.org/2001/registry">'
        '<item oor:path="/org.openoffice.Office.Calc/Formula/Load"><prop oor:name="OOXMLRecalcMode" oor:op="fuse">'
        "<value>0</value></prop></item></oor:items>",
        encoding="utf-8",
    )
    words = ["--convert-to", "xlsx", "--outdir", str(tmp_path / "done")]
    subprocess.run(
        [program, f"-env:UserInstallation={profile.as_uri()}", "--headless", *words, str(spoilt)],
        check=True,
        capture_output=True,
        timeout=300,
    )
    reckoned = load_workbook(tmp_path / "done" / "spoilt.xlsx", data_only=True)
    ours = Spreadsheet(path)
    for sheet, at in ours.formulas():
        assert reckoned[sheet][at].value == pytest.approx(
            ours.cached[sheet][at].value, rel=1e-12, abs=1e-12
        ), (sheet, at)


@pytest.fixture(scope="module")
def hostile(tmp_path_factory):
    """Return a workbook of a campaign whose every name and note is a formula, a command or a link."""
    root = tmp_path_factory.mktemp("hostile")
    folder = root / "campaign"
    shutil.copytree(CAMPAIGN, folder, ignore=shutil.ignore_patterns("results", "decisions.yaml"))
    link, plus, at, minus, sum_, *_ = HOSTILE
    (folder / "logs" / "meadow-two-a1.csv").rename(folder / "logs" / "=cmd|' -C calc'!A0.csv")
    head, *rows = (folder / "runs.csv").read_text("utf-8").splitlines()
    columns = head.split(",")
    kept = [dict(zip(columns, next(csv.reader([row])), strict=False)) for row in rows[:5]]
    kept[1] |= {"run": sum_, "line_log": "=cmd|' -C calc'!A0.csv", "anchor_log": "", "notes": link}
    kept[2] |= {"run": at, "notes": plus}
    kept[3] |= {"run": minus}
    with (folder / "runs.csv").open("w", encoding="utf-8", newline="") as out:
        writer = csv.DictWriter(out, columns)
        writer.writeheader()
        writer.writerows(kept)
    text = (folder / "campaign.yaml").read_text("utf-8")
    text = text.replace("place: Invented Meadow", f"place: '{link}'").replace(
        "invented pulley block, plain bearing", f"'{link}'"
    )
    text = text.replace("A block against a ring on Invented Meadow", f"'{plus}'")
    (folder / "campaign.yaml").write_text(text, "utf-8")
    (folder / "decisions.yaml").write_text(
        f"exclusions:\n  - {{run: two-b2, who: '@who', when: 2025-06-03, why: '{link}'}}\n", "utf-8"
    )
    return Path(workflows.publish_workbook(folder, root / "out").files[0].path)


def test_texts_stay_texts(hostile):
    """No formula, link or command out of a note, a name of a run, a file name or a reason."""
    book = load_workbook(hostile)
    every, formulas = [], []
    for sheet in book:
        assert not [one for row in sheet.iter_rows() for one in row if one.hyperlink]
        for row in sheet.iter_rows():
            every += [one.value for one in row if one.data_type in ("s", "inlineStr")]
            formulas += [one.value for one in row if one.data_type == "f"]
    texts = set(every)
    for text in ("=1+1", "@x", "-2+3|cmd", "+1", HOSTILE[0]):
        assert text in texts
    assert sum(one == HOSTILE[0] for one in every) >= 2  # a reason, a note of a run
    assert any("calc" in text for text in texts)
    bare = [re.sub(r"'[^']+'!", "", one) for one in formulas]  # names of sheets, in quotes
    assert {name for one in bare for name in re.findall(r"[A-Za-z_]+(?=\()", one)} <= set(FUNCTIONS)
    assert not [one for one in bare if re.search(r"[\"|\[\]@]|cmd", one)]
    with zipfile.ZipFile(hostile) as archive:
        names = archive.namelist()
        relations = b"".join(archive.read(one) for one in names if one.endswith(".rels"))
        assert b'TargetMode="External"' not in relations
        assert not [one for one in names if "external" in one.lower() or "vba" in one.lower()]


def test_formulas_of_hostile_names_still_reckon(hostile):
    sheets = Spreadsheet(hostile)
    for sheet, at in sheets.formulas():
        assert sheets.value(sheet, at) == pytest.approx(sheets.cached[sheet][at].value, rel=1e-12, abs=1e-12)


def long_channel(n):
    return LoggedChannel("long.csv", "a", "kN", 1000.0, 1.0, np.arange(n) / 100.0, np.zeros(n))


def test_a_log_longer_than_a_sheet_is_refused_in_words():
    """A sheet has 1 048 576 rows (ECMA-376 leaves the limit to programs; all common ones stop there)."""
    check_length(RunChannels("a", True, {"line": long_channel(360_000)}))
    with pytest.raises(FileRefusal) as refused:
        check_length(RunChannels("a", True, {"line": long_channel(MOST_ROWS)}))
    assert refused.value.code == "TOO_LONG"
    assert "1048576 readings (long.csv)" in refused.value.message
    assert "publish bundle" in refused.value.message


def test_typed_runs_and_cells_elsewhere_say_that_they_are_values(tmp_path, campaign):
    """A run typed from the displays has no rows; where the cells sit elsewhere the solver stands between."""
    from haulwright.publishing.workbook.write import write_workbook

    typed = replace(campaign.runs[1], grade="typed", steady=(), phases=(), files=(), gain=None)
    typed = replace(
        typed, ratio=replace(typed.ratio, value=typed.mean_N["anchor"].value / typed.mean_N["line"].value)
    )
    small = replace(campaign, runs=(typed,), configurations=(), comparisons=(), devices={})
    write_workbook(small, lambda run: RunChannels(run.run, False), tmp_path / "typed.xlsx")
    sheets = Spreadsheet(tmp_path / "typed.xlsx")
    rows = {row[0]: row for row in sheets.book["01 two-a1"].iter_rows(min_row=8, values_only=True)}
    assert rows["Mean force of the line"][1] == typed.mean_N["line"].value
    assert rows["Anchor ÷ line, as read"][1].startswith("=")
    assert rows["Advantage, load ÷ effort"][1] == typed.advantage.value
    assert rows["Advantage, load ÷ effort"][7].startswith("value; the rig's solver")
    for sheet, at in sheets.formulas():
        assert sheets.value(sheet, at) == pytest.approx(sheets.cached[sheet][at].value, rel=1e-12)


@pytest.fixture
def made():
    """Return the module that makes campaigns up, which lies with the tests of the trials."""
    path = Path(__file__).resolve().parents[1] / "trials" / "made_campaign.py"
    spec = importlib.util.spec_from_file_location("made_campaign_for_workbooks", path)
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    yield module
    del sys.modules[spec.name]


def test_further_cells_gains_factors_and_typed_runs(made, tmp_path):
    """A third cell, a calibration factor, a series check whose gain is taken off, a cell behind the block, a typed run."""
    cells = (
        "cells:\n  l: {capacity: 3 t, class: 0.5 %, certificate: c1, factor: 1.01}\n"
        "  a: {capacity: 6 t, class: 0.5 %}\n  b: {capacity: 6 t, class: 0.5 %}\n"
    )
    third = {"X_log": "two.csv", "X_column": "third_kgf", "X_cell": "b"}
    behind = {
        "anchor_log": "four.csv",
        "anchor_column": "third_kgf",
        "anchor_at": "X",
        "line_column": "line_kgf",
    }
    ratios = {"puck": 1.10, "hoop": 1.25}
    pulls = [
        made.Pull("series", "series", ratios, "", seed=2),
        made.Pull("two", "two-part", ratios, "puck", seed=4, extra=lambda t, f: f * 1.909, more=third),
        made.Pull("three", "two-part", ratios, "hoop", seed=5),
        made.Pull(
            "four", "redirect", ratios, "puck", seed=6, extra=lambda t, f: f * (1.0 + 1.0 / 1.1), more=behind
        ),
    ]
    columns = [
        "anchor_log",
        "anchor_column",
        "anchor_at",
        "line_column",
        *third,
        "line_reading",
        "anchor_reading",
    ]
    made.made_campaign(tmp_path / "made", pulls, cells=cells, columns=columns)
    with (tmp_path / "made" / "runs.csv").open("a", encoding="utf-8") as sheet:
        sheet.write("typed,2025-06-02,two-part,hoop,,l,a,,,,,,,,612 ± 8 kgf,1110 ± 12 kgf\n")
    result = workflows.kept_campaign(tmp_path / "made")
    assert [run.run for run in result.runs] == ["series", "two", "three", "four", "typed"]
    sheets = Spreadsheet(workflows.publish_workbook(tmp_path / "made", tmp_path).files[0].path)
    for sheet, at in sheets.formulas():
        assert sheets.value(sheet, at) == pytest.approx(
            sheets.cached[sheet][at].value, rel=1e-12, abs=1e-12
        ), (sheet, at)
    found = {}
    for n, run in enumerate(result.runs, 1):
        for row in sheets.book[f"{n:02d} {run.run}"].iter_rows(min_row=8, values_only=True):
            told = [one for one in row if one is not None]
            at = next(
                (i for i, one in enumerate(told) if isinstance(one, str) and not one.startswith("=")), None
            )
            if at is not None and len(told) > at + 1:
                found[run.run, told[at]] = told[at + 1 :]
    assert found["two", "Mean force at X"][1] == result.runs[1].mean_N["X"].value
    assert found["two", "Gain taken off"][0] == result.runs[1].gain.value
    assert found["two", "Advantage, load ÷ effort"][-1] == "ratio ÷ gain of the cells"
    assert found["four", "Advantage, load ÷ effort"][0] == result.runs[3].advantage.value  # no formula
    assert found["four", "Advantage, load ÷ effort"][-1].startswith("value; the rig's solver")
    assert found["typed", "Mean force of the line"][0] == pytest.approx(612 * 9.80665 * 1.01)
    readings = [
        one
        for (one,) in sheets.book["02 two r"].iter_rows(8, None, 2, 2, values_only=True)
        if one is not None
    ]
    log = np.loadtxt(tmp_path / "made" / "logs" / "two.csv", delimiter=",", skiprows=1)
    assert readings == log[:, 1].tolist()  # as logged: the factor is not in it
