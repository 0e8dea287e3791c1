"""Killed at any moment, a book has lost nothing it acknowledged, opens, and goes on."""

import json
import os
import random
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest
from old_books import make_old_book

import haulwright as hw
from haulwright.book.schema import SCHEMAS, metadata

HERE = Path(__file__).parent
pytestmark = pytest.mark.skipif(
    not hasattr(os, "fork"), reason="this system cannot fork the children that are killed"
)
SMALL = {
    "campaign.yaml": "name: small\ncells: {a: {capacity: 3 t, class: 0.5 %, certificate: c, due: 2026-03-31}}\nsite: {place: x}\n",
    "runs.csv": "run,rig,devices,line_log\none,two-part,,a.csv\n",
    "logs/a.csv": "time_s,line_kgf,anchor_kgf\n0,1,2\n",
}


def small_campaign(folder):
    for name, text in SMALL.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text(text, "utf-8")
    return folder


def run_killed(*words, **choices):
    """Return what the script told of each child it killed, oldest first."""
    command = [sys.executable, str(HERE / "killed.py"), *map(str, words)]
    done = subprocess.run(command, capture_output=True, text=True, check=False, timeout=120, **choices)
    assert done.returncode == 0, done.stderr
    return [json.loads(line) for line in done.stdout.splitlines()]


def check_imports(told):
    """After each kill: whole, in order, nothing acknowledged is gone, at most one more than that."""
    before = 0
    for one in told:
        assert one["damaged"] == []
        assert one["torn"] == []
        assert one["whole"] == "ok"
        assert one["numbers"] == [*range(1, len(one["numbers"]) + 1)]
        known = [int(number) for number in one["acknowledged"]]
        assert known == [*range(before + 1, before + len(known) + 1)]
        assert before + len(known) <= len(one["numbers"]) <= before + len(known) + 1
        before = len(one["numbers"])


def test_killed_before_commits_and_statements_of_an_import(book, tmp_path):
    told = run_killed("import", book, small_campaign(tmp_path / "campaign"), "every:4")
    check_imports(told)
    assert len(told) > 7
    assert [one["killed"] for one in told] == [True] * (len(told) - 1) + [False]
    assert told[-1]["acknowledged"] == ["1"]  # the first that came through: none before it left anything


def test_killed_at_random_moments_of_many_imports(book, tmp_path):
    told = run_killed("import", book, small_campaign(tmp_path / "campaign"), "random:8")
    check_imports(told)
    assert all(one["killed"] for one in told)
    assert any(one["acknowledged"] for one in told)
    record = hw.import_to_book(tmp_path / "campaign", book=book)  # and it goes on
    assert record.documents[0].version >= len(told[-1]["numbers"])


def test_killed_before_commits_and_statements_of_a_change(book):
    told = run_killed("put", book, "", "every:5")
    check_imports(told)
    assert len(told) > 4
    assert [one["killed"] for one in told] == [True] * (len(told) - 1) + [False]


def test_killed_at_random_moments_of_many_changes(book):
    told = run_killed("put", book, "", "random:8")
    check_imports(told)
    assert any(one["acknowledged"] for one in told)


@pytest.mark.parametrize("schema", SCHEMAS[:-1])
def test_killed_before_commits_and_statements_of_a_migration(place, tmp_path, schema):
    folder = small_campaign(tmp_path / "campaign")
    make_old_book(place, schema, [folder])
    told = run_killed("migrate", place, folder, "every:9")
    assert len(told) > 6
    assert told[-1]["killed"] is False
    for one in told[:-1]:
        assert one["killed"]
        assert one["files"] == len(SMALL)
        done = one["schema"] == SCHEMAS[-1]
        assert done or one["schema"] == schema
        assert done == (set(metadata.tables) <= set(one["tables"]))  # all of a step, or nothing of it
    assert hw.show_book(place, verify=True).verified.damaged == ()
    if "://" not in place:
        copies = sorted(Path(place).parent.glob("*.backup"))
        assert copies


def test_a_server_that_falls_loses_nothing_acknowledged(server, tmp_path):
    book = server.database()
    hw.new_book(book)
    folder = small_campaign(tmp_path / "campaign")
    known, refused, stop = [], [], threading.Event()

    def work():
        try:
            while not stop.is_set():
                (folder / "note.bin").write_bytes(os.urandom(100_000))
                known.append(hw.import_to_book(folder, book=book).documents[0].version)
        except hw.Refusal as refusal:
            refused.append(refusal.code)

    chance = random.Random(1)
    for _ in range(3):
        thread = threading.Thread(target=work)
        thread.start()
        time.sleep(0.3 + chance.uniform(0.0, 0.4))
        server.stop("immediate")  # as if the power failed: nothing is tidied up
        stop.set()
        thread.join()
        stop.clear()
        server.start()
        held = hw.show_book(book, verify=True)
        assert held.verified.damaged == ()
        assert held.counts["versions"] >= max(known, default=0)
    assert known
    assert set(refused) <= {"NO_SERVER", "BOOK"}
