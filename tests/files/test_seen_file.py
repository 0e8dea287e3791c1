"""The file of what was seen: it only grows, byte for byte, whole or not at all, and reads back what went in."""

from __future__ import annotations

import threading
from pathlib import Path
from typing import Any

import pytest

from haulwright.errors import FileRefusal
from haulwright.files import seen
from haulwright.files.seen import SeenFile, add_seen, beside, read_seen
from haulwright.files.yamlfile import read_yaml

ENTRY: dict[str, Any] = {
    "when": "2026-05-02T10:30:00+10:00",
    "by": "a trainer: 'quoted'",
    "note": "rain # all night\nsecond line",
    "rig": "two-part/on-load, oak",
    "surface": "bog",
    "sunk": "wheel",
    "line": "8400.0 N",
    "advantage": 1.83,
    "advantage_low": 1.78,
    "advantage_high": 1.88,
    "seen": "15372.0 N",
    "seen_low": "14900.0 N",
    "seen_high": "15800.0 N",
    "moved": True,
    "predicted": {"training fractions": {"low": "10 kN", "likely": "14.7 kN", "high": "19 kN"}},
}


def test_entries_are_added_and_earlier_ones_stay_byte_for_byte(tmp_path: Path) -> None:
    file = beside(tmp_path / "creek.yaml")
    before = b""
    for n in range(1, 5):
        assert add_seen(file, "creek", ENTRY | {"note": f"pull {n}"}) == n
        assert file.read_bytes().startswith(before)
        before = file.read_bytes()
    assert sorted(path.name for path in tmp_path.iterdir()) == ["creek.seen.yaml"]


def test_what_went_in_comes_out(tmp_path: Path) -> None:
    file = tmp_path / "creek.seen.yaml"
    add_seen(file, "creek", ENTRY)
    (read,) = read_yaml(file, SeenFile).seen
    assert (read.by, read.note, read.seen) == (ENTRY["by"], ENTRY["note"], 15372.0)
    (pull,) = read_seen(file)
    assert pull.predicted_N == {"training fractions": pytest.approx(14700.0)}
    assert pull.one_of == "creek, 2026-05-02"
    assert pull.u_share == pytest.approx(900 / (2 * 1.959964 * 15372), rel=1e-6)


def test_a_hand_written_comment_and_a_missing_last_line_end_survive(tmp_path: Path) -> None:
    file = tmp_path / "creek.seen.yaml"
    add_seen(file, "creek", ENTRY)
    text = file.read_text(encoding="utf-8").rstrip("\n") + "\n  # mine"
    file.write_text(text, encoding="utf-8")
    assert add_seen(file, "creek", ENTRY) == 2
    assert file.read_text(encoding="utf-8").startswith(text + "\n")


@pytest.mark.parametrize("end", ["\nrule: x\n", "\nseen: []\n", "\n  - {when: now}\n", "\nplace: here\n"])
def test_a_file_that_is_wrong_or_goes_on_after_its_entries_is_left_alone(tmp_path: Path, end: str) -> None:
    file = tmp_path / "creek.seen.yaml"
    add_seen(file, "creek", ENTRY)
    file.write_text(file.read_text(encoding="utf-8") + end, encoding="utf-8")
    before = file.read_bytes()
    with pytest.raises(FileRefusal):
        add_seen(file, "creek", ENTRY)
    assert file.read_bytes() == before
    assert sorted(path.name for path in tmp_path.iterdir()) == ["creek.seen.yaml"]


def test_a_bad_entry_is_refused_and_changes_nothing(tmp_path: Path) -> None:
    file = tmp_path / "creek.seen.yaml"
    with pytest.raises(FileRefusal) as caught:
        add_seen(file, "creek", ENTRY | {"surface": "porridge"})
    assert caught.value.code == "SEEN"
    assert not list(tmp_path.iterdir())


def test_an_entry_where_the_list_does_not_stand_last_is_refused(tmp_path: Path) -> None:
    file = tmp_path / "creek.seen.yaml"
    add_seen(file, "creek", ENTRY)
    text = file.read_text(encoding="utf-8").replace("pull: creek\n", "") + "pull: creek\n"
    file.write_text(text, encoding="utf-8")
    with pytest.raises(FileRefusal, match="put 'seen:' last") as caught:
        add_seen(file, "creek", ENTRY)
    assert caught.value.code == "SEEN"
    assert file.read_text(encoding="utf-8") == text


def test_many_at_once_lose_nothing(tmp_path: Path) -> None:
    file = tmp_path / "creek.seen.yaml"
    threads = [
        threading.Thread(target=add_seen, args=(file, "creek", ENTRY | {"note": str(n)})) for n in range(8)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    notes = {entry.note for entry in read_yaml(file, SeenFile).seen}
    assert notes == {str(n) for n in range(8)}


def test_a_file_somebody_else_writes_is_waited_for_then_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(seen, "MOST_WAITED_s", 0.05)
    (tmp_path / "creek.seen.yaml.lock").touch()
    with pytest.raises(FileRefusal, match=r"delete creek\.seen\.yaml\.lock") as caught:
        add_seen(tmp_path / "creek.seen.yaml", "creek", ENTRY)
    assert caught.value.code == "BUSY"
    assert (tmp_path / "creek.seen.yaml.lock").exists()


def test_nothing_half_written_stays_when_writing_fails(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "creek.seen.yaml"
    add_seen(file, "creek", ENTRY)
    before = file.read_bytes()

    def full(*_: Any) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(seen, "write_whole", full)
    with pytest.raises(FileRefusal, match="No space left") as caught:
        add_seen(file, "creek", ENTRY)
    assert caught.value.code == "OUT"
    assert file.read_bytes() == before
    assert [path.name for path in tmp_path.iterdir()] == ["creek.seen.yaml"]


def test_a_folder_is_searched_with_its_folders_and_each_file_read_once(tmp_path: Path) -> None:
    (tmp_path / "may").mkdir()
    add_seen(tmp_path / "creek.seen.yaml", "creek", ENTRY)
    add_seen(tmp_path / "may" / "ford.seen.yaml", "ford", ENTRY)
    assert len(read_seen(tmp_path)) == 2
    assert len(read_seen([tmp_path, tmp_path / "creek.seen.yaml"])) == 2
    assert len(read_seen({"pull": "typed", "seen": [ENTRY]})) == 1
    (tmp_path / "empty").mkdir()
    for nothing in (tmp_path / "empty", tmp_path / "nowhere.seen.yaml"):
        with pytest.raises(FileRefusal) as caught:
            read_seen(nothing)
        assert caught.value.code == "NO_FILE"
