"""What a book tells of gear, cells, friction, decisions and pulls over the years."""

import datetime as dt
import json
from pathlib import Path

import pytest
import sqlalchemy as sa

import haulwright as hw
from haulwright.book import schema as t
from haulwright.book.opening import opened
from haulwright.book.place import place_of
from haulwright.files.decisions import Decision, Offset, Stretch, Zero
from haulwright.files.kept import read_kept

DAY = dt.date(2026, 6, 1)


def kit(folder, *pieces, name="van", file="kit.yaml"):
    path = Path(folder) / file
    path.write_text(
        json.dumps({"kit": name, "items": [{"kind": "shackle", **piece} for piece in pieces]}), "utf-8"
    )
    return path


def rows(at, table):
    with opened(place_of(at)) as book, book.reading() as connection:
        return [dict(row) for row in connection.execute(sa.select(table)).mappings()]


def test_what_is_due_the_earliest_first(book, campaign, tmp_path):
    hw.import_to_book(campaign, book=book)
    pieces = (
        {"id": "S-1", "inspected": "2025-07-01", "due": "2026-07-01"},
        {"id": "S-2", "due": "2026-05-31"},
        {"id": "S-3"},
    )
    hw.import_to_book(kit(tmp_path, *pieces), book=book)
    due = hw.show_book(book, day=DAY).due
    assert [(one.name, one.days, one.overdue) for one in due] == [
        ("anchor-6t", -62, True),
        ("line-3t", -62, True),
        ("S-2", -1, True),
        ("S-1", 30, False),
    ]
    assert (due[0].what, due[0].certificate, due[0].of) == (
        "calibration",
        "invented-0302",
        "meadow (invented)",
    )
    assert (due[3].what, due[3].last, due[3].of) == ("inspection", dt.date(2025, 7, 1), "van")
    assert hw.show_book(book, day=dt.date(2026, 5, 31)).due[2].overdue is False


def test_a_piece_through_the_years(book, tmp_path):
    states = (
        {"inspected": "2024-05-01", "due": "2025-05-01", "condition": "good"},
        {"inspected": "2024-05-01", "due": "2025-05-01", "condition": "good", "note": "painted"},
        {
            "inspected": "2025-05-02",
            "due": "2026-05-02",
            "condition": "worn",
            "quarantined": True,
            "note": "bent pin",
        },
        {
            "inspected": "2025-05-02",
            "due": "2026-05-02",
            "condition": "worn",
            "quarantined": True,
            "note": "still",
        },
        {"inspected": "2025-06-01", "due": "2026-06-01", "condition": "good", "note": "new pin"},
    )
    held = []
    for state in states:
        hw.import_to_book(kit(tmp_path, {"id": "S-1", **state}), book=book)
        held.append([one.note for one in hw.show_book(book).quarantine])
    assert held == [[], [], ["bent pin"], ["still"], []]
    record = hw.show_book(book, day=DAY)
    assert [(str(one.inspected), one.condition) for one in record.inspections] == [
        ("2024-05-01", "good"),
        ("2025-05-02", "worn"),
        ("2025-06-01", "good"),
    ]
    assert [row["quarantined"] for row in rows(book, t.quarantines)] == [True, False]
    assert [str(one.due) for one in record.due] == ["2026-06-01"]
    assert record.counts["versions"] == 5


def test_one_piece_in_two_kits_is_told_when_they_differ(book, tmp_path):
    hw.import_to_book(kit(tmp_path, {"id": "S-1", "quarantined": True}), book=book)
    hw.import_to_book(kit(tmp_path, {"id": "S-1"}, name="trailer", file="trailer.yaml"), book=book)
    [notice] = hw.show_book(book).notices
    assert (notice.code, notice.level, notice.where) == ("BOOK_CONFLICT", "warning", ("S-1",))
    assert "in quarantine in van, and not in trailer" in notice.message


