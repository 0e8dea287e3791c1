"""Folders and books that mean harm: nothing leads out, nothing huge is read, nothing of a note is carried out."""

import json
import os
import shutil
import socket
from pathlib import Path

import pytest
import sqlalchemy as sa
from hypothesis import given, settings
from hypothesis import strategies as st

import haulwright as hw
from haulwright.book.names import check_path, file_name
from haulwright.book.opening import opened
from haulwright.book.place import place_of
from haulwright.errors import BookRefusal, Refusal
from haulwright.files import kept_bytes
from haulwright.interfaces.cli.main import main

MEADOW = "meadow (invented)"
BARRED = ("..", ".", "", "a\\b", "c:", "x?", "nul", "COM1.csv", "dot.", "space ")
BARRED += ("tab\t", "line\n", "\x1b[31m", "\udce9", "x" * 201)


def refused(code, call, *args, **choices):
    with pytest.raises(Refusal) as told:
        call(*args, **choices)
    assert told.value.code == code, told.value
    return told.value


@pytest.mark.parametrize("name", BARRED, ids=repr)
def test_names_that_may_not_be_kept(name):
    for path in (name, f"logs/{name}", f"{name}/a.csv"):
        refused("NAME", check_path, path)


@given(st.text(max_size=300))
def test_any_name_is_made_one_that_a_file_may_have(name):
    assert check_path(file_name(name))


@given(st.lists(st.sampled_from([*BARRED, "logs", "a.csv", "/", "~"]), max_size=6).map("/".join))
@settings(max_examples=300)
def test_no_path_that_passes_leads_out_of_its_folder(path):
    try:
        check_path(path)
    except BookRefusal:
        return
    root = Path("/folder")
    assert Path(os.path.normpath(root / path)).is_relative_to(root)
    assert os.path.normpath(root / path) != str(root)


@pytest.mark.parametrize(
    "name", ["back\\slash.csv", "..\\..\\up.csv", "CON", "end ", "esc\x1b[31m.csv", 'quote".csv']
)
def test_a_file_of_a_name_that_means_more_elsewhere_is_refused(book, campaign, name):
    (campaign / "logs" / name).write_bytes(b"x")
    told = refused("NAME", hw.import_to_book, campaign, book=book)
    assert "\x1b" not in told.message
    assert hw.show_book(book).counts["files"] == 0


def test_a_name_that_is_no_text_is_refused(book, campaign):
    with open(os.fsencode(campaign / "logs") + b"/\xe9.csv", "wb"):  # noqa: PTH123 - bytes, as no Path holds them
        pass
    refused("NAME", hw.import_to_book, campaign, book=book)


def test_two_names_that_are_one_elsewhere_are_refused(book, campaign):
    for name in ("Note.txt", "note.txt"):
        (campaign / name).write_bytes(b"x")
    refused("NAME", hw.import_to_book, campaign, book=book)


LINKS = ("logs/out.csv", "out", "campaign.yaml", "logs")


@pytest.mark.parametrize("name", LINKS)
def test_no_link_is_followed(book, campaign, tmp_path, name):
    secret = tmp_path / "secret"
    secret.mkdir()
    if name in ("campaign.yaml", "logs"):
        shutil.move(campaign / name, secret / name)
        (campaign / name).symlink_to(secret / name)
    else:
        (secret / "key").write_text("mine", "utf-8")
        (campaign / name).symlink_to(secret / "key" if name.endswith("csv") else secret)
    told = refused("LINK", hw.import_to_book, campaign, book=book)
    assert name in told.message
    assert hw.show_book(book).counts["files"] == 0


def test_a_folder_named_by_a_link_is_what_the_user_means(book, campaign, tmp_path):
    (tmp_path / "here").symlink_to(campaign)
    assert hw.import_to_book(tmp_path / "here", book=book).documents[0].outcome == "new"


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no pipes with a name")
def test_things_that_are_no_files(book, campaign):
    os.mkfifo(campaign / "logs" / "pipe.csv")
    refused("LINK", hw.import_to_book, campaign, book=book)
    (campaign / "logs" / "pipe.csv").unlink()
    with socket.socket(socket.AF_UNIX) as one:
        before = Path.cwd()
        os.chdir(campaign)
        try:
            one.bind("talk")
        finally:
            os.chdir(before)
        refused("LINK", hw.import_to_book, campaign, book=book)


