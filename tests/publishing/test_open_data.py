"""Open data: valid by the reference library, reckoned again to the last digit by a stranger, hostile ones refused."""

import csv
import hashlib
import json
import os
import re
import shutil
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest
from frictionless import Package, system

from haulwright import workflows
from haulwright.checking.recomputed import compare_tables, compare_trees
from haulwright.errors import Refusal
from haulwright.interfaces.cli.main import main
from haulwright.kept.bringing import bring_in
from haulwright.kept.where import Where
from haulwright.publishing.bundle.tables import tables_of

CAMPAIGN = Path(__file__).resolve().parents[2] / "examples" / "campaign"
NAME = "meadow-invented-data"
GOLDEN = Path(__file__).with_name("golden") / "open-data"


@pytest.fixture(scope="module")
def given(tmp_path_factory):
    copy = tmp_path_factory.mktemp("given") / "My own campaign"
    shutil.copytree(CAMPAIGN, copy, ignore=shutil.ignore_patterns("results"))
    (copy / "private letter.txt").write_text("not for others", encoding="utf-8")
    return copy


@pytest.fixture(scope="module")
def out(given, tmp_path_factory):
    folder = tmp_path_factory.mktemp("out")
    workflows.publish_bundle(given, folder)
    return folder


@pytest.fixture
def data(out, tmp_path):
    """Return a copy of the open data that may be spoilt."""
    shutil.copytree(out / NAME, tmp_path / NAME)
    return tmp_path / NAME


def refused(call, *args, **more):
    with pytest.raises(Refusal) as caught:
        call(*args, **more)
    return caught.value


def signed(data):
    """Write the hashes of what is there now into the descriptor, as somebody would who means to deceive."""
    told = json.loads((data / "datapackage.json").read_text("utf-8"))
    for one in told["resources"]:
        content = (data / one["path"]).read_bytes()
        one |= {"bytes": len(content), "hash": f"sha256:{hashlib.sha256(content).hexdigest()}"}
    (data / "datapackage.json").write_text(json.dumps(told), "utf-8")


def valid(folder):
    with system.use_context(trusted=False):
        return Package(str(folder / "datapackage.json")).validate()


# what it is


def test_the_reference_library_finds_it_valid(out):
    """frictionless, the reference library of the standard: structure, types, keys, foreign keys, bytes and hashes."""
    report = valid(out / NAME)
    assert report.valid, report.flatten(["rowNumber", "fieldName", "type", "message"])
    tables = [task for task in report.tasks if task.type == "table"]
    names = {Path(one.name).stem for one in tables}
    assert names >= {"runs", "means", "budget", "configurations", "devices", "comparisons", "excluded"}
    assert len(names) == 11


def test_the_reference_library_sees_what_is_spoilt(data):
    rows = (data / "results" / "runs.csv").read_text("utf-8")
    (data / "results" / "runs.csv").write_text(rows.replace(",two-part,", ",two-part,extra,", 1), "utf-8")
    assert not valid(data).valid


def test_every_column_has_type_unit_and_meaning(out):
    package = json.loads((out / NAME / "datapackage.json").read_text("utf-8"))
    dictionary = (out / NAME / "README.md").read_text("utf-8")
    tables = [one for one in package["resources"] if "schema" in one]
    assert len(tables) == 11
    for one in tables:
        with (out / NAME / one["path"]).open(encoding="utf-8", newline="") as opened:
            assert next(csv.reader(opened)) == [field["name"] for field in one["schema"]["fields"]]
        assert f"### {one['path']}" in dictionary
        names = {field["name"] for field in one["schema"]["fields"]}
        for field in one["schema"]["fields"]:
            assert len(field["description"]) > 3
            assert f"| `{field['name']}` |" in dictionary
            assert field["type"] == "string" or field["unit"]
            if ending := re.search(r"_(N|s|Hz)$", field["name"]):
                assert field["unit"] == ending[1]
            stem = re.sub(r"_(N|s)$", "", field["name"])
            if "best estimate" in field["description"]:  # a value never stands without its uncertainty
                tail = field["name"].removeprefix(stem)
                assert {f"{stem}_u{tail}", f"{stem}_low95{tail}", f"{stem}_high95{tail}"} <= names
    assert package["licenses"] == [
        {
            "name": "Apache-2.0",
            "title": "Apache License 2.0",
            "path": "https://www.apache.org/licenses/LICENSE-2.0",
        }
    ]
    assert set(package["software"]) == {"haulwright", "python", "numpy", "scipy"}


