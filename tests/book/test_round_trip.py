"""What goes into a book comes out byte for byte; twice the same is kept once; nothing is ever overwritten."""

import hashlib
import json
import re
import shutil
import uuid
from datetime import datetime
from functools import partial
from pathlib import PurePosixPath

import pytest
from frictionless import Package
from hypothesis import given, settings
from hypothesis import strategies as st

import haulwright as hw
from haulwright.book.deposit import Deposit, GivenFile
from haulwright.book.keeping import keep
from haulwright.book.names import file_name
from haulwright.book.opening import opened
from haulwright.book.place import place_of
from haulwright.book.terms import Terms
from haulwright.errors import Refusal

MEADOW = "meadow (invented)"
FOREIGN = {
    "logs/ümläut and spaces.csv": b"\xff\xfe\x00binary\r\n",
    "notes/empty.txt": b"",
    "notes/=1+1.csv": b"=1+1,@SUM(A1),<script>alert(1)</script>\n",
    "photos/marking.jpg": bytes(range(256)) * 40,
}


def add_foreign(folder):
    """Add files that no reader knows, a folder with nothing in it, and another line end."""
    for name, content in FOREIGN.items():
        (folder / name).parent.mkdir(exist_ok=True)
        (folder / name).write_bytes(content)
    (folder / "films").mkdir()
    spec = folder / "campaign.yaml"
    spec.write_bytes(spec.read_bytes() + b"# a remark of the user's, without a line end: \xe2\x86\x92")


def refused(code, call, *args, **choices):
    with pytest.raises(Refusal) as told:
        call(*args, **choices)
    assert told.value.code == code, told.value
    return told.value


def test_a_campaign_comes_back_byte_for_byte(book, campaign, tmp_path, tree):
    add_foreign(campaign)
    before = tree(campaign)
    record = hw.import_to_book(campaign, book=book, by="Kim")
    assert tree(campaign) == before
    assert [one.outcome for one in record.documents] == ["new"]
    assert hw.import_to_book(campaign, book=book).documents[0].outcome == "unchanged"
    files = hw.export_book(MEADOW, tmp_path / "back", book=book)
    assert tree(tmp_path / "back") == before
    assert len(files.files) == len([one for one in before.values() if one is not None])
    assert before["films"] is None
    hw.export_book(MEADOW, tmp_path / "back", book=book)  # the same again is not in the way
    assert tree(tmp_path / "back") == before


def test_one_file_is_kept_once_whatever_holds_it(book, campaign, tmp_path):
    hw.import_to_book(campaign, book=book)
    held = hw.show_book(book)
    shutil.copytree(campaign, tmp_path / "second")
    (tmp_path / "second" / "logs" / "copy.csv").write_bytes(
        (campaign / "logs" / "meadow-two-b1.csv").read_bytes()
    )
    record = hw.import_to_book(tmp_path / "second", book=book, name="the same under another name")
    assert record.documents[0].bytes_new == 0
    after = hw.show_book(book)
    assert (after.bytes, after.counts["files"]) == (held.bytes, held.counts["files"])
    assert after.counts["campaigns"] == 2


def test_a_changed_folder_is_a_new_version_and_the_earlier_stays(book, campaign, tmp_path, tree):
    first = tree(campaign)
    hw.import_to_book(campaign, book=book)
    runs = campaign / "runs.csv"
    runs.write_text(runs.read_text("utf-8") + "later,2025-06-09,two-part,puck-A,later.csv,,,,,,,\n", "utf-8")
    (campaign / "README.md").unlink()
    (campaign / "sketch.txt").write_bytes(b"x")
    record = hw.import_to_book(campaign, book=book)
    [one] = record.documents
    assert (one.outcome, one.version) == ("changed", 2)
    assert (one.files_new, one.files_changed, one.files_gone) == (
        ("sketch.txt",),
        ("runs.csv",),
        ("README.md",),
    )
    words = " ".join(notice.message for notice in record.notices)
    assert "README.md is not in it any more; the version before still has it" in words
    assert "1 logs of the run sheet are not there yet (logs/later.csv)" in words
    second = tree(campaign)
    for version, wanted in ((1, first), (2, second), (None, second)):
        hw.export_book(MEADOW, tmp_path / f"v{version}", book=book, version=version)
        assert tree(tmp_path / f"v{version}") == wanted
    assert hw.show_book(book).counts["runs"] == 9
    refused("UNKNOWN_VERSION", hw.export_book, MEADOW, tmp_path / "v9", book=book, version=9)