def test_a_huge_file_is_refused_before_it_is_read(book, campaign):
    with (campaign / "logs" / "film.mov").open("wb") as file:
        file.truncate(5_000_000_000)  # sparse: takes no room
    told = refused("TOO_LARGE", hw.import_to_book, campaign, book=book)
    assert "logs/film.mov: over 200 MB" in told.message


def test_limits_of_a_folder(book, campaign, monkeypatch):
    monkeypatch.setattr(kept_bytes, "MOST_FILES", 10)
    assert "over 10 files" in refused("TOO_LARGE", hw.import_to_book, campaign, book=book).message
    monkeypatch.undo()
    monkeypatch.setattr(kept_bytes, "MOST_BYTES_IN_ALL", 200_000)
    refused("TOO_LARGE", hw.import_to_book, campaign, book=book)
    monkeypatch.undo()
    deep = campaign
    for _ in range(40):
        deep = deep / "d"
        deep.mkdir()
    refused("TOO_LARGE", hw.import_to_book, campaign, book=book)


def test_a_folder_that_is_written_meanwhile_is_refused(book, campaign, monkeypatch):
    from haulwright.files import kept

    before = kept.read_campaign

    def and_write(folder, **choices):
        read = before(folder, **choices)
        (folder / "runs.csv").write_bytes((folder / "runs.csv").read_bytes() + b"\n")
        return read

    monkeypatch.setattr(kept, "read_campaign", and_write)
    assert "runs.csv changed" in refused("CHANGING", hw.import_to_book, campaign, book=book).message


def test_markup_in_notes_is_kept_and_printed_as_it_stands(book, tmp_path, capsys):
    note = "[bold red]x[/] <script>alert(1)</script> =1+1 [link=file:///etc]y[/link]"
    path = tmp_path / "kit.yaml"
    piece = {"id": "S-1", "kind": "damper", "quarantined": True, "note": note}
    path.write_text(json.dumps({"kit": "[red]van", "items": [piece]}), "utf-8")
    assert main(["book", "import", str(path), "--book", book, "--by", "[bold]Kim"]) == 0
    assert main(["book", "show", "--book", book]) == 0
    printed = " ".join(capsys.readouterr().out.split())
    for text in (note, "[red]van", "[bold]Kim"):
        assert text in printed
    assert hw.show_book(book).quarantine[0].note == note
    (tmp_path / "kit.yaml").write_text('kit: "a\\e[31m"\nitems: []\n', "utf-8")
    refused("VALUE", hw.import_to_book, path, book=book)


@pytest.mark.parametrize(
    "words", ["x'); DROP TABLE files; --", "%s %(a)s :b ?", "ünïcødé → 漢字 🙂", "a" * 5000]
)
def test_names_are_only_names(book, tmp_path, words):
    path = tmp_path / "kit.yaml"
    path.write_text(
        json.dumps({"kit": words, "items": [{"id": words, "kind": "damper"}]}, ensure_ascii=False), "utf-8"
    )
    hw.import_to_book(path, book=book, by=words)
    record = hw.show_book(book)
    assert (record.documents[0].name, record.last_import.who) == (words, words)
    hw.export_book(words, tmp_path / "out", book=book)
    assert (tmp_path / "out" / "kit.yaml").read_bytes() == path.read_bytes()


def test_a_name_with_a_control_character_is_refused(book, examples):
    for choice in ({"name": "a\x1b[31m"}, {"name": "a\0b"}, {"by": "a\0b"}, {"name": "\udce9"}):
        refused("NAME", hw.import_to_book, examples / "kit.yaml", book=book, **choice)


@pytest.mark.parametrize("path", ["../up.csv", "/etc/x", "a/../../b", "C:\\x", "logs/../../../x"])
def test_a_book_made_to_write_elsewhere_is_refused(book, campaign, tmp_path, path):
    hw.import_to_book(campaign, book=book)
    with opened(place_of(book)) as found, found.writing() as connection:
        connection.execute(
            sa.text("UPDATE version_files SET path = :x WHERE path = 'README.md'"), {"x": path}
        )
    out = tmp_path / "deep" / "er" / "out"
    for name in (MEADOW, "all"):
        refused("NAME", hw.export_book, name, out, book=book)
    assert [one for one in tmp_path.rglob("*") if one.name in ("up.csv", "x", "b")] == []