def test_calibrations_are_kept_and_two_words_on_one_certificate_told(book, campaign):
    hw.import_to_book(campaign, book=book)
    spec = campaign / "campaign.yaml"
    text = spec.read_text("utf-8")
    renewed = text.replace(
        "certificate: invented-0301, due: 2026-03-31", "certificate: invented-0399, due: 2027-03-31"
    )
    spec.write_text(renewed, "utf-8")
    hw.import_to_book(campaign, book=book)
    certificates = [(row["cell"], row["certificate"]) for row in rows(book, t.calibrations)]
    assert certificates == [
        ("line-3t", "invented-0301"),
        ("anchor-6t", "invented-0302"),
        ("line-3t", "invented-0399"),
    ]
    assert {one.name: str(one.due) for one in hw.show_book(book, day=DAY).due}["line-3t"] == "2027-03-31"
    spec.write_text(
        text.replace(
            "6 t, class: 0.5 %, class_of: reading, certificate: invented-0302",
            "5 t, class: 0.5 %, class_of: reading, certificate: invented-0302",
        ),
        "utf-8",
    )
    hw.import_to_book(campaign, book=book, name="second")
    words = " ".join(notice.message for notice in hw.show_book(book).notices)
    assert "Cell anchor-6t: capacity, factor or due date of certificate invented-0302 differ" in words


DEVICES = """\
[devices.puck-A]
k = {k}
u = 0.01
interval95 = [1.0, 1.2]
valid_N = [5000.0, 30000.0]
source = {{title = "{title}", place = "run 1", year = 2025, flag = "measured"}}
"""


def test_every_friction_estimate_and_where_it_came_from(book, campaign, tmp_path):
    own = tmp_path / "devices.toml"
    for k, title in ((1.07, "first day"), (1.09, "second day")):
        own.write_text(DEVICES.format(k=k, title=title), "utf-8")
        hw.import_to_book(own, book=book)
    (campaign / "results").mkdir()
    (campaign / "results" / "devices.toml").write_text(DEVICES.format(k=1.08, title="the meadow"), "utf-8")
    hw.import_to_book(campaign, book=book)
    found = hw.show_book(book).friction
    assert [(one.k.value, one.source, one.from_, one.version, one.current) for one in found] == [
        (1.07, "first day, run 1, 2025", "devices", 1, False),
        (1.09, "second day, run 1, 2025", "devices", 2, True),
        (1.08, "the meadow, run 1, 2025", "meadow (invented)", 1, True),
    ]
    assert hw.show_book(book).to_dict()["friction"][0]["k"] == {
        "value": 1.07,
        "u": 0.01,
        "interval95": [1.0, 1.2],
    }
    (campaign / "results" / "devices.toml").write_text("[devices", "utf-8")
    record = hw.import_to_book(campaign, book=book)
    assert "its friction is not taken up" in record.notices[0].message


def test_decisions_with_who_when_and_why(book, campaign):
    told = {
        "stretches": [
            {
                "run": "stop-ba",
                "start": "150 s",
                "end": "220 s",
                "who": "Kim",
                "when": "2025-06-03",
                "why": "a root",
            }
        ],
        "offsets": [
            {
                "run": "two-a2",
                "channel": "anchor",
                "offset": "0.4 s",
                "who": "Kim",
                "when": "2025-06-03",
                "why": "film",
            }
        ],
        "zeros": [
            {
                "run": "two-a1",
                "channel": "line",
                "zero": "20 N",
                "who": "Lee",
                "when": "2025-06-04",
                "why": "tension",
            }
        ],
        "exclusions": [{"run": "two-b1", "who": "Lee", "when": "2025-06-05", "why": "crossed"}],
    }
    (campaign / "decisions.yaml").write_text(json.dumps(told), "utf-8")
    hw.import_to_book(campaign, book=book)
    found = hw.show_book(book).decisions
    assert [(one.run, one.what, one.who, str(one.day), one.why, dict(one.values)) for one in found] == [
        ("stop-ba", "stretch", "Kim", "2025-06-03", "a root", {"start_s": 150.0, "end_s": 220.0}),
        ("two-a2", "clock offset", "Kim", "2025-06-03", "film", {"offset_s": 0.4}),
        ("two-a1", "zero", "Lee", "2025-06-04", "tension", {"zero_N": 20.0}),
        ("two-b1", "left out", "Lee", "2025-06-05", "crossed", {}),
    ]
    (campaign / "decisions.yaml").write_text("stretches: []\n", "utf-8")
    hw.import_to_book(campaign, book=book)
    assert hw.show_book(book).decisions == ()
    assert len(rows(book, t.decisions)) == 4  # of the version before


def test_every_key_of_a_decision_is_kept():
    """A key that is added to a decision one day must be added to the book as well."""
    known = {"run", "who", "when", "why", "start", "end", "channel", "offset", "zero"}
    assert set().union(*(one.model_fields for one in (Decision, Stretch, Offset, Zero))) == known