def test_logs_go_out_byte_for_byte_and_nothing_private(given, out):
    names = {path.relative_to(out / NAME).as_posix() for path in (out / NAME).rglob("*") if path.is_file()}
    own = {one for one in names if one.startswith("campaign/")}
    assert own == {
        f"campaign/{path.relative_to(given).as_posix()}"
        for path in given.rglob("*")
        if path.is_file() and path.name not in ("README.md", "private letter.txt")
    }
    for one in own:
        assert (out / NAME / one).read_bytes() == (given / one.removeprefix("campaign/")).read_bytes()
    home = str(Path.home())
    for one in names:
        content = (out / NAME / one).read_bytes()
        for secret in (str(given), given.name, str(out), os.environ.get("USER") or home):
            assert secret == "root" or secret.encode() not in content, (one, secret)
    assert not (given / "results").exists()  # nothing is written into the campaign


def test_the_cautions_and_the_recipe_are_there(out):
    told = (out / NAME / "README.md").read_text("utf-8")
    assert "Local codes, the makers' ratings and licensed people come before any number here." in told
    assert "Invented demo data" in told
    recipe = (out / NAME / "RECOMPUTE.md").read_text("utf-8")
    for command in re.findall(r"^    haulwright (\w+) (\w+)", recipe, re.MULTILINE):
        assert main([*command, "--help"]) == 0
    assert "haulwright publish recompute ." in recipe


def test_what_is_read_by_people_is_what_it_was(out):
    """Golden files; HAULWRIGHT_GOLDEN=write writes them anew, to be looked at before they are kept."""
    package = json.loads((out / NAME / "datapackage.json").read_text("utf-8"))
    assert package.pop("software")
    for one in package[
        "resources"
    ]:  # numbers differ in their last bits from machine to machine, and so do hashes
        if one["path"].startswith("results/") or one["path"] == "RECOMPUTE.md":
            del one["bytes"], one["hash"]
    recipe = (out / NAME / "RECOMPUTE.md").read_text("utf-8")
    made = {
        "README.md": (out / NAME / "README.md").read_text("utf-8"),
        "RECOMPUTE.md": re.sub(r"(?m)^- \w+ [\d.]+\n", "", recipe),
        "datapackage.json": json.dumps(package, ensure_ascii=False, indent=1) + "\n",
    }
    for name, text in made.items():
        if os.environ.get("HAULWRIGHT_GOLDEN") == "write":
            GOLDEN.mkdir(parents=True, exist_ok=True)
            (GOLDEN / name).write_text(text, encoding="utf-8", newline="")
        assert text == (GOLDEN / name).read_text("utf-8"), name


def test_the_same_bytes_again_from_anywhere(given, out, tmp_path):
    other = tmp_path / "other place"
    shutil.copytree(given, other)
    workflows.publish_bundle(other, tmp_path / "again")
    workflows.publish_bundle(other, tmp_path / "again")  # over what was made before
    for path in sorted(out.rglob("*")):
        if path.is_file():
            assert (tmp_path / "again" / path.relative_to(out)).read_bytes() == path.read_bytes(), path.name
    with zipfile.ZipFile(out / f"{NAME}.zip") as archive:
        assert {one.date_time for one in archive.infolist()} == {(1980, 1, 1, 0, 0, 0)}
        packed = {one: archive.read(one) for one in archive.namelist()}
    assert packed == {
        f"{NAME}/{path.relative_to(out / NAME).as_posix()}": path.read_bytes()
        for path in (out / NAME).rglob("*")
        if path.is_file()
    }


def test_files_of_the_users_are_never_overwritten(given, tmp_path):
    (tmp_path / NAME).mkdir()
    (tmp_path / NAME / "mine.txt").write_text("mine", "utf-8")
    assert refused(workflows.publish_bundle, given, tmp_path).code == "EXISTS"
    assert [path.name for path in tmp_path.rglob("*")] == [NAME, "mine.txt"]


