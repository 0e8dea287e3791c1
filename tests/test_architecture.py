"""Data flows one way: every import (lazy ones too) goes down the layers, none sideways, none round."""

import ast
import sys
from pathlib import Path

import pytest

SRC = Path(__file__).resolve().parents[1] / "src" / "haulwright"
GROUND = {"version", "errors", "notices", "progress", "sources", "records", "data_package"}
NUMBERS = GROUND | {"quantities", "catalogue"}
BOOKS = NUMBERS | {"mechanics", "field", "files"}
ALLOWED = {
    "version": set(),
    "errors": {"version"},
    "notices": set(),
    "progress": set(),
    "sources": set(),
    "records": {"version", "notices"},
    "data_package": {"version"},
    "quantities": GROUND,
    "catalogue": GROUND | {"quantities"},
    "mechanics": NUMBERS,
    "field": NUMBERS,
    "files": NUMBERS | {"mechanics", "field"},
    "trials": BOOKS,
    "planning": BOOKS,
    "checking": NUMBERS | {"mechanics", "field"},
    "publishing": NUMBERS | {"mechanics", "field", "trials", "planning"},  # their records only, see below
    "book": GROUND | {"quantities"},
    "kept": BOOKS | {"planning", "book"},
    "workflows": BOOKS | {"trials", "planning", "checking", "publishing", "book", "kept"},
    "interfaces": GROUND | {"quantities", "publishing", "workflows", "kept"},
    "__init__": {"version", "errors", "quantities", "workflows"},
    "__main__": {"interfaces"},
}
STANDARD_ONLY = {"quantities", "catalogue", "mechanics", "field", "checking", *GROUND}
BATCH = "haulwright.mechanics.batch"  # many rigs or samples at once: alone below trials, it has numpy
RECORD_MODULES = {"kit_result", "outline", "pull_result", "result", "solution"}


def modules():
    return sorted(SRC.rglob("*.py"))


def name_of(path):
    parts = list(path.relative_to(SRC.parent).with_suffix("").parts)
    return ".".join(parts[:-1] if parts[-1] == "__init__" and len(parts) > 2 else parts)


def room_of(name):
    """The layer of a dotted name: its second part, e.g. mechanics."""
    return name.split(".")[1] if "." in name else "__init__"


def imports(path):
    """Every import of a module as (dotted name, names taken from it), wherever it stands."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from ((alias.name, ()) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: write imports in full"
            yield node.module, tuple(alias.name for alias in node.names)


def ours(path):
    """The modules of ours that a module imports, as dotted names."""
    known = {name_of(p) for p in modules()}
    for module, names in imports(path):
        if module.split(".")[0] != "haulwright":
            continue
        for name in names or ("",):
            whole = f"{module}.{name}"
            yield whole if whole in known else "haulwright.__init__" if module == "haulwright" else module


def test_every_room_is_in_the_table():
    assert {room_of(name_of(path)) for path in modules()} <= set(ALLOWED)


@pytest.mark.parametrize("path", modules(), ids=name_of)
def test_imports_go_down_only(path):
    room = room_of(name_of(path))
    for module in ours(path):
        target = room_of(module)
        assert target == room or target in ALLOWED[room], f"{name_of(path)} must not import {module}"


def in_batch(name):
    return f"{name}.".startswith(f"{BATCH}.")


@pytest.mark.parametrize("path", [p for p in modules() if room_of(name_of(p)) in STANDARD_ONLY], ids=name_of)
def test_the_lower_layers_use_the_standard_library_only(path):
    more = {"numpy"} if in_batch(name_of(path)) else set()
    for module, _ in imports(path):
        top = module.split(".")[0]
        assert top in {"haulwright", "__future__"} | more or top in sys.stdlib_module_names, (
            f"{name_of(path)} imports {module}"
        )


@pytest.mark.parametrize("path", modules(), ids=name_of)
def test_what_runs_without_numpy_leaves_batch_alone(path):
    if room_of(name_of(path)) in STANDARD_ONLY | {"files", "planning"} and not in_batch(name_of(path)):
        assert not [module for module in ours(path) if in_batch(module)]


@pytest.mark.parametrize("path", [p for p in modules() if room_of(name_of(p)) == "planning"], ids=name_of)
def test_planning_runs_without_numpy(path):
    assert not {module.split(".")[0] for module, _ in imports(path)} & {"numpy", "scipy", "matplotlib"}


@pytest.mark.parametrize("path", [p for p in modules() if room_of(name_of(p)) == "publishing"], ids=name_of)
def test_publishing_takes_records_never_solvers(path):
    for module in ours(path):
        if room_of(module) in {"mechanics", "field", "trials", "planning"}:
            assert module.split(".")[-1] in RECORD_MODULES, f"{name_of(path)} must not import {module}"


def test_the_server_alone_knows_the_web_framework():
    web = {"fastapi", "starlette", "uvicorn", "multipart", "segno", "asyncio", "http", "socket"}
    knows = {name_of(p) for p in modules() if web & {module.split(".")[0] for module, _ in imports(p)}}
    assert knows
    assert all(name.startswith("haulwright.interfaces.web.") for name in knows), knows


def test_no_module_imports_itself_round_a_corner():
    graph = {name_of(p): {m for m in ours(p) if m != "haulwright.__init__"} - {name_of(p)} for p in modules()}
    state: dict[str, int] = {}

    def visit(module, trail):
        if state.get(module) == 1:
            raise AssertionError("import cycle: " + " > ".join([*trail[trail.index(module) :], module]))
        if state.get(module) == 2:
            return
        state[module] = 1
        for other in sorted(graph.get(module, ())):
            visit(other, [*trail, module])
        state[module] = 2

    for module in sorted(graph):
        visit(module, [])


def test_no_assert_checks_input():
    for path in modules():
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            assert not isinstance(node, ast.Assert), (
                f"{name_of(path)} line {node.lineno}: gone under -O; raise instead"
            )
