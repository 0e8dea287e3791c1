"""``haulwright book``: what it prints, its records, its exit codes."""

import json
import shutil
from pathlib import Path

import pytest

from haulwright.interfaces.cli.main import main

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
MEADOW = "meadow (invented)"


@pytest.fixture
def say(capsys, monkeypatch, tmp_path):
    """Run a command on a book of this test; return exit code and words."""
    monkeypatch.setenv("HAULWRIGHT_BOOK", str(tmp_path / "book.sqlite"))
    monkeypatch.setenv("COLUMNS", "108")

    def run(*words):
        code = main([str(word) for word in words])
        out = capsys.readouterr()
        return code, " ".join((out.out + out.err).split())

    return run


@pytest.fixture
def ask(say):
    """Run a command with --json; return exit code and record."""

    def run(*words):
        code, text = say(*words, "--json")
        return code, json.loads(text)

    return run


def test_a_day_with_the_book(say, tmp_path):
    code, text = say("book", "show")
    assert code == 2
    assert text.startswith("Refused (NO_BOOK): ")
    assert "haulwright book new" in text
    code, text = say("book", "new")
    assert (code, "empty; 0 files" in text) == (0, True)
    folder = tmp_path / "campaign"
    shutil.copytree(EXAMPLES / "campaign", folder, ignore=shutil.ignore_patterns("results"))
    code, text = say("book", "import", folder, "--by", "Kim")
    assert (code, f"campaign {MEADOW}: new, 14 files" in text) == (0, True)
    (folder / "runs.csv").write_bytes((folder / "runs.csv").read_bytes() + b"\n")
    (folder / "README.md").unlink()
    code, text = say("book", "import", folder)
    assert f"campaign {MEADOW}: version 2. changed: runs.csv; gone: README.md. Version 1 stays." in text
    assert "README.md is not in it any more; the version before still has it." in text
    code, text = say("book", "import", folder)
    assert "nothing new, version 2 is the same (13 files)." in text
    say("book", "import", EXAMPLES / "kit.yaml")
    code, text = say("book", "show", "--day", "2030-01-31", "--verify")
    assert code == 0
    assert "1 campaign, 8 runs, 1 kit, 16 pieces, 2 winches, 2 cells;" in text
    assert "16 files read back: all as they came in." in text
    assert "2026-03-31 OVERDUE calibration line-3t" in text
    assert "2030-02-07 inspection L-02" in text
    assert "In quarantine since" in text
    code, text = say("book", "export", MEADOW, "--out", tmp_path / "one", "--version", "1")
    assert code == 0
    assert (tmp_path / "one" / "README.md").is_file()
    code, text = say("book", "backup", "--out", tmp_path / "copy.sqlite")
    assert (code, "copy of the book" in text) == (0, True)
    code, text = say("book", "show", "--book", tmp_path / "copy.sqlite")
    assert "1 campaign" in text


def test_the_records(ask, tmp_path):
    code, record = ask("book", "new")
    assert (code, record["kind"], record["schema"]) == (0, "book", "0003")
    code, record = ask("book", "import", EXAMPLES / "kit.yaml", "--as", "the wagon")
    assert (code, record["kind"]) == (0, "book-import")
    assert record["documents"][0]["name"] == "the wagon"
    code, record = ask("book", "export", "all", "--out", tmp_path / "all")
    assert (code, record["kind"]) == (0, "files")
    assert {Path(one["path"]).name for one in record["files"]} == {
        "kit.yaml",
        "book.json",
        "datapackage.json",
    }
    code, record = ask("book", "backup", "--out", tmp_path / "copy")
    assert (code, record["kind"], len(record["files"])) == (0, "files", 1)
    code, record = ask("book", "show", "--verify")
    assert (code, record["verified"]["files"]) == (0, 1)
    assert set(record) >= {"counts", "due", "quarantine", "last_import", "schema", "documents", "friction"}


def test_damage_ends_with_one(ask, tmp_path):
    import sqlite3

    ask("book", "new")
    ask("book", "import", EXAMPLES / "kit.yaml")
    with sqlite3.connect(tmp_path / "book.sqlite") as connection:
        connection.execute("UPDATE files SET content = x'00'")
    connection.close()
    code, record = ask("book", "show", "--verify")
    assert (code, len(record["verified"]["damaged"])) == (1, 1)


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (["show", "--book", ""], "BOOK_URL"),
        (["show", "--book", "mysql://x"], "BOOK_URL"),
        (["show", "--day", "soon"], "USAGE"),
        (["import"], "USAGE"),
        (["import", "nothing.yaml"], "NO_FILE"),
        (["import", str(EXAMPLES / "campaign" / "decisions.yaml")], "NOT_KEPT"),
        (["export", "x"], "USAGE"),
        (["export", "x", "--out", "OUT"], "UNKNOWN_DOCUMENT"),
        (["export", "all", "--out", "OUT", "--version", "1"], "USAGE"),
        (["backup", "--out", "BOOK"], "EXISTS"),
        (["new"], "EXISTS"),
    ],
)
def test_refusals(ask, tmp_path, words, code):
    ask("book", "new")
    named = {"OUT": str(tmp_path / "out"), "BOOK": str(tmp_path / "book.sqlite")}
    done, record = ask("book", *(named.get(word, word) for word in words))
    assert (done, record["kind"]) == (2, "refusal")
    assert record["error"]["code"] == code, record
    assert set(tmp_path.iterdir()) <= {tmp_path / f"book.sqlite{end}" for end in ("", "-wal", "-shm")} | {
        tmp_path / "out"
    }