def test_a_licence_is_needed_or_its_lack_is_said(given, tmp_path):
    folder = tmp_path / "campaign"
    shutil.copytree(given, folder)
    spec = folder / "campaign.yaml"
    spec.write_text(re.sub("^licence:.*\n", "", spec.read_text("utf-8"), flags=re.MULTILINE), "utf-8")
    wrong = refused(workflows.publish_bundle, folder, tmp_path / "out")
    assert wrong.code == "LICENCE"
    assert "--licence" in wrong.message
    assert not list((tmp_path / "out").glob("*")) if (tmp_path / "out").exists() else True
    told = workflows.publish_bundle(folder, tmp_path / "out", licence="none")
    package = json.loads((tmp_path / "out" / NAME / "datapackage.json").read_text("utf-8"))
    assert "licenses" not in package
    assert "No licence is stated: nobody but its owner" in (tmp_path / "out" / NAME / "README.md").read_text(
        "utf-8"
    )
    assert any("No licence" in one.message for one in told.notices)
    workflows.publish_bundle(folder, tmp_path / "out", licence="cc-by-4.0")
    package = json.loads((tmp_path / "out" / NAME / "datapackage.json").read_text("utf-8"))
    assert package["licenses"][0]["name"] == "CC-BY-4.0"
    assert valid(tmp_path / "out" / NAME).valid


def test_a_path_of_a_machine_in_the_users_own_files_is_told(given, tmp_path):
    folder = tmp_path / "campaign"
    shutil.copytree(given, folder)
    path = "/".join(("", "home", "someone", "logs", "a.csv"))
    with (folder / "campaign.yaml").open("a", encoding="utf-8") as spec:
        spec.write(f"# copied from {path}\n")
    told = workflows.publish_bundle(folder, tmp_path / "out")
    assert [one.message for one in told.notices] == [
        f"campaign.yaml names a path of a machine ({path}): it is handed out as it is."
    ]


# reckoned again


def run(words, cwd):
    """Run the command line in a process of its own, with no home and no setting of ours."""
    home = cwd / "home"
    home.mkdir(exist_ok=True)
    kept = {key: os.environ[key] for key in ("PATH", "SYSTEMROOT", "LANG") if key in os.environ}
    env = {**kept, "HOME": str(home), "USERPROFILE": str(home), "PYTHONUTF8": "1"}
    done = subprocess.run(
        [sys.executable, "-m", "haulwright", *words],
        cwd=cwd,
        env=env,
        capture_output=True,
        text=True,
        timeout=600,
    )
    return done.returncode, done.stdout + done.stderr


def test_a_stranger_with_the_zip_alone_reckons_every_number_again(out, tmp_path):
    """In an empty folder, by the public commands alone; equal to the last digit."""
    stranger = tmp_path / "stranger"
    stranger.mkdir()
    shutil.copy(out / f"{NAME}.zip", stranger)
    code, told = run(["publish", "recompute", f"{NAME}.zip", "--json"], stranger)
    record = json.loads(told)
    assert code == 0
    assert record["numbers"] > 1000
    assert (record["same"], record["last_bits"], record["different"]) == (record["numbers"], 0, 0)
    assert record["software"] == record["here"]
    with zipfile.ZipFile(stranger / f"{NAME}.zip") as archive:
        archive.extractall(stranger)
    code, told = run(["campaign", "measure", f"{NAME}/campaign", "--out", "again"], stranger)
    assert code == 0, told
    for name in ("campaign.json", "devices.toml"):
        assert (stranger / "again" / name).read_bytes() == (stranger / NAME / "results" / name).read_bytes()
    code, told = run(["publish", "recompute", NAME], stranger)
    assert code == 0
    assert "0 different" in told


def test_what_a_reader_measures_in_the_folder_spoils_nothing(data, capsys):
    assert main(["campaign", "measure", str(data / "campaign"), "--jobs", "1"]) == 0
    assert main(["publish", "recompute", str(data), "--jobs", "1"]) == 0
    assert "0 different" in capsys.readouterr().out


def test_every_printed_number_is_among_those_compared(out):
    """Counted here by other means: numbers in the JSON record, in the tables and in the devices file."""
    folder = out / NAME / "results"

    def count(value):
        if isinstance(value, dict):
            return sum(count(one) for key, one in value.items() if key not in ("haulwright", "version"))
        if isinstance(value, list):
            return sum(map(count, value))
        return int(isinstance(value, int | float) and not isinstance(value, bool))

    import tomllib

    n = count(json.loads((folder / "campaign.json").read_text("utf-8")))
    n += count(tomllib.loads((folder / "devices.toml").read_text("utf-8")))
    for path in folder.glob("*.csv"):
        with path.open(encoding="utf-8", newline="") as opened:
            for row in csv.reader(opened):
                n += sum(bool(re.fullmatch(r"-?\d+(\.\d+)?(e-?\d+)?", cell)) for cell in row)
    assert workflows.recompute_bundle(out / NAME).numbers == n