def test_back_to_an_earlier_state_is_a_version_too(book, campaign):
    sheet = campaign / "decisions.yaml"
    before = sheet.read_bytes()
    for content, version in ((before, 1), (before + b"# x\n", 2), (before, 3), (before, 3)):
        sheet.write_bytes(content)
        assert hw.import_to_book(campaign, book=book).documents[0].version == version


def test_what_is_made_anew_is_left_out_and_told(book, campaign, tmp_path, tree):
    before = tree(campaign)
    (campaign / "results" / "cache").mkdir(parents=True)
    (campaign / "results" / "cache" / "run.json").write_bytes(b"{}")
    record = hw.import_to_book(campaign, book=book)
    assert record.left_out == ("results/cache",)
    hw.export_book(MEADOW, tmp_path / "back", book=book)
    assert tree(tmp_path / "back") == before


def test_all_goes_out_and_into_another_book_with_every_version(book, campaign, examples, tmp_path, tree):
    hw.import_to_book(campaign, book=book)
    (campaign / "README.md").write_text("changed", "utf-8")
    hw.import_to_book(campaign, book=book)
    for path in (
        examples / "kit.yaml",
        examples / "club-kit.yaml",
        *sorted((examples / "pulls").glob("*.yaml")),
    ):
        hw.import_to_book(path, book=book)
    out = tmp_path / "all"
    hw.export_book("all", out, book=book)
    assert tree(out / "campaigns" / "campaign") == tree(campaign)
    other = str(tmp_path / "other.sqlite")
    hw.new_book(other)
    record = hw.import_to_book(out, book=other)
    assert {one.outcome for one in record.documents} == {"new"}
    assert {one.outcome for one in hw.import_to_book(out, book=other).documents} == {"unchanged"}
    hw.export_book("all", tmp_path / "again", book=other)
    ours, theirs = tree(out), tree(tmp_path / "again")
    for held in (ours, theirs):
        held.pop("datapackage.json")  # has the hash of the index in it
        index = json.loads(held.pop("book.json"))
        for document in index["documents"]:
            for version in document["versions"]:
                version.pop("at")
        held["index"] = index
    assert ours == theirs
    assert any(path.startswith("earlier/1/campaigns/campaign/") for path in ours)


def test_what_goes_out_is_a_data_package(book, campaign, examples, tmp_path):
    """Data Package, version 1 (specs.frictionlessdata.io): Descriptor; Resource information; Security; Resource hash."""
    (campaign / "Notes of the Day.txt").write_text("a", "utf-8")
    (campaign / "notes-of-the-day.txt").write_text("b", "utf-8")
    hw.import_to_book(campaign, book=book)
    (campaign / "README.md").write_text("changed", "utf-8")
    hw.import_to_book(campaign, book=book)
    hw.import_to_book(examples / "kit.yaml", book=book)
    out = tmp_path / "all"
    hw.export_book("all", out, book=book)
    package = json.loads((out / "datapackage.json").read_text("utf-8"))
    assert package["profile"] == "data-package"
    assert re.fullmatch(r"[-a-z0-9._/]+", package["name"])
    assert datetime.fromisoformat(package["created"]).tzinfo is not None
    resources = package["resources"]
    assert len({one["name"] for one in resources}) == len(resources) > 20
    for one in resources:
        assert re.fullmatch(r"[-a-z0-9._/]+", one["name"])
        path = PurePosixPath(one["path"])
        assert not path.is_absolute()  # "absolute paths and relative parent paths MUST NOT be used"
        assert not {"..", "."} & set(path.parts)
        content = (out / one["path"]).read_bytes()
        assert one["bytes"] == len(content)
        assert one["hash"] == "sha256:" + hashlib.sha256(content).hexdigest()
    report = Package(
        str(out / "datapackage.json")
    ).validate()  # frictionless, the reference library of the standard
    assert report.valid, report.flatten(["name", "type", "message"])
    log = next(path for path in out.rglob("*.csv") if "logs" in path.parts)
    whole = log.read_bytes()
    log.write_bytes(whole + b"\n")
    assert not Package(str(out / "datapackage.json")).validate().valid
    log.write_bytes(whole)
    files = {path.relative_to(out).as_posix() for path in out.rglob("*") if path.is_file()}
    assert {one["path"] for one in resources} == files - {"datapackage.json"}
    media = {PurePosixPath(one["path"]).suffix: one.get("mediatype") for one in resources}
    assert (media[".csv"], media[".yaml"], media[".json"]) == (
        "text/csv",
        "application/yaml",
        "application/json",
    )
    hw.export_book("all", tmp_path / "again", book=book)
    assert (tmp_path / "again" / "datapackage.json").read_bytes() == (out / "datapackage.json").read_bytes()


