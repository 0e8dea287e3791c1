"""Documents changed within a book: each change a new version with who and why, none lost, none over another's."""

import io
import json
import os
import stat
import threading
import zipfile
from functools import partial
from pathlib import Path

import pytest

import haulwright as hw
from haulwright.kept import bringing, campaigns, documents, kits, pulls
from haulwright.kept.where import Where
from haulwright.kept.work_folder import campaign_folder
from haulwright.workflows import kept_campaign

KIT = "the wagon's own kit"
MEADOW = "meadow (invented)"
PNG = b"\x89PNG\r\n\x1a\n" + bytes(range(200))
JPEG = b"\xff\xd8\xff\xe0" + bytes(range(100))


@pytest.fixture
def own(place):
    """A book that is not there yet."""
    return Where(at=place)


@pytest.fixture
def with_kit(own, examples):
    documents.list_documents(own)  # it is made on first use
    hw.import_to_book(examples / "kit.yaml", book=own.at, by="A. Sample")
    return own


def refused(code, call, *words, **choices):
    with pytest.raises(hw.Refusal) as told:
        call(*words, **choices)
    assert told.value.code == code, told.value
    return told.value


def test_a_book_is_made_on_first_use(own):
    found = documents.list_documents(own)
    assert (found.book, found.documents) == ("own", ())
    assert hw.show_book(own.at).counts["versions"] == 0


def test_a_change_is_a_new_version_and_the_earlier_stays(with_kit):
    had = documents.read_document(with_kit, "kit", KIT)
    content = json.loads(json.dumps(had.content))
    content["items"][0]["note"] = "washed"
    new = documents.put_document(with_kit, "kit", KIT, content, by="Kim", why="mud", version=1)
    assert (new.version, new.outcome, new.content) == (2, "changed", content)
    assert [(one.by, one.why) for one in new.versions] == [("A. Sample", ""), ("Kim", "mud")]
    assert "# Invented: no piece, mark or person here is real." in new.text
    assert documents.read_document(with_kit, "kit", KIT, 1).text == had.text
    same = documents.put_document(with_kit, "kit", KIT, content, version=2)
    assert (same.version, same.outcome) == (2, "unchanged")


def test_a_change_of_what_has_changed_is_refused(with_kit):
    content = documents.read_document(with_kit, "kit", KIT).content
    documents.put_document(with_kit, "kit", KIT, {**content, "mbs_factor": 3}, version=1)
    told = refused(
        "CHANGED", documents.put_document, with_kit, "kit", KIT, {**content, "mbs_factor": 4}, version=1
    )
    assert "version 2, you changed 1" in told.message
    refused("CHANGED", documents.put_document, with_kit, "kit", KIT, content, version=None)
    refused("UNKNOWN_DOCUMENT", documents.put_document, with_kit, "kit", "nobody's", content, version=1)
    assert documents.read_document(with_kit, "kit", KIT).content["mbs_factor"] == 3