def test_the_first_number_that_differs_is_named(data, capsys):
    """A result changed by someone who also mends the hashes."""
    record = json.loads((data / "results" / "campaign.json").read_text("utf-8"))
    before = record["runs"][2]["advantage"]["value"]
    record["runs"][2]["advantage"]["value"] = before * 1.001
    (data / "results" / "campaign.json").write_text(json.dumps(record), "utf-8")
    rows = (data / "results" / "devices.csv").read_text("utf-8").splitlines()
    rows[1] = rows[1].replace(",1.09", ",1.19", 1)
    (data / "results" / "devices.csv").write_text("\n".join(rows) + "\n", "utf-8")
    signed(data)
    assert main(["publish", "recompute", str(data), "--jobs", "1"]) == 1
    told = capsys.readouterr().out
    assert "2 different" in told
    assert (
        f"results/campaign.json: runs[2].advantage.value: handed out {before * 1.001!r}, here {before!r}"
        in told
    )
    assert "results/devices.csv: row 1, k: handed out 1.19" in told
    capsys.readouterr()


def test_a_table_that_is_gone_or_longer_is_different(data):
    told = json.loads((data / "datapackage.json").read_text("utf-8"))
    told["resources"] = [one for one in told["resources"] if one["path"] != "results/cells.csv"]
    (data / "results" / "cells.csv").unlink()
    (data / "datapackage.json").write_text(json.dumps(told), "utf-8")
    with (data / "results" / "stretches.csv").open("a", encoding="utf-8") as table:
        table.write("two-a1,1.0,2.0,me,because\n")
    signed(data)
    found = workflows.recompute_bundle(data)
    assert {one.where.partition(":")[0] for one in found.differences} == {
        "results/cells.csv",
        "results/stretches.csv",
    }


def test_last_bits_are_counted_apart():
    one = {"a": [1.0, 2.0, None, "x", True], "version": "1"}
    other = {"a": [1.0, 2.0000000000000004, None, "x", True], "version": "2"}
    counted = compare_trees(one, other, "r")
    assert (counted.numbers, counted.same, counted.last_bits, counted.differences) == (2, 1, 1, ())
    assert compare_trees({"a": 1}, {"a": True}, "r").differences
    assert compare_trees({"a": None}, {"a": 0.0}, "r").differences
    assert compare_trees({"a": 1}, {}, "r").differences[0].here == "nothing"
    assert compare_tables("a,b\n1,\n", "a,b\n1.0,\n", "t").differences == ()
    assert compare_tables("a\n1\n", "a\n1\n2\n", "t").differences[0].where == "t: row 2, a"


def test_another_book_on_another_machine_gives_the_same_numbers(out, tmp_path, capsys):
    """Imported from the zip into an empty book, written out again, measured: every number is the same."""
    book = str(tmp_path / "other.sqlite")
    assert main(["book", "new", book]) == 0
    assert main(["book", "import", str(out / f"{NAME}.zip"), "--book", book]) == 0
    assert main(["book", "import", str(out / NAME), "--book", book]) == 0  # the folder holds nothing new
    assert "nothing new" in capsys.readouterr().out
    assert main(["book", "export", "meadow (invented)", "--book", book, "--out", str(tmp_path / "back")]) == 0
    again = workflows.measure_campaign(tmp_path / "back").to_dict()
    first = json.loads((out / NAME / "results" / "campaign.json").read_text("utf-8"))
    assert first["made"]["inputs"].pop("folder") == "campaign"
    assert again["made"]["inputs"].pop("folder") == "back"
    assert json.loads(json.dumps(again)) == first


# hostile


def test_open_data_sent_to_the_server_is_kept(out, tmp_path):
    """As an archive, and as the files of its folder."""
    where = Where(at=str(tmp_path / "sent.sqlite"))
    workflows.new_book(where.at)
    sent = tmp_path / "zip"
    sent.mkdir()
    shutil.copy(out / f"{NAME}.zip", sent)
    assert [one.name for one in bring_in(where, sent).documents] == ["meadow (invented)"]
    shutil.copytree(out / NAME, tmp_path / "files" / NAME)
    assert [one.outcome for one in bring_in(where, tmp_path / "files").documents] == ["unchanged"]


