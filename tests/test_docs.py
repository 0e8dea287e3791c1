"""The pages say what the code does: commands, records, refusals, examples and links are compared with it."""

import ast
import doctest
import importlib
import importlib.util
import inspect
import pkgutil
import re
import shlex
import shutil
from dataclasses import fields, is_dataclass
from pathlib import Path

import pytest

import haulwright
from haulwright.catalogue import load_user
from haulwright.checking import published_check
from haulwright.errors import FileRefusal
from haulwright.files.campaign import read_campaign
from haulwright.files.kit import read_kit
from haulwright.files.pull import read_pull
from haulwright.files.rig import read_rig
from haulwright.files.seen import read_seen
from haulwright.interfaces.cli.main import main
from haulwright.planning.stuck import read_stuck

ROOT = Path(__file__).resolve().parents[1]
SOURCE = ROOT / "src" / "haulwright"
DOCS = ROOT / "docs"
OWN = sorted([*DOCS.rglob("*.md"), *SOURCE.rglob("*.md")])
TOP = [ROOT / name for name in ("README.md", "CONTRIBUTING.md", "CHANGELOG.md")]
PAGES = [*TOP, *OWN, *sorted((ROOT / "examples").rglob("*.md")), *sorted((ROOT / "benchmarks").rglob("*.md"))]
BLOCK = re.compile(r"^```([^\n`]*)\n(.*?)^```$", re.MULTILINE | re.DOTALL)


def name_of(document):
    return document.relative_to(ROOT).as_posix()


def text_of(document):
    return document.read_text(encoding="utf-8")


def blocks(document, language):
    """Return (rest of the info string, text) of every fenced block of one language."""
    found = []
    for info, body in BLOCK.findall(text_of(document)):
        word, _, rest = info.strip().partition(" ")
        if word == language:
            found.append((rest.strip(), body))
    return found


def with_blocks(language, pages):
    return pytest.mark.parametrize("document", [p for p in pages if blocks(p, language)], ids=name_of)


def script(name):
    spec = importlib.util.spec_from_file_location(name, DOCS / f"{name}.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


# generated pages


def test_the_command_reference_is_what_help_prints():
    assert text_of(DOCS / "commands.md") == script("make_commands").page(), "run python docs/make_commands.py"


def test_the_validation_page_is_what_the_check_counts():
    document = script("make_validation").page(published_check())
    assert text_of(DOCS / "validation.md") == document, "run python docs/make_validation.py"


def test_the_figure_of_the_signs_is_what_its_script_draws():
    assert text_of(DOCS / "img" / "signs.svg") == script("make_signs").page(), "run python docs/make_signs.py"


def test_every_command_named_on_a_page_exists():
    known = set(script("make_commands").commands())
    groups = {words[0] for words in known if len(words) == 2}
    wrong = []
    for document in PAGES:
        text = BLOCK.sub(
            lambda m: "" if m[1].split()[:1] in (["console"], ["python"]) else m[0], text_of(document)
        )
        spans = re.findall(r"`([^`\n]+)`", text)
        spans += [line for _, body in BLOCK.findall(text) for line in body.splitlines()]
        spans += [line for line in text.splitlines() if line.startswith("    haulwright ")]
        for span in spans:
            for first, second in re.findall(r"(?<!import )\bhaulwright ([a-z]+)(?: ([a-z]+)\b)?", span):
                words = (first, second) if first in groups and second else (first,)
                if words not in known:
                    wrong.append(f"{name_of(document)}: haulwright {' '.join(words)}")
    assert not wrong


# examples


@with_blocks("python", PAGES)
def test_python_examples_run(document, monkeypatch):
    monkeypatch.chdir(ROOT)
    names = {}
    for n, (_, body) in enumerate(blocks(document, "python"), 1):
        if ">>>" not in body:
            exec(compile(body, f"{name_of(document)}, block {n}", "exec"), names)
            continue
        told = []
        test = doctest.DocTestParser().get_doctest(body, names, f"{name_of(document)}, block {n}", None, None)
        runner = doctest.DocTestRunner(optionflags=doctest.NORMALIZE_WHITESPACE | doctest.ELLIPSIS)
        runner.run(test, out=told.append, clear_globs=False)
        names = test.globs
        assert not runner.summarize(verbose=False).failed, "".join(told)


def write_files(document, folder):
    """Write the named YAML, TOML and CSV blocks of a document into a folder; return their paths."""
    written = []
    for language in ("yaml", "toml", "csv"):
        for name, body in blocks(document, language):
            if name:
                path = folder / name
                path.parent.mkdir(parents=True, exist_ok=True)
                path.write_text(body, encoding="utf-8")
                written.append(path)
    return written


def plain(text):
    return " ".join(text.split())


@with_blocks("console", OWN)
def test_console_examples_print_what_the_page_shows(document, tmp_path, monkeypatch, capsys):
    write_files(document, tmp_path)
    shutil.copytree(ROOT / "examples", tmp_path / "examples")
    monkeypatch.chdir(tmp_path)
    for _, body in blocks(document, "console"):
        for command, shown in re.findall(r"^\$ haulwright (.*)\n((?:(?!\$ ).*\n?)*)", body, re.MULTILINE):
            main(shlex.split(command))
            out, err = capsys.readouterr()
            assert plain(shown), f"{command}: the document shows no answer"
            assert plain(shown) in plain(out + err), f"haulwright {command}"


def read_example(path):
    readers = {
        "kit": read_kit,
        "pull": read_pull,
        "devices": load_user,
        "rig": read_rig,
        "trailer": read_stuck,
        "creek.seen": read_seen,
    }
    if path.parent.name == "campaign":
        return read_campaign(path.parent)
    return readers.get(path.stem, read_rig)(path)


@pytest.mark.parametrize(
    "document",
    [p for p in OWN if any(name for lang in ("yaml", "toml") for name, _ in blocks(p, lang))],
    ids=name_of,
)
def test_named_files_are_complete_and_read(document, tmp_path):
    written = write_files(document, tmp_path)
    for path in written:
        if path.parent.name == "campaign":
            shutil.copytree(ROOT / "examples" / "campaign" / "logs", path.parent / "logs", dirs_exist_ok=True)
    for path in written:
        if path.name.startswith("wrong-"):
            with pytest.raises(FileRefusal):
                read_example(path)
        else:
            assert read_example(path)


def test_every_kind_of_file_has_a_complete_example():
    names = {name for lang in ("yaml", "toml", "csv") for name, _ in blocks(DOCS / "files.md", lang)}
    campaign = {f"campaign/{name}" for name in ("campaign.yaml", "runs.csv", "decisions.yaml")}
    assert names >= {"rig.yaml", "kit.yaml", "pull.yaml", "devices.toml", *campaign}


# refusals


def codes_of(call):
    """Return the refusal codes one call can give."""
    function = call.func
    name = getattr(function, "id", getattr(function, "attr", ""))
    if name == "one_of":
        words = [call.args[3]] if len(call.args) > 3 else [ast.Constant("WORD")]
    elif re.search(r"[Rr]efusal$|^_Fault$", name) and call.args:
        words = [call.args[0]]
    else:
        return set()
    if isinstance(words[0], ast.JoinedStr):
        return {"UNKNOWN_CELL", "UNKNOWN_DEVICE"} if "UNKNOWN_" in ast.unparse(words[0]) else {"?"}
    texts = [w.value for w in ast.walk(words[0]) if isinstance(w, ast.Constant) and isinstance(w.value, str)]
    return {text for text in texts if re.fullmatch(r"[A-Z][A-Z_]+", text)}


def refusal_codes():
    found = set()
    for path in SOURCE.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call):
                found |= codes_of(node)
    return found