def test_runs_and_logs_stand_with_their_bytes(book, campaign):
    hw.import_to_book(campaign, book=book)
    runs = {row["run"]: row for row in rows(book, t.runs)}
    assert runs["three-ab"]["devices"] == ["puck-A", "hoop-B"]
    assert (runs["two-a2"]["repeat"], runs["two-a2"]["date"]) == (2, dt.date(2025, 6, 2))
    hashes = {row["path"]: row["sha256"] for row in rows(book, t.version_files)}
    files = {row["sha256"]: row for row in rows(book, t.files)}
    channels = rows(book, t.channels)
    assert {row["run"] for row in channels} == set(runs)
    for row in channels:
        assert files[hashes[row["path"]]]["content"] == (campaign / row["path"]).read_bytes()
    [site] = rows(book, t.sites)
    assert (site["name"], site["words"]["ground"]) == ("Invented Meadow", "flat gravel lane, dry")


def test_a_pull_and_its_anchors(book, examples):
    hw.import_to_book(examples / "pulls" / "rutted-clearing.yaml", book=book)
    [pull] = rows(book, t.pulls)
    assert (pull["vehicle"], pull["mass_kg"], pull["surface"], pull["kit"]) == (
        "wagon",
        2600.0,
        "gravel",
        "../kit.yaml",
    )
    anchors = {row["anchor"]: row for row in rows(book, t.anchors)}
    assert (anchors["oak"]["along_m"], anchors["oak"]["limit_N"]) == (10.0, 95e3)
    assert anchors["boulder"]["limit_N"] is None


@pytest.mark.parametrize("path", ["club-kit.yaml", "kit.yaml"])
def test_every_piece_of_a_kit_is_there(book, examples, path):
    hw.import_to_book(examples / path, book=book)
    counts = hw.show_book(book).counts
    shown = hw.show_kit(examples / path)
    assert counts["items"] == len(shown.items)


def test_counts_of_an_empty_book(book):
    record = hw.show_book(book)
    assert set(record.counts.values()) == {0}
    assert (record.bytes, record.due, record.last_import) == (0, (), None)


def test_every_table_of_facts_is_filled_with_all_its_columns(book, campaign, examples, tmp_path):
    told = {"exclusions": [{"run": "two-b1", "who": "Lee", "when": "2025-06-05", "why": "crossed"}]}
    (campaign / "decisions.yaml").write_text(json.dumps(told), "utf-8")
    (campaign / "results").mkdir()
    (campaign / "results" / "devices.toml").write_text(DEVICES.format(k=1.08, title="the meadow"), "utf-8")
    pull = tmp_path / "rutted-clearing.yaml"
    text = (examples / "pulls" / pull.name).read_text("utf-8").replace("../kit.yaml", "kit.yaml")
    pull.write_text(text, "utf-8")
    kit = tmp_path / "kit.yaml"
    with_photo = "{id: D-01, photos: [kit.photos/d-01.png], "
    kit.write_text((examples / "kit.yaml").read_text("utf-8").replace("{id: D-01, ", with_photo), "utf-8")
    (tmp_path / "kit.photos").mkdir()
    (tmp_path / "kit.photos" / "d-01.png").write_bytes(b"\x89PNG\r\n\x1a\n")
    hw.record_seen(pull, line="9 kN", rig="two-part")
    filled = set()
    for given in (campaign, kit, pull, examples / "rigs" / "corner-by-the-oak.yaml"):
        for name, found in read_kept(given).facts.items():
            columns = {column.name for column in t.metadata.tables[name].columns} - {"version_id"}
            for row in found:
                assert set(row) == columns, name
                filled.add(name)
    assert filled == {table.name for table in t.FACTS}


HUGE = "9" * 30


def test_a_number_no_database_holds_is_refused(book, campaign, tmp_path):
    own = tmp_path / "devices.toml"
    own.write_text(DEVICES.format(k=1.07, title="x").replace("2025", HUGE), "utf-8")
    with pytest.raises(hw.Refusal):
        hw.import_to_book(own, book=book)
    runs = campaign / "runs.csv"
    runs.write_text(runs.read_text("utf-8").replace("anchor-6t,2,", f"anchor-6t,{HUGE},"), "utf-8")
    with pytest.raises(hw.Refusal):
        hw.import_to_book(campaign, book=book)
    assert hw.show_book(book).counts["versions"] == 0


def test_a_text_that_cannot_be_printed_is_refused(book, tmp_path):
    own = tmp_path / "devices.toml"
    own.write_text(DEVICES.format(k=1.07, title="a\\u0000b\\u001b[31m"), "utf-8")
    with pytest.raises(hw.Refusal) as told:
        hw.import_to_book(own, book=book)
    assert told.value.code == "VALUE"