def spoil_log(data):
    log = next((data / "campaign" / "logs").iterdir())
    log.write_bytes(log.read_bytes().replace(b"1", b"2", 1))


def lose_log(data):
    next((data / "campaign" / "logs").iterdir()).unlink()


def add_decision(data):
    (data / "campaign" / "logs" / "more.csv").write_text("x", "utf-8")


def link_log(data):
    log = next((data / "campaign" / "logs").iterdir())
    log.rename(data.parent / "outside.csv")
    log.symlink_to(data.parent / "outside.csv")


def lead_out(data):
    told = json.loads((data / "datapackage.json").read_text("utf-8"))
    told["resources"][0]["path"] = "../../outside"
    (data / "datapackage.json").write_text(json.dumps(told), "utf-8")


def no_hash(data):
    told = json.loads((data / "datapackage.json").read_text("utf-8"))
    del told["resources"][0]["hash"]
    (data / "datapackage.json").write_text(json.dumps(told), "utf-8")


def of_something_else(data):
    (data / "datapackage.json").write_text('{"name": "x", "resources": []}', "utf-8")


def no_json(data):
    (data / "datapackage.json").write_text("{" * 5000, "utf-8")


def no_descriptor(data):
    (data / "datapackage.json").unlink()


@pytest.mark.parametrize(
    ("spoil", "code", "words"),
    [
        (spoil_log, "DAMAGED", "SHA-256 is another"),
        (lose_log, "DAMAGED", "is not there"),
        (add_decision, "DAMAGED", "does not speak of it"),
        (link_log, "LINK", "a link"),
        (lead_out, "DAMAGED", "../../outside is not there"),
        (no_hash, "SYNTAX", "hash sha256:"),
        (of_something_else, "NOT_OPEN_DATA", "not a campaign's open data"),
        (no_json, "SYNTAX", "not readable as JSON"),
        (no_descriptor, "NOT_OPEN_DATA", "no datapackage.json"),
    ],
)
def test_open_data_that_is_not_what_it_says_is_refused(data, spoil, code, words):
    spoil(data)
    wrong = refused(workflows.recompute_bundle, data)
    assert (wrong.code, words in wrong.message) == (code, True), wrong.message
    assert str(data.parent) not in wrong.message


@pytest.mark.parametrize(
    ("name", "code"),
    [
        ("../outside.csv", "NAME"),
        ("/etc/outside.csv", "NAME"),
        (f"{NAME}/campaign/../../../outside.csv", "NAME"),
        (f"{NAME}\\..\\outside.csv", "NAME"),
        ("C:/outside.csv", "NAME"),
    ],
)
def test_a_zip_that_leads_out_of_its_folder_is_refused(out, tmp_path, name, code):
    evil = tmp_path / "evil.zip"
    shutil.copy(out / f"{NAME}.zip", evil)
    with zipfile.ZipFile(evil, "a") as archive:
        archive.writestr(zipfile.ZipInfo(name), "x")
    for verb in (workflows.recompute_bundle, workflows.import_to_book):
        assert refused(verb, evil).code == code
    assert not list(tmp_path.rglob("outside.csv"))


def test_links_and_bombs_in_a_zip_are_refused(tmp_path):
    link = tmp_path / "link.zip"
    with zipfile.ZipFile(link, "w") as archive:
        info = zipfile.ZipInfo(f"{NAME}/datapackage.json")
        info.external_attr = 0o120777 << 16
        archive.writestr(info, "../../secret")
    assert refused(workflows.recompute_bundle, link).code == "LINK"
    bomb = tmp_path / "bomb.zip"
    with zipfile.ZipFile(bomb, "w", zipfile.ZIP_DEFLATED) as archive:
        for n in range(6):
            archive.writestr(f"{NAME}/{n}", bytes(190_000_000))
    assert refused(workflows.recompute_bundle, bomb).code == "TOO_LARGE"
    torn = tmp_path / "torn.zip"
    torn.write_bytes(b"PK\x03\x04 and no more")
    assert refused(workflows.recompute_bundle, torn).code == "ARCHIVE"
    assert refused(workflows.recompute_bundle, tmp_path / "none.zip").code == "NO_FILE"
    assert refused(workflows.recompute_bundle, tmp_path / "none").code == "NO_FILE"