def explained_codes():
    """Return the codes that stand in bold, or in the first column of a table, on any document."""
    found = set()
    for document in OWN:
        found |= set(re.findall(r"^\*\*([A-Z][A-Z_]+)\*\*: ", text_of(document), re.MULTILINE))
        for row in re.findall(r"^\| (`[^|]*) \|", text_of(document), re.MULTILINE):
            found |= set(re.findall(r"`([A-Z][A-Z_]+)`", row))
    return found | {"USAGE"} if "`USAGE`" in text_of(DOCS / "refusals.md") else found


def test_every_refusal_code_is_explained_and_no_other():
    codes = refusal_codes()
    assert len(codes) > 100
    assert codes - explained_codes() == set()
    assert explained_codes() - codes == set()


# links


def slug(heading):
    kept = re.sub(r"[^\w\- ]", "", heading.strip().lower())
    return kept.replace(" ", "-")


@pytest.mark.parametrize("document", PAGES, ids=name_of)
def test_every_relative_link_resolves(document):
    prose = BLOCK.sub("", text_of(document))
    broken = []
    for target in re.findall(r"\]\(([^)\s]+)\)", prose):
        if re.match(r"[a-z]+:", target):
            continue
        path, _, anchor = target.partition("#")
        file = (document.parent / path).resolve() if path else document
        headings = (
            re.findall(r"^#+ (.*)$", text_of(file), re.MULTILINE)
            if file.suffix == ".md" and file.is_file()
            else []
        )
        if not file.exists() or (anchor and anchor not in {slug(h) for h in headings}):
            broken.append(target)
    assert not broken


def test_lines_of_the_pages_are_short():
    long = [
        f"{name_of(document)}:{n}"
        for document in [*OWN, *TOP[1:]]
        if document.parent.name != "fonts"
        for n, line in enumerate(text_of(document).splitlines(), 1)
        if len(line) > 120 and not line.startswith("![")
    ]
    assert not long


# records


def public_classes():
    found = {}
    for info in pkgutil.walk_packages(haulwright.__path__, "haulwright."):
        if info.name.endswith("__main__"):
            continue
        module = importlib.import_module(info.name)
        for name, item in vars(module).items():
            if inspect.isclass(item) and item.__module__ == info.name:
                found.setdefault(name, []).append(item)
    return found


