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
