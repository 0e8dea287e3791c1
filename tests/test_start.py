"""start.py: says what it can do without setting anything up, and needs the standard library only."""

import ast
import importlib.util
import subprocess
import sys
from pathlib import Path

import pytest

START = Path(__file__).resolve().parents[1] / "start.py"


@pytest.fixture
def start(tmp_path, monkeypatch):
    """The launcher as a module, its environment moved to an empty folder."""
    spec = importlib.util.spec_from_file_location("start", START)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    monkeypatch.setattr(module, "VENV", tmp_path / ".venv")
    monkeypatch.setattr(module, "PYTHON", tmp_path / ".venv" / "python")
    return module


def test_alone_it_lists_what_it_can_do():
    done = subprocess.run([sys.executable, START], capture_output=True, text=True, check=True)
    for verb in ("demo", "test", "setup", "rig list"):
        assert verb in done.stdout


def test_it_imports_the_standard_library_only():
    for node in ast.walk(ast.parse(START.read_text(encoding="utf-8"))):
        names = (
            [a.name for a in node.names]
            if isinstance(node, ast.Import)
            else [node.module]
            if isinstance(node, ast.ImportFrom)
            else []
        )
        assert all(name.split(".")[0] in sys.stdlib_module_names for name in names)


def test_a_set_up_counts_only_while_nothing_it_rests_on_changes(start, monkeypatch, tmp_path):
    assert not start.ready("run")
    start.VENV.mkdir()
    start.PYTHON.touch()
    (start.VENV / "set-up-test").write_text(start.stamp("test"), encoding="utf-8")
    assert start.ready("run")  # the tests' set-up holds all of the run's
    assert start.ready("test")
    changed = tmp_path / "requirements.lock"
    changed.write_text("other", encoding="utf-8")
    monkeypatch.setitem(start.LOCKS, "test", changed)
    assert not start.ready("test")


def test_a_failing_step_shows_what_it_said(start, capsys):
    with pytest.raises(RuntimeError, match="made up failure"):
        start.step("trying", [sys.executable, "-c", "import sys; sys.exit('made up failure')"])
    assert "failed" in capsys.readouterr().err


def test_an_old_python_is_told_so(start, monkeypatch, capsys):
    monkeypatch.setattr(sys, "version_info", (3, 10, 0))
    assert start.main(["demo"]) == 2
    assert "3.11" in capsys.readouterr().err


def test_an_environment_of_another_python_is_made_anew(start):
    assert not start.usable()
    start.VENV.mkdir()
    (start.VENV / "pyvenv.cfg").write_text("version = 3.11.0\n", encoding="utf-8")
    start.PYTHON.symlink_to(sys.executable)
    assert not start.usable()
    (start.VENV / "pyvenv.cfg").write_text(f"version = {start.platform.python_version()}\n", encoding="utf-8")
    start.PYTHON.unlink()
    assert not start.usable()  # no interpreter in it


@pytest.fixture
def built_by(start, tmp_path, monkeypatch):
    """A builder of pages that does as it is told: word -> exit code."""

    def told(**codes):
        script = tmp_path / "build.py"
        script.write_text(
            f"import pathlib, sys\nwords = sys.argv[1:] or ['build']\n"
            f"with open({str(tmp_path / 'asked')!r}, 'a') as log: log.write(words[0].lstrip('-') + ' ')\n"
            f"code = {codes!r}.get(words[0].lstrip('-'), 0)\n"
            "sys.exit('made up reason' if code else 0)\n"
        )
        monkeypatch.setattr(start, "BUILDER", script)
        monkeypatch.setattr(start, "PYTHON", Path(sys.executable))
        return lambda: (tmp_path / "asked").read_text().split()

    return told


def test_pages_that_are_fresh_are_left_alone(start, built_by, capsys):
    asked = built_by()
    assert start.pages()
    assert asked() == ["fresh"]
    assert capsys.readouterr().err == ""


def test_pages_whose_sources_changed_are_built(start, built_by, capsys):
    asked = built_by(fresh=1)
    assert start.pages()
    assert asked() == ["fresh", "node", "packages", "build"]
    assert "building …" in capsys.readouterr().err


def test_a_node_is_fetched_by_its_hash_only_where_none_will_do(start, built_by, monkeypatch):
    asked = built_by(fresh=1, node=1)
    steps = []
    monkeypatch.setattr(start, "step", lambda words, command: steps.append([str(word) for word in command]))
    assert start.pages()
    assert asked() == ["fresh", "node"]
    assert steps[0][-5:] == ["--require-hashes", "--only-binary", ":all:", "-r", str(start.NODE_LOCK)]
    assert len(steps) == 3


def test_a_failed_build_says_why_and_leaves_the_commands_working(start, built_by, monkeypatch, capsys):
    built_by(fresh=1, build=1)
    monkeypatch.setattr(start, "ready", lambda kind: True)
    ran = []
    monkeypatch.setattr(start, "run", lambda command, folder: ran.append(command[1:]) or 0)
    assert start.main(["serve", "--port", "0"]) == 0
    assert ran == [["-m", "haulwright", "serve", "--port", "0"]]
    said = capsys.readouterr().err
    assert "made up reason" in said
    assert "Every command works without them" in said
    assert "python3 start.py setup" in said


def test_set_up_without_pages_ends_with_another_exit_code(start, built_by, monkeypatch):
    monkeypatch.setattr(start, "ready", lambda kind: True)
    monkeypatch.setattr(start, "BIN", start.ROOT / ".venv" / "bin")
    built_by(fresh=1, packages=1)
    assert start.main(["setup"]) == 1
    built_by()
    assert start.main(["setup"]) == 0


def test_commands_that_show_no_page_wait_for_no_build(start, built_by, monkeypatch, tmp_path):
    built_by(fresh=1, build=1)
    monkeypatch.setattr(start, "ready", lambda kind: True)
    monkeypatch.setattr(start, "run", lambda command, folder: 0)
    assert start.main(["rig", "list"]) == 0
    assert not (tmp_path / "asked").exists()


def test_it_says_when_tests_that_look_at_pages_are_left_out(start, built_by, monkeypatch, capsys):
    built_by()
    monkeypatch.setattr(start, "ready", lambda kind: True)
    monkeypatch.setattr(start, "run", lambda command, folder: 0)
    monkeypatch.setattr(start.shutil, "which", lambda name: None)
    assert start.main(["test"]) == 0
    assert "No Chromium on this machine" in capsys.readouterr().err