def test_two_books_that_went_ways_of_their_own_are_told(tmp_path, campaign):
    books = [str(tmp_path / name) for name in ("a.sqlite", "b.sqlite")]
    for at, words in zip(books, ("first", "other"), strict=True):
        hw.new_book(at)
        for text in ("common", words):
            (campaign / "README.md").write_text(text, "utf-8")
            hw.import_to_book(campaign, book=at)
    hw.export_book("all", tmp_path / "out", book=books[1])
    record = hw.import_to_book(tmp_path / "out", book=books[0])
    assert (record.documents[0].version, record.documents[0].apart) == (3, True)
    assert "went another way" in record.notices[0].message
    kept = tmp_path / "kept"
    for number, text in enumerate(("common", "first", "other"), 1):
        hw.export_book(MEADOW, kept / str(number), book=books[0], version=number)
        assert (kept / str(number) / "README.md").read_text("utf-8") == text


def test_another_thing_of_the_same_name_is_refused_in_words(book, tmp_path):
    paths = []
    for n, piece in enumerate(("S-1", "S-2")):
        paths.append(tmp_path / f"kit{n}.yaml")
        paths[-1].write_text(f"kit: van\nitems: [{{id: {piece}, kind: damper}}]\n", "utf-8")
    hw.import_to_book(paths[0], book=book)
    told = refused("SAME_NAME", hw.import_to_book, paths[1], book=book)
    assert "no piece in common" in told.message
    assert hw.show_book(book).counts["items"] == 1
    assert hw.import_to_book(paths[1], book=book, name="the other van").documents[0].outcome == "new"
    assert hw.import_to_book(paths[1], book=book, name="van").documents[0].version == 2
    held = {one.name: one.stored_as for one in hw.show_book(book).documents}
    assert held == {"van": "kit0.yaml", "the other van": "kit1.yaml"}


def test_two_documents_of_one_file_name_go_out_side_by_side(book, tmp_path, tree):
    for n in range(3):
        path = tmp_path / str(n) / "Kit.yaml"
        path.parent.mkdir()
        path.write_text(f"kit: van {n}\nitems: [{{id: S-{n}, kind: damper}}]\n", "utf-8")
        hw.import_to_book(path, book=book)
    hw.export_book("all", tmp_path / "out", book=book)
    found = tree(tmp_path / "out")
    assert sum(path.startswith("kits/") for path in found) == 3


def test_a_pull_comes_with_what_was_seen_on_it(book, examples, tmp_path, tree):
    for name in ("kit.yaml", "pulls/rutted-clearing.yaml"):
        (tmp_path / name).parent.mkdir(exist_ok=True)
        shutil.copy(examples / name, tmp_path / name)
    pull = tmp_path / "pulls" / "rutted-clearing.yaml"
    seen = hw.record_seen(pull, line="9 kN", anchor="17 kN", by="Kim", rig="two-part")
    hw.import_to_book(pull.with_name("rutted-clearing.seen.yaml"), book=book)
    [kept] = hw.show_book(book).seen
    assert kept.who == "Kim"
    assert kept.seen_N[1] == pytest.approx(seen.seen_N.value, rel=1e-3)
    assert kept.seen_N[0] <= kept.seen_N[1] <= kept.seen_N[2]
    assert kept.predicted_N
    hw.export_book("Wagon in the rutted clearing", tmp_path / "out", book=book)
    assert tree(tmp_path / "out") == tree(pull.parent)