@pytest.mark.parametrize("stored_as", ["../../up", "/etc", "..", "a/b", "\x00x"])
def test_a_folder_name_of_a_book_is_no_path(tmp_path, campaign, stored_as):
    at = tmp_path / "b.sqlite"
    hw.new_book(at)
    hw.import_to_book(campaign, book=at)
    with opened(place_of(at)) as found, found.writing() as connection:
        connection.execute(sa.text("UPDATE documents SET stored_as = :x"), {"x": stored_as})
    before = {path for path in tmp_path.rglob("*") if "out" not in path.parts}
    hw.export_book("all", tmp_path / "out", book=at)
    here = {path for path in tmp_path.rglob("*") if "out" not in path.parts}
    assert {path.name for path in here - before} <= {"b.sqlite-wal", "b.sqlite-shm"}


FOLDERS = ["../campaign", "/etc", "campaigns/../..", "", "."]


@pytest.mark.parametrize("folder", FOLDERS)
def test_an_index_that_leads_elsewhere_is_refused(tmp_path, campaign, folder):
    at = tmp_path / "b.sqlite"
    hw.new_book(at)
    hw.import_to_book(campaign, book=at)
    hw.export_book("all", tmp_path / "out", book=at)
    index = json.loads((tmp_path / "out" / "book.json").read_text("utf-8"))
    index["documents"][0]["versions"][0]["folder"] = folder
    (tmp_path / "out" / "book.json").write_text(json.dumps(index), "utf-8")
    refused("LINK", hw.import_to_book, tmp_path / "out", book=at)


INDEXES = {
    "nothing": (b"", "SYNTAX"),
    "binary": (bytes(range(256)), "SYNTAX"),
    "deep": (b"[" * 100_000, "SYNTAX"),
    "list": (b"[]", "NOT_A_MAPPING"),
    "other": (b"{}", "MISSING_KEY"),
    "more": (b'{"haulwright": "1", "kind": "book-export", "documents": [], "x": 1}', "UNKNOWN_KEY"),
}


@pytest.mark.parametrize("case", INDEXES)
def test_an_index_that_is_none(tmp_path, case):
    content, code = INDEXES[case]
    hw.new_book(tmp_path / "b.sqlite")
    (tmp_path / "book.json").write_bytes(content)
    refused(code, hw.import_to_book, tmp_path, book=tmp_path / "b.sqlite")


def test_a_file_that_is_not_what_the_index_says(tmp_path, campaign):
    at = tmp_path / "b.sqlite"
    hw.new_book(at)
    hw.import_to_book(campaign, book=at)
    hw.export_book("all", tmp_path / "out", book=at)
    (tmp_path / "out" / "campaigns" / "campaign" / "README.md").write_bytes(b"other")
    assert "README.md" in refused("DAMAGED", hw.import_to_book, tmp_path / "out", book=at).message


def test_what_no_book_keeps(book, tmp_path):
    for name, content in (("rig.yaml", "rig: x\n"), ("a.seen.yaml", "pull: x\n"), ("b.yaml", "hello: 1\n")):
        (tmp_path / name).write_text(content, "utf-8")
        refused("NOT_KEPT", hw.import_to_book, tmp_path / name, book=book)
    (tmp_path / "folder").mkdir()
    refused("NOT_KEPT", hw.import_to_book, tmp_path / "folder", book=book)


def test_memory_holds_one_file_at_a_time(tmp_path, campaign):
    import tracemalloc

    at = tmp_path / "b.sqlite"
    hw.new_book(at)
    hw.import_to_book(campaign, book=at)
    for n in range(12):
        (campaign / f"big-{n}.bin").write_bytes(os.urandom(4_000_000))
    tracemalloc.start()
    try:
        hw.import_to_book(campaign, book=at)
        peak = tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()
    assert peak < 24_000_000, peak  # of 48 MB