def test_of_many_changes_at_once_of_one_version_one_is_kept(with_kit):
    content = documents.read_document(with_kit, "kit", KIT).content
    told = []

    def change(number):
        try:
            told.append(
                documents.put_document(
                    with_kit, "kit", KIT, {**content, "mbs_factor": 2 + number}, version=1
                ).version
            )
        except hw.Refusal as refusal:
            told.append(refusal.code)

    threads = [threading.Thread(target=change, args=(n,)) for n in range(1, 5)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(map(str, told)) == ["2", "CHANGED", "CHANGED", "CHANGED"]


def test_what_a_reader_refuses_is_not_kept(with_kit):
    told = refused(
        "VALUE", documents.put_document, with_kit, "kit", "x", {"items": [{"id": "S-1", "kind": "shackel"}]}
    )
    assert "did you mean shackle?" in told.message
    assert told.line == 4
    refused("UNKNOWN_KEY", documents.put_document, with_kit, "pull", "x", {"vehicel": {}})
    refused("NO_LOAD", documents.put_document, with_kit, "rig", "x", {"lines": {}})
    refused("KIND", documents.put_document, with_kit, "devices", "x", {"devices": {}})
    refused("NAME", documents.put_document, with_kit, "kit", "a/b", {"items": []})
    assert len(documents.list_documents(with_kit).documents) == 1


def test_every_kind_is_made_and_read_again(own, examples):
    rig = {"anchors": {"oak": {}}, "load": {"name": "truck"}, "blocks": {"B": {"on": "oak"}}}
    rig |= {
        "lines": {"winch line": {"standing": "truck", "through": ["B"], "fall": "winch"}},
        "winch": {"on": "truck"},
    }
    cell = {"capacity": "3 t", "class": "0.5 %"}
    for kind, content in (
        ("rig", rig),
        ("kit", {"items": [{"id": "S-1", "kind": "shackle"}]}),
        ("campaign", {"cells": {"a": cell}}),
    ):
        new = documents.put_document(own, kind, "mine", content, by="Kim")
        assert (new.outcome, new.version, new.name) == ("new", 1, "mine")
        assert {**new.content, **content} == new.content
    found = documents.list_documents(own).documents
    assert {(one.kind, one.name, one.by) for one in found} == {
        (kind, "mine", "Kim") for kind in ("rig", "kit", "campaign")
    }


def test_a_piece_goes_into_quarantine_and_is_inspected_with_who_and_why(with_kit):
    kits.set_quarantine(with_kit, KIT, "B-01", on=True, by="Kim", why="the cheek is bent")
    found = bringing.book_state(with_kit)
    held = next(one for one in found.quarantine if one.item == "B-01")
    assert (held.by, held.why) == ("Kim", "the cheek is bent")
    kits.set_quarantine(with_kit, KIT, "B-01", on=False, by="Lee", why="a new cheek")
    told = kits.note_inspection(
        with_kit,
        KIT,
        "B-01",
        day="2026-02-01",
        by="Lee",
        next_day="2027-02-01",
        note="by the maker",
        condition="good",
    )
    assert [one.why for one in told.versions] == ["", "the cheek is bent", "a new cheek", "by the maker"]
    found = bringing.book_state(with_kit)
    assert [one.item for one in found.quarantine] == ["S-09"]
    last = found.inspections[-1]
    assert (last.item, str(last.inspected), str(last.due), last.by, last.note) == (
        "B-01", "2026-02-01", "2027-02-01", "Lee", "by the maker",
    )  # fmt: skip
    assert ("B-01", "2027-02-01") in {(one.name, str(one.due)) for one in found.due}
    again = kits.note_inspection(
        with_kit, KIT, "B-01", day="2026-02-01", by="Lee", next_day="2027-02-01", note="twice"
    )
    assert again.version == told.version + 1  # the same words in the kit, and yet something was done
    refused("VALUE", kits.note_inspection, with_kit, KIT, "B-01", day="2999-01-01", by="Lee")
    refused(
        "VALUE",
        kits.note_inspection,
        with_kit,
        KIT,
        "B-01",
        day="2026-02-01",
        by="Lee",
        next_day="2025-01-01",
    )
    told = refused("UNKNOWN_ITEM", kits.set_quarantine, with_kit, KIT, "B-1", on=True, by="", why="")
    assert "did you mean" in told.message


def test_a_reason_given_after_the_tap_is_told_and_goes_along(with_kit, tmp_path):
    def reasons(where):
        held = {one.item: one for one in bringing.book_state(where).quarantine}
        return held["B-01"].since, held["B-01"].why

    kits.set_quarantine(with_kit, KIT, "B-01", on=True, by="Kim", why="")
    since, why = reasons(with_kit)
    assert why == ""
    kits.set_quarantine(with_kit, KIT, "B-01", on=True, by="Kim", why="the cheek is bent")
    assert reasons(with_kit) == (since, "the cheek is bent")
    kits.set_quarantine(with_kit, KIT, "S-07", on=True, by="Lee", why="another piece")
    assert reasons(with_kit) == (since, "the cheek is bent")
    out, box = bringing.write_out(with_kit, tmp_path), tmp_path / "box"
    box.mkdir()
    (box / out.name).write_bytes(out.read_bytes())
    other = Where(at=str(tmp_path / "other.sqlite"))
    bringing.bring_in(other, box, by="Mo")
    assert reasons(other) == (since, "the cheek is bent")
    kits.set_quarantine(with_kit, KIT, "B-01", on=False, by="Kim", why="a new cheek")
    kits.set_quarantine(with_kit, KIT, "B-01", on=True, by="Kim", why="")
    assert reasons(with_kit)[1] == ""  # the reason of the earlier time is not that of this one


def test_what_is_told_twice_because_an_answer_was_lost_is_one_deed(with_kit):
    deeds = (
        partial(kits.set_quarantine, with_kit, KIT, "B-01", on=True, by="Kim", why="bent"),
        partial(kits.note_inspection, with_kit, KIT, "B-01", day="2026-02-01", by="Lee", note="looked"),
        partial(kits.set_quarantine, with_kit, KIT, "B-01", on=False, by="Kim", why="mended"),
    )
    for deed in deeds:
        assert deed().version == deed().version
    assert [one.why for one in documents.read_document(with_kit, "kit", KIT).versions] == [
        "", "bent", "looked", "mended",
    ]  # fmt: skip
    deeds[1]()  # with something between it is another one
    assert len(documents.read_document(with_kit, "kit", KIT).versions) == 5


def test_photographs_are_kept_byte_for_byte(with_kit, tmp_path):
    for number, content in enumerate((PNG, JPEG)):
        (tmp_path / str(number)).write_bytes(content)
    kits.add_photo(with_kit, KIT, "B-01", tmp_path / "0", by="Kim")
    kits.add_photo(with_kit, KIT, "B-01", tmp_path / "1", by="Kim")
    kits.add_photo(with_kit, KIT, "W-1", tmp_path / "1")
    found = kits.photos_of(with_kit, KIT, "B-01")
    assert [(one.n, one.media, one.size) for one in found.photos] == [
        (1, "image/png", len(PNG)), (2, "image/jpeg", len(JPEG)),
    ]  # fmt: skip
    assert kits.photo(with_kit, KIT, "B-01", 1) == (PNG, "image/png")
    assert kits.photo(with_kit, KIT, "W-1", 1) == (JPEG, "image/jpeg")
    for _ in range(2):  # asked again as its answer was lost, it takes no other photograph
        kits.drop_photo(with_kit, KIT, "B-01", 1, by="Kim", path=found.photos[0].path)
    assert kits.photo(with_kit, KIT, "B-01", 1) == (JPEG, "image/jpeg")
    path = found.photos[0].path
    assert documents.file_bytes(with_kit, "kit", KIT, path, 2) == PNG  # the earlier version keeps it
    refused("UNKNOWN_FILE", documents.file_bytes, with_kit, "kit", KIT, path)
    refused("UNKNOWN_PHOTO", kits.photo, with_kit, KIT, "B-01", 2)


@pytest.mark.parametrize(
    ("content", "code"),
    [
        (b"<svg onload=x>", "PHOTO"),
        (b"", "PHOTO"),
        (b"GIF89a", "PHOTO"),
        (PNG + bytes(8_000_000), "TOO_LARGE"),
    ],
)
def test_what_is_no_photograph_is_refused(with_kit, tmp_path, content, code):
    (tmp_path / "sent").write_bytes(content)
    refused(code, kits.add_photo, with_kit, KIT, "B-01", tmp_path / "sent")
    assert documents.read_document(with_kit, "kit", KIT).version == 1


@pytest.mark.parametrize(
    "path", ["../x.png", "/etc/passwd", "a/../../x.png", "a\\x.png", "link.png", "link/x.png"]
)
def test_a_photograph_outside_the_kits_folder_is_refused(own, tmp_path, path):
    folder = tmp_path / "in"
    folder.mkdir()
    (tmp_path / "x.png").write_bytes(PNG)
    (folder / "link.png").symlink_to(tmp_path / "x.png")
    (folder / "link").symlink_to(tmp_path)
    kit = folder / "kit.yaml"
    kit.write_text(
        json.dumps({"kit": "k", "items": [{"id": "S", "kind": "shackle", "photos": [path]}]}), "utf-8"
    )
    documents.list_documents(own)
    refused("LINK", hw.import_to_book, kit, book=own.at)


def test_a_whole_book_goes_out_and_comes_into_another_with_all_it_told(with_kit, campaign, tmp_path):
    hw.import_to_book(campaign, book=with_kit.at)
    (tmp_path / "sent").write_bytes(PNG)
    kits.add_photo(with_kit, KIT, "B-01", tmp_path / "sent", by="Kim")
    kits.set_quarantine(with_kit, KIT, "S-07", on=True, by="Lee", why="over its mark")
    campaigns.decide(with_kit, MEADOW, "exclusion", {"run": "two-b1", "who": "Lee", "why": "crossed"})
    out = bringing.write_out(with_kit, tmp_path)
    assert bringing.write_out(with_kit, tmp_path).read_bytes() == out.read_bytes()
    other = Where(at=str(tmp_path / "other.sqlite"))
    box = tmp_path / "box"
    box.mkdir()
    (box / out.name).write_bytes(out.read_bytes())
    bringing.bring_in(other, box, by="Mo")
    for kind, name in (("kit", KIT), ("campaign", MEADOW)):
        ours, theirs = (documents.read_document(where, kind, name) for where in (with_kit, other))
        assert ours.versions == theirs.versions
        assert ours.files == theirs.files
        for one in ours.files:
            given = [documents.file_bytes(where, kind, name, one.path) for where in (with_kit, other)]
            assert given[0] == given[1]
    ours, theirs = (bringing.book_state(where, verify=True) for where in (with_kit, other))
    for key in ("quarantine", "inspections", "decisions", "due"):
        assert getattr(ours, key) == getattr(theirs, key), key
    assert theirs.verified.damaged == ()


def archive(*entries):
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as made:
        for name, content in entries:
            made.writestr(name, content)
    return out.getvalue()


LINK = zipfile.ZipInfo("kit.yaml")
LINK.external_attr = (stat.S_IFLNK | 0o777) << 16


@pytest.mark.parametrize(
    ("content", "code"),
    [
        (archive(("../kit.yaml", "kit: x")), "NAME"),
        (archive(("/kit.yaml", "kit: x")), "NAME"),
        (archive(("a\\..\\kit.yaml", "kit: x")), "NAME"),
        (archive(("CON.yaml", "kit: x")), "NAME"),
        (archive(("kit.yaml", "kit: x"), ("KIT.yaml", "kit: y")), "NAME"),
        (archive(("kit.yaml", "kit: x"), ("kit.yaml/x", "kit: y")), "NAME"),
        (archive((LINK, "/etc/passwd")), "LINK"),
        (b"PK\x03\x04nothing", "ARCHIVE"),
        (archive(("notes.yaml", "a: 1")), "NOT_KEPT"),
        (archive(("photos/a.png", "x")), "NOT_KEPT"),
        (archive(("kit.yaml", "kit: [")), "SYNTAX"),
        (archive(("kit.yaml", b"\xff\xfe\x00")), "ENCODING"),
        (archive(("kit.yaml", "kit: 'a\x00b'")), "SYNTAX"),
    ],
)
def test_a_hostile_archive_is_refused_and_leaves_nothing(own, tmp_path, content, code):
    box = tmp_path / "box"
    box.mkdir()
    (box / "sent.zip").write_bytes(content)
    before = set(tmp_path.iterdir())
    refused(code, bringing.bring_in, own, box)
    assert documents.list_documents(own).documents == ()
    assert {one for one in tmp_path.iterdir() if "book" not in one.name} == {
        one for one in before if "book" not in one.name
    }


def test_what_a_system_puts_into_an_archive_is_left_out_and_named(own, tmp_path):
    given = (
        ("club/kit.yaml", "kit: x\nitems: []\n"),
        ("club/.DS_Store", "?"),
        ("__MACOSX/club/._kit.yaml", "?"),
    )
    box = tmp_path / "box"
    box.mkdir()
    (box / "sent.zip").write_bytes(archive(*given))
    told = bringing.bring_in(own, box)
    assert [one.name for one in told.documents] == ["x"]
    assert told.left_out == ("club/.DS_Store", "__MACOSX/club/._kit.yaml")


def test_an_archive_that_lies_about_its_size_is_refused(own, tmp_path):
    whole = bytearray(archive(("logs/a.csv", bytes(5_000_000)), ("campaign.yaml", "name: x")))
    size = (5_000_000).to_bytes(4, "little")
    for _ in range(2):  # once in each of its headers: 100 bytes, it says
        at = whole.index(size)
        whole[at : at + 4] = (100).to_bytes(4, "little")
    whole = whole.replace(size, (100).to_bytes(4, "little"))
    box = tmp_path / "box"
    box.mkdir()
    (box / "sent.zip").write_bytes(bytes(whole))
    refused("ARCHIVE", bringing.bring_in, own, box)


def test_formulas_and_markup_stay_what_they_are(own, campaign):
    sheet = campaign / "runs.csv"
    text = sheet.read_text("utf-8").replace(
        "two loggers", '"=HYPERLINK(""http://x"")<script>alert(1)</script>"'
    )
    sheet.write_text(text, "utf-8")
    bringing.bring_in(own, campaign)
    folder = campaign_folder(own, MEADOW)
    assert (folder / "runs.csv").read_bytes() == sheet.read_bytes()
    noted = [row["notes"] for row in campaigns.run_sheet(folder).rows]
    assert '=HYPERLINK("http://x")<script>alert(1)</script>' in noted


def test_a_new_campaign_is_filled_file_by_file(own, examples, tmp_path):
    given = documents.put_document(
        own, "campaign", "day one", {"cells": {"line-3t": {"capacity": "3 t", "class": "0.5 %"}}}
    )
    assert {one.path for one in given.files} == {"campaign.yaml", "runs.csv"}
    assert campaigns.run_sheet(campaign_folder(own, "day one")).rows == ()
    row = {"run": "a", "rig": "two-part", "line_log": "a.csv", "line_cell": "line-3t", "weather": "wet"}
    assert campaigns.add_runs(own, "day one", [row], by="Kim").version == 2
    sheet = campaigns.run_sheet(campaign_folder(own, "day one"))
    assert sheet.missing == ("logs/a.csv",)
    assert {key: cell for key, cell in sheet.rows[0].items() if cell} == row
    log = examples / "campaign" / "logs" / "meadow-two-a1.csv"
    documents.put_file(own, "campaign", "day one", "logs/a.csv", log, by="Kim")
    assert documents.file_bytes(own, "campaign", "day one", "logs/a.csv") == log.read_bytes()
    campaigns.add_runs(own, "day one", [{"run": "a", "notes": "dry after all"}])
    assert campaigns.run_sheet(campaign_folder(own, "day one")).missing == ()
    refused("NAME", documents.put_file, own, "campaign", "day one", "../a.csv", log)
    refused("NAME", documents.put_file, own, "campaign", "day one", "runs.csv/x", log)
    refused(
        "UNKNOWN_CELL",
        campaigns.add_runs,
        own,
        "day one",
        [{**row, "run": "b", "line_log": "b.csv", "line_cell": "x"}],
    )
    refused("MISSING_VALUE", campaigns.add_runs, own, "day one", [{"rig": "two-part"}])
    assert documents.read_document(own, "campaign", "day one").version == 4


def test_a_campaign_is_measured_as_its_folder_is_and_keeps_its_measured_runs(own, campaign, tmp_path):
    for log in ("two-b1", "two-b2", "three-ab", "four-ab", "stop-ba"):
        text = (campaign / "runs.csv").read_text("utf-8").splitlines(keepends=True)
        (campaign / "runs.csv").write_text(
            "".join(line for line in text if not line.startswith(log)), "utf-8"
        )
    bringing.bring_in(own, campaign)
    folder = campaign_folder(own, MEADOW)
    ours, theirs = kept_campaign(folder).to_dict(), kept_campaign(campaign).to_dict()
    assert ours["configurations"] == theirs["configurations"]
    assert campaign_folder(own, MEADOW) == folder
    kept = {one.name for one in (folder / "results" / "cache").glob("*.run")}
    assert kept
    told = {"run": "two-a1", "who": "Kim", "why": "a root"}
    campaigns.decide(own, MEADOW, "stretch", {**told, "start": "95 s", "end": "140 s"})
    after = campaign_folder(own, MEADOW)
    assert after != folder
    assert {one.name for one in (after / "results" / "cache").glob("*.run")} == kept  # taken along
    steady = next(run for run in kept_campaign(after).to_dict()["runs"] if run["run"] == "two-a1")["steady"]
    assert [(one["start_s"], one["end_s"]) for one in steady] == [(95.0, 140.0)]
    assert "a root" in steady[0]["why"]
    campaigns.decide(own, MEADOW, "stretch", told, take_back=True)
    back = kept_campaign(campaign_folder(own, MEADOW)).to_dict()
    assert back["configurations"] == theirs["configurations"]
    found = campaigns.run_sheet(campaign_folder(own, MEADOW)).decisions
    assert [(one.what, one.who, one.values) for one in found] == [
        ("withdrawn: stretch", "Kim", {"start_s": 95.0, "end_s": 140.0})
    ]
    refused("CHANGED", campaigns.decide, own, MEADOW, "exclusion", told, version=1)
    refused("UNKNOWN_RUN", campaigns.decide, own, MEADOW, "exclusion", {**told, "run": "two-z9"})
    refused("VALUE", campaigns.decide, own, MEADOW, "exclusion", {**told, "why": " "})
    refused(
        "UNKNOWN_CHANNEL", campaigns.decide, own, MEADOW, "zero", {**told, "channel": "x", "zero": "2 kgf"}
    )


def test_a_list_of_campaigns_tells_how_far_each_is(own, campaign):
    assert campaigns.list_campaigns(own) == ()
    hw.import_to_book(campaign, book=own.at)
    found = campaigns.list_campaigns(own)
    assert [(one.name, one.runs, one.pulled) for one in found] == [(MEADOW, 8, 8)]
    sheet = campaign / "runs.csv"
    told = sheet.read_text("utf-8")
    sheet.write_text(
        told + "two-c1,2025-06-02,two-part,puck-A,not-yet.csv,,line-3t,,,anchor-6t,3,\n", "utf-8"
    )
    hw.import_to_book(campaign, book=own.at)
    assert [(one.version, one.runs, one.pulled) for one in campaigns.list_campaigns(own)] == [(2, 9, 8)]


def test_a_pull_finds_its_kit_in_the_book_and_keeps_what_was_seen(with_kit, examples):
    hw.import_to_book(examples / "pulls" / "rutted-clearing.yaml", book=with_kit.at)
    name = "Wagon in the rutted clearing"
    found = documents.read_document(with_kit, "pull", name)
    assert found.beside == {"kit": KIT}
    whole = pulls.whole_pull(with_kit, found.content)
    assert (
        hw.make_plan(whole).to_dict()["candidates"]
        == hw.make_plan(examples / "pulls" / "rutted-clearing.yaml").to_dict()["candidates"]
    )
    seen = pulls.see_pull(with_kit, name, line="8.4 ± 0.2 kN", by="Kim", note="stuck on a root")
    again = pulls.see_pull(with_kit, name, line="9 kN", moved=False, by="Kim")
    assert (seen.entries, again.entries, seen.file) == (1, 2, "rutted-clearing.seen.yaml")
    kept = bringing.book_state(with_kit).seen
    assert [round(one.seen_N[1]) for one in kept] == [round(seen.seen_N.value), round(again.seen_N.value)]
    own = pulls.whole_pull(with_kit, {**found.content, "own": "book"})["own"]
    assert [(one["pull"], [entry["by"] for entry in one["seen"]]) for one in own] == [(name, ["Kim", "Kim"])]
    refused("VALUE", pulls.whole_pull, with_kit, {"kit": "nobody's kit"})


def test_the_demo_book_lies_beside_and_leaves_the_own_alone(tmp_path):
    own, demo = Where(at=str(tmp_path / "b.sqlite")), Where("demo", str(tmp_path / "b.sqlite"))
    found = documents.list_documents(demo)
    kinds = [one.kind for one in found.documents]
    assert {kind: kinds.count(kind) for kind in set(kinds)} == {"campaign": 1, "kit": 2, "pull": 5, "rig": 6}
    assert all(one.invented for one in found.documents)
    assert [one.code for one in found.notices] == ["INVENTED"]
    assert documents.list_documents(own).documents == ()
    assert Path(demo.place.path).name == "demo.sqlite"
    assert Where("demo", str(tmp_path / "demo.sqlite")).place.path.name != "demo.sqlite"


def test_what_a_killed_program_left_is_taken_away_and_nothing_else(tmp_path):
    at = tmp_path / "b.sqlite"
    hw.new_book(at)
    dead = 2**22 - 3  # beyond the numbers this system gives, or of no process
    ours = [
        f".b.sqlite.{dead}.part",
        f".b.sqlite.{dead}.part-journal",
        f".b.sqlite.schema-0001.backup.{dead}.part",
    ]
    others = [f".b.sqlite.{os.getpid()}.part", f".c.sqlite.{dead}.part", "b.sqlite.part", ".b.sqlite.x.part"]
    for name in (*ours, *others):
        (tmp_path / name).write_bytes(b"half")
    (tmp_path / f".b.sqlite.{dead - 1}.part").symlink_to(at)
    hw.show_book(at)
    left = {one.name for one in tmp_path.iterdir()}
    assert not left & set(ours)
    assert set(others) <= left
    assert f".b.sqlite.{dead - 1}.part" in left