def test_a_file_in_the_way_is_never_overwritten(book, campaign, tmp_path, tree):
    hw.import_to_book(campaign, book=book)
    out = tmp_path / "out"
    (out / "logs").mkdir(parents=True)
    (out / "runs.csv").write_text("mine", "utf-8")
    refused("EXISTS", hw.export_book, MEADOW, out, book=book)
    assert tree(out) == {"runs.csv": b"mine", "logs": None}
    (out / "runs.csv").unlink()
    (out / "logs").rmdir()
    (tmp_path / "elsewhere").mkdir()
    (out / "logs").symlink_to(tmp_path / "elsewhere")
    refused("EXISTS", hw.export_book, MEADOW, out, book=book)
    assert tree(tmp_path / "elsewhere") == {}


def test_a_refused_import_keeps_nothing(book, campaign):
    held = hw.show_book(book).to_dict()
    (campaign / "decisions.yaml").write_text(
        "exclusions: [{run: nobody, who: a, when: 2025-06-03, why: b}]\n"
    )
    refused("UNKNOWN_RUN", hw.import_to_book, campaign, book=book)
    assert hw.show_book(book).to_dict() == held


def test_bytes_that_are_not_those_hashed_are_refused(book):
    given = GivenFile("kit.yaml", "0" * 64, 3, lambda: b"abc")
    with opened(place_of(book)) as found:
        refused("CHANGING", keep, found, [[Deposit("kit", "k", "kit.yaml", (given,))]], Terms("kit.yaml"))
    assert hw.show_book(book).counts["kits"] == 0


def test_names_that_the_book_does_not_have(book, campaign, tmp_path):
    refused("EMPTY_BOOK", hw.export_book, "all", tmp_path / "out", book=book)
    refused("UNKNOWN_DOCUMENT", hw.export_book, "nobody", tmp_path / "out", book=book)
    hw.import_to_book(campaign, book=book, name="kit")
    (tmp_path / "kit.yaml").write_text("kit: kit\nitems: [{id: S-1, kind: damper}]\n", "utf-8")
    hw.import_to_book(tmp_path / "kit.yaml", book=book)
    told = refused("UNKNOWN_DOCUMENT", hw.export_book, "kit", tmp_path / "out", book=book)
    assert "campaign:kit and kit:kit" in told.message
    hw.export_book("kit:kit", tmp_path / "out", book=book)
    assert (tmp_path / "out" / "kit.yaml").is_file()


NAMES = st.text("abcXYZ äö漢-_.=+@[]'() ", min_size=1, max_size=12).map(file_name)
TREES = st.dictionaries(
    st.lists(NAMES, min_size=1, max_size=3).map("/".join), st.binary(max_size=200), max_size=6
)


def may_be_a_tree(files):
    """Whether these paths can lie in one folder on every system: no two are one name, no file is a folder too."""
    folded = {path.casefold() for path in files}
    above = {path.casefold().rpartition("/")[0] for path in files}
    for path in [*above]:
        above |= {path[:n] for n, sign in enumerate(path) if sign == "/"}
    parts = [[path.split("/")[:n] for n in range(1, path.count("/") + 2)] for path in files]
    names = {"/".join(part) for many in parts for part in many}
    return (
        len(folded) == len(files) and not folded & above and len({n.casefold() for n in names}) == len(names)
    )


@pytest.fixture(scope="module")
def one_book(tmp_path_factory):
    at = tmp_path_factory.mktemp("one") / "book.sqlite"
    hw.new_book(at)
    return at


@given(st.lists(TREES.filter(may_be_a_tree), min_size=1, max_size=4))
@settings(max_examples=60, deadline=None)
def test_any_files_in_any_versions_come_back(one_book, tmp_path_factory, states):
    name, kept = uuid.uuid4().hex, []
    for files in states:
        given_files = tuple(
            GivenFile(path, hashlib.sha256(content).hexdigest(), len(content), partial(bytes, content))
            for path, content in files.items()
        )
        with opened(place_of(one_book)) as found:
            deposit = Deposit("campaign", name, name, given_files or (), () if files else ("empty",))
            [told] = keep(found, [[deposit]], Terms(name))
        if not kept or kept[-1] != files:
            kept.append(files)
        assert told.version == len(kept)
    for version, files in enumerate(kept, 1):
        out = tmp_path_factory.mktemp("out")
        hw.export_book(name, out, book=one_book, version=version)
        found_files = {p.relative_to(out).as_posix(): p.read_bytes() for p in out.rglob("*") if p.is_file()}
        assert found_files == files