def record_tables():
    """Return heading -> (kind of the section, keys of its table)."""
    kind, tables = "", {}
    for part in re.split(r"^(?=##+ )", text_of(DOCS / "records.md"), flags=re.MULTILINE):
        heading = part.partition("\n")[0].lstrip("# ").strip()
        if part.startswith("## "):
            kind = heading.removeprefix("kind ") if heading.startswith("kind ") else ""
        if not part.startswith("### "):
            continue
        first = re.findall(r"^\| (`[^|]*) \|", part, re.MULTILINE)
        tables[heading] = (kind, [key for cell in first for key in re.findall(r"`([^`]+)`", cell)])
    return tables


def keys_of(cls):
    own = [f.name.removesuffix("_") for f in fields(cls) if not f.name.startswith("_")]
    return [name for name in own if name not in ("notices", "made") or not hasattr(cls, "kind")]


def test_records_page_has_every_key_of_every_record():
    classes = public_classes()
    tables = record_tables()
    kinds = {
        cls.kind: name
        for name, many in classes.items()
        for cls in many
        if hasattr(cls, "kind") and is_dataclass(cls)
    }
    kinds.pop(None, None)
    for kind, name in kinds.items():
        if name != "Demo":  # prints as the kind it extends
            assert tables[name][0] == kind
    for heading, (_, keys) in tables.items():
        if heading != "refusal":
            matching = [
                cls for cls in classes[heading] if is_dataclass(cls) and sorted(keys_of(cls)) == sorted(keys)
            ]
            assert matching, f"{heading}: {sorted(keys)}"


def test_names_of_the_nomenclature_stand_in_the_code():
    code = "\n".join(path.read_text(encoding="utf-8") for path in SOURCE.rglob("*.py"))
    cells = re.findall(r"^\| [^|]+ \| (`[^|]*) \|", text_of(DOCS / "nomenclature.md"), re.MULTILINE)
    names = [name for cell in cells for name in re.findall(r"`(\w+)`", cell)]
    assert len(names) > 40
    assert [name for name in names if not re.search(rf"\b{name}\b", code)] == []


# docstrings


def public_functions(*packages):
    """Yield module, name and function of every public function and method of the public modules."""
    for package in packages:
        root = importlib.import_module(f"haulwright.{package}")
        for info in pkgutil.walk_packages(root.__path__, f"haulwright.{package}."):
            if any(part.startswith("_") for part in info.name.split(".")):
                continue
            module = importlib.import_module(info.name)
            for name, item in vars(module).items():
                if name.startswith("_") or getattr(item, "__module__", "") != info.name:
                    continue
                if inspect.isfunction(item):
                    yield info.name, name, item
                elif inspect.isclass(item):
                    for method, one in vars(item).items():
                        one = getattr(one, "__func__", one)
                        if inspect.isfunction(one) and not method.startswith("_"):
                            yield info.name, f"{name}.{method}", one


def sections(function):
    """Return the numpydoc sections of a docstring: title -> lines."""
    found, title = {}, ""
    lines = inspect.cleandoc(function.__doc__ or "").splitlines()
    for line, below in zip(lines, [*lines[1:], ""], strict=True):
        if below and set(below) == {"-"}:
            title = line
            found[title] = []
        elif title and not (line and set(line) == {"-"}):
            found[title].append(line)
    return found


def documented_parameters(lines):
    names = [line.partition(" : ")[0] for line in lines if line and line[0] != " "]
    return [name.strip().lstrip("*") for cell in names for name in cell.split(",")]


FUNCTIONS = list(public_functions("quantities", "mechanics", "field", "trials", "planning"))


def test_public_functions_say_what_they_do_and_name_their_parameters():
    wrong = []
    for module, name, function in FUNCTIONS:
        if not (function.__doc__ or "").strip():
            wrong.append(f"{module}.{name}: no docstring")
            continue
        found = sections(function)
        if "Parameters" in found:
            signature = [p for p in inspect.signature(function).parameters if p not in ("self", "cls")]
            if documented_parameters(found["Parameters"]) != signature:
                wrong.append(
                    f"{module}.{name}: {documented_parameters(found['Parameters'])} is not {signature}"
                )
    assert len(FUNCTIONS) > 150
    assert not wrong, "\n".join(wrong)


def physics_functions():
    """Yield the functions that compute from numbers: laws of sheaves and ropes, and the field.

    Left out: checks of inputs, look-ups of catalogue rows, and the reader of a law in a rig file.
    """
    not_physics = ("inputs", "published", "published_gear", "published_rope", "law_from")
    for module, name, function in FUNCTIONS:
        package, _, inside = module.removeprefix("haulwright.").partition(".")
        physics = package == "field" or (package, inside) in (("mechanics", "sheave"), ("mechanics", "rope"))
        if physics and "." not in name and inside not in not_physics and name not in not_physics:
            yield f"{inside}.{name}", function


def test_physics_functions_give_range_refusals_source_and_example():
    lacking = {}
    for name, function in physics_functions():
        needed = ["Returns", "Raises", "References", "Examples"]
        needed += ["Parameters"] if inspect.signature(function).parameters else []
        found = sections(function)
        titles = [title for title in needed if not "".join(found.get(title, [])).strip()]
        if titles:
            lacking[name] = " ".join(titles)
    assert len(list(physics_functions())) > 40
    assert not lacking