def test_a_spoilt_log_is_not_taken_into_a_book(data, tmp_path):
    spoil_log(data)
    book = tmp_path / "b.sqlite"
    workflows.new_book(book)
    assert refused(workflows.import_to_book, data, book=book).code == "DAMAGED"


def test_hostile_texts_break_neither_tables_nor_pages(tmp_path):
    """Line breaks, bars, quotes and formulas in what people write."""
    folder = tmp_path / "campaign"
    shutil.copytree(CAMPAIGN, folder, ignore=shutil.ignore_patterns("results"))
    why = 'a "b"; c|d, <script> =1+1 \\ end'
    (folder / "decisions.yaml").write_text(
        "exclusions:\n  - {run: two-b2, who: '@who', when: 2025-06-03, why: '" + why + "'}\n", "utf-8"
    )
    workflows.publish_bundle(folder, tmp_path / "out")
    made = tmp_path / "out" / NAME
    assert valid(made).valid
    with (made / "results" / "excluded.csv").open(encoding="utf-8", newline="") as opened:
        assert list(csv.reader(opened))[1] == ["two-b2", why, "@who", "2025-06-03"]
    assert workflows.recompute_bundle(made).ok


def test_rigs_that_lie_elsewhere_stay_there(tmp_path):
    """A run sheet that names files outside its folder, or none: those runs give no number, here as there."""
    folder = tmp_path / "deep" / "campaign"
    shutil.copytree(CAMPAIGN, folder, ignore=shutil.ignore_patterns("results"))
    (tmp_path / "secret.yaml").write_text("secret", "utf-8")
    (folder / "rigs").mkdir()
    (folder / "rigs" / "wrong.yaml").write_text("lines: 3\n", "utf-8")
    sheet = (folder / "runs.csv").read_text("utf-8")
    for run_, rig in (
        ("two-a1", "../../secret.yaml"),
        ("two-b1", "rigs/none.yaml"),
        ("two-b2", "rigs/wrong.yaml"),
    ):
        sheet = re.sub(rf"(?m)^({run_},[^,]*),[^,]*", rf"\g<1>,{rig}", sheet)
    (folder / "logs" / "sub").mkdir()
    (folder / "runs.csv").write_text(sheet.replace("meadow-series.csv", "sub/../meadow-series.csv"), "utf-8")
    assert refused(workflows.publish_bundle, folder, tmp_path / "out").code == "NO_LOG"
    assert list((tmp_path / "out").iterdir()) == []
    (folder / "runs.csv").write_text(sheet, "utf-8")
    workflows.publish_bundle(folder, tmp_path / "out")
    made = tmp_path / "out" / NAME
    names = {path.relative_to(made).as_posix() for path in made.rglob("*") if path.is_file()}
    assert "campaign/rigs/wrong.yaml" in names
    assert "campaign/logs/meadow-series.csv" in names
    assert not [one for one in names if "secret" in one or ".." in one]
    assert not list((tmp_path / "out").glob("secret*"))
    for path in made.rglob("*"):
        assert not path.is_file() or str(tmp_path).encode() not in path.read_bytes()
    assert valid(made).valid
    found = workflows.recompute_bundle(made)
    assert found.ok, found.differences
    with (made / "results" / "excluded.csv").open(encoding="utf-8", newline="") as opened:
        assert [row["run"] for row in csv.DictReader(opened)] == ["two-a1", "two-b1", "two-b2"]


def test_tables_hold_what_the_record_holds(out):
    campaign = workflows.measure_campaign(out / NAME / "campaign", keep=False)
    for table in tables_of(campaign):
        assert (out / NAME / table.path).read_text("utf-8") == table.text()
    with (out / NAME / "results" / "runs.csv").open(encoding="utf-8", newline="") as opened:
        rows = {row["run"]: row for row in csv.DictReader(opened)}
    for run_ in campaign.runs:
        row = rows[run_.run]
        assert float(row["advantage"]) == run_.advantage.value
        assert float(row["advantage_u"]) == run_.advantage.u
        assert (float(row["winch_share_low95"]), float(row["winch_share_high95"])) == (
            run_.winch_share.lo,
            run_.winch_share.hi,
        )
