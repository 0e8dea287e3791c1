"""The command line: answers, refusals and exit codes, each in a process of its own or in this one."""

import json
import subprocess
import sys

import pytest

from haulwright.interfaces.cli.main import main
from haulwright.version import __version__


@pytest.fixture
def cli(capsys):
    """Run the command line here; return exit code, stdout and stderr."""

    def run(*words):
        code = main([str(word) for word in words])
        out = capsys.readouterr()
        return code, out.out, out.err

    return run


def record(run, *words):
    code, out, err = run(*words, "--json")
    assert err == ""
    return code, json.loads(out)


def test_rig_solve_prints_one_record_and_nothing_else(cli):
    code, printed = record(cli, "rig", "solve", "three-part", "--ratio", "1.07", "--load", "26kN")
    assert code == 0
    assert (printed["haulwright"], printed["kind"]) == (__version__, "rig-solution")
    assert printed["effort_N"]["winch"] == pytest.approx(9259.2, abs=0.05)


def test_an_interval_of_the_ratio_reaches_every_number(cli):
    _, printed = record(cli, "rig", "solve", "two-part", "--ratio", "1.20±0.02", "--load", "10kN")
    advantage = printed["uncertainty"]["advantage"]
    assert advantage["value"] == pytest.approx(1 + 1 / 1.2)
    assert advantage["interval95"][1] - advantage["value"] == pytest.approx(0.02 / 1.2**2, rel=1e-3)
    assert "bodies.X.load_N" in printed["uncertainty"]


def test_words_show_stall_beside_expected_and_the_cautions(cli):
    code, out, _ = cli("rig", "solve", "two-part", "--ratio", "1.2", "--load", "10kN", "--stall", "42kN")
    assert code == 0
    assert "84.0" in out  # twice the stall at the anchor: friction never excuses smaller gear
    assert "Friction never excuses smaller gear" in out
    _, out, _ = cli("rig", "solve", "two-part", "--ratio", "1.2", "--load", "10kN")
    assert "Add --stall" in out


def test_units_follow_the_user(cli):
    _, out, _ = cli("rig", "solve", "two-part", "--ratio", "1.2", "--load", "1000kgf", "--units", "kgf")
    assert "545" in out  # 1000 kgf over 1.8333


def test_rig_list_names_every_rig_with_its_path(cli):
    _, printed = record(cli, "rig", "list")
    paths = {rig["name"]: (rig["path"], rig["ideal_advantage"]) for rig in printed["rigs"]}
    assert paths["stacked two-parts/off-load"] == ("X.drum > ~M > X ; ~M > !O > X", 4.0)


def test_rig_draw_writes_a_drawing(cli, tmp_path):
    code, printed = record(
        cli,
        "rig",
        "draw",
        "two-part",
        "--ratio",
        "1.1",
        "--load",
        "20kN",
        "--stall",
        "42kN",
        "--out",
        tmp_path,
    )
    assert code == 0
    (file,) = printed["files"]
    assert (tmp_path / "rig-two-part-on-load.svg").read_text(encoding="utf-8").startswith("<svg")
    assert len(file["sha256"]) == 64


REFUSED = [
    (["rig", "solve", "no such rig"], "UNKNOWN", "no such rig"),
    (["rig", "solve", "missing.yaml"], "NO_FILE", "missing.yaml"),
    (["rig", "solve", "two-part", "--ratio", "0.9"], "RATIO", "cannot give back more than it gets"),
    (["rig", "solve", "two-part", "--ratio", "x"], "USAGE", "--ratio x"),
    (["rig", "solve", "two-part", "--ratio", "Y=1.1"], "UNKNOWN", "no block 'Y'"),
    (["rig", "solve", "two-part", "--load", "1,500kgf"], "AMBIGUOUS", "1,500"),
    (["rig", "solve", "two-part", "--load", "2 ton"], "", "ton"),
    (["rig", "solve", "two-part", "--units", "stone"], "USAGE", "stone"),
    (["rig", "solve", "X.drum > ~M > !O"], "UNDER", "can move while the winch stands still"),
    (["rig", "solve", "two-part", "--loud"], "USAGE", "--loud"),
    (["rig", "fly"], "USAGE", "fly"),
    (["trial", "read", "missing.csv"], "", "missing.csv"),
    (["campaign", "measure", "missing-folder"], "", "missing-folder"),
    (["plan", "make", "missing.yaml"], "NO_FILE", "missing.yaml"),
    (["kit", "show", "missing.yaml"], "NO_FILE", "missing.yaml"),
]


@pytest.mark.parametrize(("words", "code", "text"), REFUSED, ids=[" ".join(r[0]) for r in REFUSED])
def test_bad_input_is_refused_with_one_message_and_exit_2(cli, words, code, text, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    done, out, err = cli(*words)
    assert done == 2
    assert not list(tmp_path.iterdir())  # nothing is left behind
    assert text in err
    assert len(err.strip().splitlines()) == 1
    assert "Traceback" not in out + err
    if code:
        done, printed = record(cli, *words)
        assert done == 2
        assert printed["kind"] == "refusal"
        assert printed["error"]["code"] == code
        assert text in printed["error"]["message"]


def test_help_imports_nothing_heavy():
    script = (
        "import sys, haulwright.interfaces.cli.main as m; m.main(['--help']);"
        "heavy = {'numpy', 'scipy', 'matplotlib', 'pydantic', 'typst', 'jinja2', 'ruamel'} & set(sys.modules);"
        "sys.exit(', '.join(sorted(heavy)) or 0)"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    assert "plan" in done.stdout


def test_solving_a_rig_needs_no_numpy():
    script = (
        "import sys, haulwright as hw; hw.solve_rig('two-part', 1.2, load='10 kN');"
        "sys.exit(', '.join({'numpy', 'scipy', 'matplotlib'} & set(sys.modules)) or 0)"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr


def test_version(cli):
    assert cli("--version")[1].strip() == f"haulwright {__version__}"
