"""Bad input, for every command and verb: exit 2, one helpful message, one refusal record, no changed file."""

import hashlib
import json
import math
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

import haulwright as hw
from haulwright.errors import UNPRINTABLE
from haulwright.interfaces.cli.main import main
from haulwright.mechanics.notation import parse_notation
from haulwright.quantities.unit_table import DIMENSIONS
from haulwright.quantities.units import parse

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
PULL = EXAMPLES / "pulls" / "rutted-clearing.yaml"
CAMPAIGN = EXAMPLES / "campaign"
LOGS = CAMPAIGN / "logs"
JOINT = LOGS / "meadow-two-a1.csv"
LONGEST = 1100  # characters of a message a person still reads


@pytest.fixture
def cli(capsys):
    def run(*words):
        code = main([str(word) for word in words])
        out = capsys.readouterr()
        return code, out.out, out.err

    return run


def assert_refused(cli, words, code="", text=""):
    """Without --json one line on stderr; with --json one record on stdout; both exit 2 and say the same."""
    done, out, err = cli(*words)
    assert (done, out) == (2, ""), err
    assert len(err.splitlines()) == 1
    assert err.startswith("Refused (")
    assert len(err) < LONGEST
    assert not UNPRINTABLE.search(err.rstrip("\n"))
    assert text in err
    done, out, err = cli(*words, "--json")
    assert (done, err) == (2, "")
    record = json.loads(out)
    assert set(record) == {"haulwright", "kind", "notices", "error"}
    assert record["kind"] == "refusal"
    assert set(record["error"]) == {"code", "message", "where", "line"}
    assert record["error"]["code"] == code or not code
    assert text in record["error"]["message"]
    return record["error"]


FILE_READERS = {
    "rig solve": (["rig", "solve"], ".yaml"),
    "rig draw": (["rig", "draw"], ".yaml"),
    "resistance": (["resistance"], ".yaml"),
    "plan make": (["plan", "make"], ".yaml"),
    "plan kit": (["plan", "make", PULL, "--kit"], ".yaml"),
    "plan friction": (["plan", "make", PULL, "--friction"], ".toml"),
    "kit show": (["kit", "show"], ".yaml"),
    "publish card": (["publish", "card"], ".yaml"),
    "trial read": (["trial", "read"], ".csv"),
    "trial measure": (["trial", "measure", "--rig", "two-part"], ".csv"),
    "trial rig": (["trial", "measure", JOINT, "--rig"], ".yaml"),
    "campaign measure": (["campaign", "measure"], ".yaml"),
    "campaign fit": (["campaign", "fit"], ".yaml"),
    "campaign compare": (["campaign", "compare"], ".yaml"),
    "campaign predict": (["campaign", "predict", "--rig", "two-part"], ".yaml"),
    "predict rig": (["campaign", "predict", CAMPAIGN, "--device", "puck-A", "--rig"], ".yaml"),
    "publish chart": (["publish", "chart"], ".yaml"),
    "publish report": (["publish", "report"], ".yaml"),
    "publish workbook": (["publish", "workbook"], ".yaml"),
    "publish bundle": (["publish", "bundle"], ".yaml"),
    "publish recompute": (["publish", "recompute"], ".zip"),
    "publish recompute folder": (["publish", "recompute"], ""),
    "book import": (["book", "import"], ".yaml"),
    "book archive": (["book", "import"], ".zip"),
    "book devices": (["book", "import"], ".toml"),
    "book show": (["book", "show", "--book"], ".sqlite"),
    "book backup": (["book", "backup", "--out", "haulwright-out/copy", "--book"], ".sqlite"),
}


@pytest.fixture(scope="session")
def empty_book(tmp_path_factory):
    at = tmp_path_factory.mktemp("book") / "book.sqlite"
    hw.new_book(at)
    return at


@pytest.fixture(autouse=True)
def not_the_user_s_book(monkeypatch, empty_book):
    monkeypatch.setenv("HAULWRIGHT_BOOK", str(empty_book))


def make_missing(path):
    return path


def make_empty(path):
    path.write_bytes(b"")
    return path


def make_blank(path):
    path.write_bytes(b" \n\n")
    return path


def make_binary(path):
    path.write_bytes(bytes(range(256)) * 8)
    return path


def make_folder(path):
    path.mkdir()
    return path


def make_huge(path):
    with path.open("wb") as file:
        file.truncate(2_100_000_000)  # sparse: takes no room
    return path


def make_unreadable(path):
    path.symlink_to(path)
    return path


def make_hostile(path):
    return f"{path.parent}/[bold]x\x1b[31m\n\udce9{path.suffix}"


def make_long(path):
    return path.with_name("x" * 3000 + path.suffix)


def make_nul(path):
    return f"a\0b{path.suffix}"


FILES = (
    make_missing,
    make_empty,
    make_blank,
    make_binary,
    make_folder,
    make_huge,
    make_unreadable,
    make_hostile,
    make_long,
    make_nul,
)


@pytest.mark.parametrize("make", FILES, ids=lambda make: make.__name__[5:])
@pytest.mark.parametrize("reader", FILE_READERS)
def test_a_file_that_cannot_be_used_is_refused_by_every_reader(cli, tmp_path, reader, make):
    words, suffix = FILE_READERS[reader]
    assert_refused(cli, [*words, make(tmp_path / f"given{suffix}")])


BOMB = "a: &a [x, x, x, x, x, x, x, x, x, x]\n" + "".join(
    f"{chr(98 + i)}: &{chr(98 + i)} [{', '.join([f'*{chr(97 + i)}'] * 10)}]\n" for i in range(8)
)
BAD_YAML = {
    "tabs": ("rig:\tx\n\tfoo: 1\n", "SYNTAX"),
    "colons": ("rig: a: b: c\n", "SYNTAX"),
    "unclosed": ("rig: [1, 2\n", "SYNTAX"),
    "open quote": ('rig: "abc\n', "SYNTAX"),
    "bomb": (BOMB, ""),
    "holds itself": ("&r\nrig: *r\n", "SYNTAX"),
    "deep": ("rig: " + "[" * 900, "SYNTAX"),
    "key twice": ("rig: a\nrig: b\n", "DUPLICATE_KEY"),
    "two documents": ("rig: a\n---\nrig: b\n", "SYNTAX"),
    "list": ("- a\n", "NOT_A_MAPPING"),
    "word": ("hello\n", "NOT_A_MAPPING"),
    "bad number": ("rig: !!int abc\n", "SYNTAX"),
    "6000 digits": ("rig: " + "9" * 6000 + "\n", "SYNTAX"),
    "run code": ('!!python/object/apply:os.system ["true"]\n', ""),
    "unknown alias": ("rig: *nope\n", "SYNTAX"),
    "control character": ('pull: "a\\e[31m"\nkit: "a\\e"\nrig: "a\\e"\n', "VALUE"),
    "units no mapping": ("units: 5\n", "VALUE"),
    "units unknown": ("units: {force: stone}\n", "VALUE"),
    "unknown key": ("laod: {}\n", "UNKNOWN_KEY"),
}


@pytest.mark.parametrize("command", ["rig solve", "resistance", "kit show"])
@pytest.mark.parametrize("case", BAD_YAML)
def test_bad_yaml_is_refused(cli, tmp_path, command, case):
    text, code = BAD_YAML[case]
    path = tmp_path / "given.yaml"
    path.write_text(text, encoding="utf-8")
    assert_refused(cli, [*command.split(), path], code)


def log(header="time_s,line_kgf,anchor_kgf", row="{i},{a},{b}", n=100, **fixed):
    """Return a log whose rows follow a pattern; i counts, a and b pull between two slack ends."""
    pulling = [20 <= i < n - 20 for i in range(n)]
    cells = [
        {"i": i, "a": 1000 + i % 7 if on else 0, "b": 1900 + i % 9 if on else 0}
        for i, on in enumerate(pulling)
    ]
    return header + "\n" + "".join(row.format(**{**cell, **fixed}) + "\n" for cell in cells)


BAD_LOGS = {
    "header only": ("time_s,line_kgf,anchor_kgf\n", "NO_ROWS"),
    "text in numbers": (log(a="abc"), ""),
    "a tenth is text": (log().replace("5,1", "5,x"), ""),
    "nan": (log(a="nan", b="inf"), ""),
    "overflow": (log(a="1e400"), ""),
    "beyond floats in newtons": (log(a="1e308", b="1e308"), ""),
    "clock falls": (log(row="-{i},{a},{b}"), ""),
    "clock jumps back": (
        "time_s,line_kgf,anchor_kgf\n"
        + "".join(f"{i if i < 50 else i - 40},{(i * 37) % 90},2\n" for i in range(100)),
        "CLOCK_BACKWARDS",
    ),
    "one stamp": (log(row="5,{a},{b}"), "NO_TIME"),
    "two ways to read the date": (
        log("time,line_kgf,anchor_kgf", "03/04/2025 10:{i:02d}:00,{a},{b}", 60),
        "DATES",
    ),
    "no such date": (log("time,line_kgf,anchor_kgf", "31/31/2025 10:{i:02d}:00,{a},{b}", 60), "DATES"),
    "two ways to read the figures": (
        "t_s;line_kgf;anchor_kgf\n" + "".join(f"{i};1,{100 + i};2,{100 + i}\n" for i in range(99)),
        "DECIMAL",
    ),
    "no unit": (log("time,line,anchor"), "UNIT"),
    "wrong unit": (log("time,line [psi],anchor [psi]"), ""),
    "few": (log(n=2), "TOO_FEW"),
    "no time": (log("line_kgf,anchor_kgf", "{a},{b}"), ""),
    "four nameless": (log("time_s,a_kgf,b_kgf,c_kgf,d_kgf", "{i},{a},{b},3,4"), "ROLES"),
    "two lines": (log("time_s,line1_kgf,line2_kgf,anchor_kgf", "{i},{a},{b},3"), "ROLES"),
    "open quote": (log().replace("\n0,", '\n"0,', 1), ""),
    "zero bytes": (log(row="{i},{a}\0,{b}"), "NOT_TEXT"),
    "terminal codes": (log("time_s,line\x1b[31m_kgf,anchor_kgf"), "NOT_TEXT"),
    "long field": (log().replace("\n0,", '\n"' + "x" * 200000 + '",', 1), ""),
    "web page": ("<html><body>\n" * 100, "NO_NUMBERS"),
}


@pytest.mark.parametrize("verb", ["read", "measure"])
@pytest.mark.parametrize("case", BAD_LOGS)
def test_a_log_that_tells_nothing_is_refused(cli, tmp_path, case, verb):
    text, code = BAD_LOGS[case]
    path = tmp_path / "given.csv"
    path.write_text(text, encoding="utf-8")
    assert_refused(cli, ["trial", verb, path, *(["--rig", "two-part"] if verb == "measure" else [])], code)


NO_RUN = {
    "one channel": log("time_s,line_kgf", "{i},{a}"),
    "never loaded": log(a=0, b=0),
    "pushed": log(a=-100, b=-190),
    "constant": log(a=100, b=190),
    "ramp": "time_s,line_kgf,anchor_kgf\n" + "".join(f"{i},{10 * i},{19 * i}\n" for i in range(100)),
}


@pytest.mark.parametrize("case", NO_RUN)
def test_a_log_without_a_run_gives_no_number(cli, tmp_path, case):
    path = tmp_path / "given.csv"
    path.write_text(NO_RUN[case], encoding="utf-8")
    assert_refused(cli, ["trial", "measure", path, "--rig", "two-part"])


BAD_OPTIONS = [
    # commands and options
    ("rig", "USAGE", "Missing command"),
    ("fly", "USAGE", "fly"),
    ("rig solve", "USAGE", "RIG"),
    ("rig solve two-part --loud", "USAGE", "--loud"),
    ("rig solve two-part extra", "USAGE", "extra"),
    ("rig solve two-part --units stone", "USAGE", "stone"),
    ("trial measure JOINT", "USAGE", "--rig"),
    # rigs
    ("rig solve|", "UNKNOWN", "names no rig"),
    ("rig solve|   ", "UNKNOWN", "names no rig"),
    ("rig solve seven-part", "UNKNOWN", "Did you mean"),
    (f"rig solve|{'a' * 5000}", "UNKNOWN", "no rig named"),
    ("rig solve|a.drum > b > a", "NO_LOAD", "!"),
    ("rig solve|!a > b > a", "NO_WINCH", "drum"),
    ("rig solve|!a.drum >", "OPEN_END", ">"),
    ("rig solve|!a.drum > b ; c > !a", "LOCKED", "solid"),
    ("rig solve|X.drum > ~M > !O", "UNDER", "M"),
    ("rig solve|Y.drum > X > !O | order O X Y", "BACKWARDS", "O"),
    ("rig solve|!a.drum > ~m > a", "ONE_WAY", "m"),
    ("rig solve|!a.drum > a > a", "ZERO_PART", "no length"),
    ("rig solve|!a.drum > b.becket > a", "NOTATION", "becket"),
    ("rig solve|!a.drum > b@c > b@d", "NOTATION", "b@c"),
    ("rig solve|!a\udce9.drum > b > a", "NOTATION", "control character"),
    ("rig solve|!\x1b[31ma.drum > b > a", "NOTATION", "control character"),
    ("rig solve|!a.drum > b > a | order a a b", "NOTATION", "once"),
    # numbers
    ("rig solve two-part --ratio nan", "USAGE", "nan"),
    ("rig solve two-part --ratio 0.9", "RATIO", "0.9"),
    ("rig solve two-part --ratio 107", "RATIO", "1.08"),
    ("rig solve two-part --ratio 1_1", "USAGE", "1_1"),
    ("rig solve two-part --ratio 1.1±-1", "USAGE", "±"),
    ("rig solve two-part --ratio X=1.1 --ratio X=1.3", "USAGE", "twice"),
    ("rig solve two-part --ratio X=1.1 --ratio 1.3", "USAGE", "BLOCK=K"),
    ("rig solve two-part --load 26", "UNIT", "26"),
    ("rig solve two-part --effort 26", "UNIT", "26"),
    ("rig solve two-part --stall 26", "UNIT", "stall"),
    ("rig solve two-part --load|-5kN", "INPUT", "above 0"),
    ("rig solve two-part --load|1,500 kgf", "AMBIGUOUS", "1,500"),
    ("rig solve two-part --load|2 ton", "AMBIGUOUS", "short"),
    ("rig solve two-part --load 1e308kN", "NUMBER", "finite"),
    ("rig solve two-part --load 5kN --effort 1kN", "INPUT", "one"),
    ("rig solve two-part --seized nope", "UNKNOWN", "nope"),
    ("rig draw two-part --light moon --out OUT", "LIGHT", "moon"),
    ("rig draw two-part --size poster --out OUT", "SIZE", "poster"),
    # trials
    ("trial measure JOINT --rig two-part --device a --device b", "DEVICES", "1 block"),
    ("trial measure JOINT --rig two-part --device|", "DEVICES", "without a name"),
    ("trial measure JOINT --rig two-part --line nope", "NO_COLUMN", "nope"),
    ("trial measure JOINT --rig two-part --anchor-at moon", "UNKNOWN", "moon"),
    ("trial measure JOINT --rig two-part --unit psi", "UNIT", "psi"),
    ("trial measure JOINT --rig two-part --dates sideways", "DATES", "day-first"),
    ("trial measure JOINT --rig two-part --zone Europe/Pariss", "ZONE", "Europe/Paris?"),
    ("trial measure JOINT --rig two-part --zone ../etc/passwd", "ZONE", "expected UTC"),
    ("trial measure JOINT --rig two-part --zone +99", "ZONE", "14 h"),
    ("trial measure JOINT --rig two-part --zone line=UTC,anchor=+02:00", "ZONE", "share one column"),
    ("trial measure JOINT --rig two-part --zone tree=UTC", "NO_CHANNEL", "tree"),
    ("trial measure JOINT --rig two-part --clock-offset 1kgf --by a --why b", "UNIT", "clock offset"),
    ("trial measure JOINT --rig two-part --clock-offset 2h --by a --why b", "BAD_CHOICE", "hour"),
    (
        "trial measure JOINT --rig two-part --clock-offset line=1s --by a --why b",
        "BAD_CHOICE",
        "line's clock",
    ),
    ("trial measure JOINT --rig two-part --clock-offset tree=1s --by a --why b", "NO_CHANNEL", "tree"),
    ("trial measure JOINT --rig two-part --clock-offset =1s --by a --why b", "USAGE", "PLACE=1.2s"),
    (
        "trial measure --typed line=612kgf anchor=1120kgf --rig two-part --zero line=1N --by a --why b",
        "BAD_CHOICE",
        "typed",
    ),
    ("trial measure JOINT --rig two-part --cell-class 0%", "CELL", "above 0"),
    ("trial measure JOINT --rig two-part --cell-class 50%", "CELL", "0.2"),
    ("trial measure JOINT --rig two-part --cell-class much", "NUMBER", "much"),
    ("trial measure JOINT --rig two-part --cell-class|", "NUMBER", "class"),
    ("trial measure JOINT --rig two-part --cell rubbish", "USAGE", "rubbish"),
    ("trial measure JOINT --rig two-part --cell moon:class=1%", "USAGE", "moon"),
    ("trial measure JOINT --rig two-part --cell line:colour=red", "CELL", "colour"),
    ("trial measure JOINT --rig two-part --cell line:class=1%,class=2%", "USAGE", "once"),
    ("trial measure JOINT --rig two-part --cell line:capacity=3", "UNIT", "3"),
    ("trial measure JOINT --rig two-part --cell line:capacity=0t", "CELL", "above 0"),
    ("trial measure JOINT --rig two-part --cell line:class=1%,of=moon", "CELL", "moon"),
    ("trial measure JOINT --rig two-part --cell line:class=1%,of=range", "CELL", "capacity"),
    # pulls
    ("plan make PULL --rig nope", "UNKNOWN", "nope"),
    ("plan make PULL --rig|", "UNKNOWN", ""),
    ("plan make PULL --rig|!a.drum > b > a", "UNKNOWN_BODY", "not on the site"),
    ("publish card PULL --paper a3 --out OUT", "PAPER", "a4"),
    ("campaign predict FOLDER --device puck-A", "USAGE", "--rig"),
    ("campaign predict FOLDER --rig two-part --device puk-A", "UNKNOWN_DEVICE", "did you mean puck-A?"),
    ("campaign predict FOLDER --rig two-part --device puck-A --load 20", "", "load"),
    ("campaign predict FOLDER --rig two-part --device puck-A --load=-2kN", "NUMBER", "above 0"),
    ("campaign predict FOLDER --rig two-prat --device puck-A", "", "two-p"),
    ("publish card PULL --date yesterday --out OUT", "VALUE", "yesterday"),
    ("publish card PULL --date 2025-99-99 --out OUT", "VALUE", "2025-99-99"),
    ("publish chart PULL --size card --out OUT", "SIZE", "laptop, phone"),
    ("publish chart PULL --light dusk --out OUT", "LIGHT", "dusk"),
    ("publish chart PULL --rig nope --out OUT", "UNKNOWN", "nope"),
    ("publish chart PULL --jobs 2 --out OUT", "USAGE", "--jobs"),
    ("publish chart FOLDER --rig two-part --out OUT", "USAGE", "campaign folder"),
    ("publish chart FOLDER --rig two-part --out OUT", "USAGE", "--rig"),
]


@pytest.mark.parametrize(("line", "code", "text"), BAD_OPTIONS, ids=[repr(b[0])[:70] for b in BAD_OPTIONS])
def test_a_wrong_word_is_refused(cli, tmp_path, line, code, text):
    plain, bar, last = line.partition("|")
    places = {"JOINT": JOINT, "PULL": PULL, "OUT": tmp_path, "FOLDER": CAMPAIGN}
    words = [places.get(word, word) for word in plain.split()] + ([last] if bar else [])
    if line == "rig":  # a bare group knows no --json
        assert cli("rig")[0] == 2
        assert text in cli("rig")[2]
        return
    assert_refused(cli, words, code, text)


WRITERS = {
    "rig draw": ["rig", "draw", "two-part", "--load", "5kN"],
    "campaign measure": ["campaign", "measure", CAMPAIGN],
    "campaign fit": ["campaign", "fit", CAMPAIGN],
    "publish report": ["publish", "report", CAMPAIGN],
    "publish workbook": ["publish", "workbook", CAMPAIGN],
    "publish bundle": ["publish", "bundle", CAMPAIGN],
    "publish card": ["publish", "card", PULL],
    "publish chart": ["publish", "chart", PULL],
    "demo": ["demo"],
}


@pytest.mark.parametrize(
    "writer", ["rig draw", "publish workbook", "publish bundle", "publish card", "publish chart", "demo"]
)
def test_a_place_that_cannot_be_written_is_refused_and_keeps_its_file(cli, tmp_path, writer):
    kept = tmp_path / "kept"
    kept.write_text("mine", encoding="utf-8")
    for out in (kept, kept / "below", tmp_path / ("x" * 300)):
        assert_refused(cli, [*WRITERS[writer], "--out", out], "OUT")
    assert kept.read_text(encoding="utf-8") == "mine"


@pytest.mark.parametrize(
    ("writer", "name"),
    [
        ("rig draw", "rig-two-part-on-load.svg"),
        ("publish card", "card-wagon-in-the-rutted-clearing.pdf"),
        ("publish chart", "pull-plan.svg"),
        ("campaign fit", "devices.toml"),
        ("publish workbook", "workbook-meadow-invented.xlsx"),
        ("publish bundle", "meadow-invented-data.zip"),
    ],
)
def test_a_folder_where_a_file_would_go_is_refused(cli, tmp_path, writer, name):
    (tmp_path / name).mkdir()
    assert_refused(cli, [*WRITERS[writer], "--out", tmp_path], "OUT", name)


def campaign(folder, **texts):
    shutil.copytree(CAMPAIGN, folder)
    for name, text in texts.items():
        (folder / name.replace("_", ".")).write_bytes(text if isinstance(text, bytes) else text.encode())
    return folder


RUNS = (CAMPAIGN / "runs.csv").read_text(encoding="utf-8")
HEADER, *ROWS = RUNS.splitlines()
SPEC = (CAMPAIGN / "campaign.yaml").read_text(encoding="utf-8")
BAD_CAMPAIGNS = {
    "header only": ({"runs_csv": HEADER + "\n"}, "EMPTY"),
    "unknown header": ({"runs_csv": RUNS.replace("rig,", "rigg,", 1)}, "UNKNOWN_HEADER"),
    "header twice": ({"runs_csv": f"{HEADER},run\n"}, "DUPLICATE_HEADER"),
    "header missing": ({"runs_csv": RUNS.replace(",rig", "", 1)}, "MISSING_HEADER"),
    "run twice": ({"runs_csv": f"{RUNS}{ROWS[1]}\n"}, "DUPLICATE_RUN"),
    "log twice": ({"runs_csv": RUNS.replace("two-b1.csv", "two-a1.csv")}, "DUPLICATE_LOG"),
    "unknown device": ({"runs_csv": RUNS.replace("puck-A", "puk-A")}, "UNKNOWN_DEVICE"),
    "unknown cell": ({"runs_csv": RUNS.replace("line-3t", "line3t")}, "UNKNOWN_CELL"),
    "date": ({"runs_csv": RUNS.replace("2025-06-02", "02.06.2025")}, "VALUE"),
    "log outside": ({"runs_csv": RUNS.replace("meadow-two-a1.csv", "../campaign.yaml")}, "NO_LOG"),
    "log missing": ({"runs_csv": RUNS.replace("meadow-two-a1.csv", "none.csv")}, "NO_LOG"),
    "log name too long": ({"runs_csv": RUNS.replace("meadow-two-a1.csv", "x" * 400)}, "NO_LOG"),
    "open quote": ({"runs_csv": RUNS.replace("both cells", '"both cells').replace(',1,"', ',1,"')}, ""),
    "commas in notes": ({"runs_csv": RUNS.replace("invented data", "a,b,c")}, "COLUMNS"),
    "terminal codes": ({"runs_csv": RUNS.replace("two-a1,", "two\x1b[31m,", 1)}, "ENCODING"),
    "not UTF-8": ({"runs_csv": RUNS.encode("utf-16")}, "ENCODING"),
    "place without a log": ({"runs_csv": RUNS.replace("notes", "notes,tree_column", 1)}, "MISSING_HEADER"),
    "class": ({"campaign_yaml": SPEC.replace("class: 0.5 %", "class: 50 %")}, "VALUE"),
    "bare ton": ({"campaign_yaml": SPEC.replace("3 t,", "3 ton,")}, "VALUE"),
    "reading or range": ({"campaign_yaml": SPEC.replace("of: reading", "of: redaing")}, "VALUE"),
    "decision on no run": (
        {"decisions_yaml": "exclusions: [{run: nope, who: a, when: 2025-01-01, why: b}]\n"},
        "UNKNOWN_RUN",
    ),
    "decision by nobody": (
        {"decisions_yaml": "exclusions: [{run: two-b1, when: 2025-01-01, why: b}]\n"},
        "MISSING_KEY",
    ),
    "decisions not UTF-8": ({"decisions_yaml": b"exclusions: [{run: caf\xe9}]\n"}, "ENCODING"),
}


@pytest.mark.parametrize("case", BAD_CAMPAIGNS)
def test_a_wrong_campaign_is_refused_and_left_as_it_was(cli, tmp_path, case):
    texts, code = BAD_CAMPAIGNS[case]
    folder = campaign(tmp_path / "campaign", **texts)
    before = {
        path: hashlib.sha256(path.read_bytes()).hexdigest() for path in folder.rglob("*") if path.is_file()
    }
    assert_refused(cli, ["campaign", "measure", folder], code)
    after = {
        path: hashlib.sha256(path.read_bytes()).hexdigest() for path in folder.rglob("*") if path.is_file()
    }
    assert after == before


def test_nothing_is_written_among_the_logs(cli, tmp_path):
    folder = campaign(tmp_path / "campaign")
    before = sorted((folder / "logs").iterdir())
    assert_refused(cli, ["campaign", "fit", folder, "--out", folder / "logs"], "OUT", "logs")
    assert sorted((folder / "logs").iterdir()) == before


BAD_DEVICES = {
    "no table": ("a = 1\n", "MISSING"),
    "no TOML": ("[devices.a\n", "TOML"),
    "not a number": (
        '[devices.a]\nk="1.1"\nu=0.1\ninterval95=[1,2]\nvalid_N=[1,2]\nsource={title="t"}\n',
        "NUMBER",
    ),
    "infinite": (
        '[devices.a]\nk=inf\nu=0.1\ninterval95=[1,inf]\nvalid_N=[1,2]\nsource={title="t"}\n',
        "NUMBER",
    ),
    "nan": ('[devices.a]\nk=1.1\nu=nan\ninterval95=[1,2]\nvalid_N=[1,2]\nsource={title="t"}\n', "NUMBER"),
    "too many digits": (
        f"[devices.a]\nk={'9' * 400}\nu=1\ninterval95=[1,2]\nvalid_N=[1,2]\nsource={{}}\n",
        "NUMBER",
    ),
    "unknown key": ("[devices.a]\nkk=1\n", "UNKNOWN_KEY"),
}


@pytest.mark.parametrize("case", BAD_DEVICES)
def test_a_wrong_devices_file_is_refused(cli, tmp_path, case):
    text, code = BAD_DEVICES[case]
    path = tmp_path / "devices.toml"
    path.write_text(text, encoding="utf-8")
    assert_refused(cli, ["plan", "make", PULL, "--friction", path], code)


BAD_CALLS = {
    "rig": lambda: hw.solve_rig("!a.drum > ~m > a"),
    "load without unit": lambda: hw.solve_rig("two-part", load="26"),
    "load nan": lambda: hw.solve_rig("two-part", load=math.nan),
    "ratio": lambda: hw.solve_rig("two-part", 0.5),
    "log": lambda: hw.read_trial(["missing.csv"]),
    "no log": lambda: hw.read_trial([]),
    "trial": lambda: hw.measure_trial(JOINT, rig="three"),
    "cell no mapping": lambda: hw.measure_trial(JOINT, rig="two-part", cells={"line": "0.5 %"}),
    "cell nowhere": lambda: hw.measure_trial(JOINT, rig="two-part", cells={"moon": {"class": "1 %"}}),
    "campaign": lambda: hw.measure_campaign("nowhere"),
    "plan": lambda: hw.make_plan({"pull": "x"}),
    "plan no mapping": lambda: hw.make_plan("nowhere.yaml"),
    "kit": lambda: hw.show_kit({"items": [{"id": "a"}]}),
    "kit whole number too great": lambda: hw.show_kit({"winches": [{"id": "a", "line_pull": 10**400}]}),
    "resistance": lambda: hw.estimate_resistance({}),
    "surrogate": lambda: hw.show_kit({"kit": "\ud83d"}),
}


@pytest.mark.parametrize("case", BAD_CALLS)
def test_python_raises_the_same_refusal(case):
    with pytest.raises(hw.Refusal) as caught:
        BAD_CALLS[case]()
    assert isinstance(caught.value, ValueError)
    assert caught.value.code
    assert str(caught.value) == caught.value.message


def test_a_kit_without_a_winch_is_never_inside():
    kit = {"items": [{"id": "S", "kind": "shackle", "rating": "5 t", "basis": "WLL"}]}
    (item,) = hw.show_kit(kit).items
    assert (item.verdict, item.utilisation) == ("unknown", None)


def test_a_cell_read_above_its_capacity_is_told():
    cells = {"line": {"class": "0.5 %", "capacity": "100 kgf"}}
    told = hw.measure_trial(JOINT, rig="two-part", cells=cells).notices
    assert any(n.code == "OUT_OF_RANGE" and "above its capacity" in n.message for n in told)


RIG = {
    "anchors": {"oak": {}},
    "load": {"name": "truck", "resistance": "20 kN"},
    "blocks": {"B": {"on": "oak", "wll": "30 kN"}},
    "lines": {"winch line": {"standing": "truck", "through": ["B"], "fall": "winch"}},
    "winch": {"on": "truck"},
}


def test_a_block_over_its_mark_is_told_at_the_load_and_at_stall(cli, tmp_path):
    path = tmp_path / "rig.yaml"
    path.write_text(json.dumps(RIG), encoding="utf-8")
    assert "what counts is winch stall" in cli("rig", "solve", path)[1].replace("\n", " ")
    assert "over its WLL" in cli("rig", "solve", path, "--stall", "42kN")[1].replace("\n", " ")
    assert "over its WLL" in cli("rig", "solve", path, "--load", "40kN")[1].replace("\n", " ")


@pytest.mark.parametrize(
    ("change", "code"),
    [
        ({"blocks": {"B": {"on": "oak"}, "C": {"on": "oak"}}}, "LOOSE"),
        ({"sheaves": {}}, "INPUT"),
        ({"sheaves": {"law": "per-contact", "k": True}}, "INPUT"),
        ({"sheaves": {"law": "per-contact", "k": "1.1"}}, "INPUT"),
        ({"load": {"name": "truck", "toward": ""}}, "UNKNOWN"),
        ({"order": []}, "INPUT"),
        ({"order": ["oak", "truck", "oak"]}, "INPUT"),
    ],
    ids=str,
)
def test_a_slip_in_a_rig_is_refused_not_passed_over(change, code):
    with pytest.raises(hw.Refusal) as caught:
        hw.solve_rig({**RIG, **change})
    assert caught.value.code == code


def test_what_the_solver_does_not_use_is_told():
    line = {**RIG["lines"]["winch line"], "length": "2 m", "rope": {"EA": "500 kN", "diameter": "11 mm"}}
    told = hw.solve_rig({**RIG, "lines": {"winch line": line}}).notices
    unused = (
        "length of winch line (needs places, at:)",
        "EA of winch line (needs places, at:)",
        "diameter of winch line",
    )
    assert any(", ".join(unused) in n.message for n in told)


def test_names_of_any_bytes_reach_the_answer_through_a_real_process(tmp_path):
    name = os.fsdecode(b"caf\xe9.csv")
    try:
        shutil.copy(JOINT, tmp_path / name)
    except OSError:
        pytest.skip("this file system takes no such name")
    env = {**os.environ, "PYTHONIOENCODING": "ascii"}
    done = subprocess.run(
        [sys.executable, "-m", "haulwright", "trial", "read", name, "--json"],
        cwd=tmp_path, env=env, capture_output=True, check=False,
    )  # fmt: skip
    assert (done.returncode, done.stderr) == (0, b"")
    assert json.loads(done.stdout)["files"][0]["path"] == name


# Whatever is typed or written, a parser answers or refuses; it throws nothing else.


def answer(verb):
    """Return what a verb answers, None where it refuses in one printable line; all else is thrown on."""
    message = ""
    try:
        return verb()
    except hw.Refusal as refusal:
        message = refusal.message
    assert message
    assert not UNPRINTABLE.search(message)
    return None


UNITS = sorted({name for units in DIMENSIONS.values() for unit in units for name in (unit.name, *unit.also)})
TYPED = st.one_of(
    st.text(max_size=30),
    st.text("0123456789.,:+-−±eE%/ \u00a0", max_size=20),
    st.builds("{} {}".format, st.one_of(st.floats(), st.integers()), st.sampled_from(UNITS)),
    st.builds("{}{} {}{}".format, st.integers(), st.sampled_from(UNITS), st.floats(), st.sampled_from(UNITS)),
)


@given(TYPED, st.sampled_from(sorted(DIMENSIONS)))
@example("1e308 t", "force")
@example("9" * 400, "fraction")
@settings(max_examples=400)
def test_a_typed_quantity_is_read_or_refused(text, dimension):
    value = answer(lambda: parse(text, dimension))
    assert value is None or math.isfinite(value)


@given(st.one_of(st.floats(), st.integers(), st.booleans(), st.none(), st.just(10**400)))
def test_a_number_in_a_quantitys_place_is_read_or_refused(value):
    found = answer(lambda: parse(value, "force", default_unit="kN"))
    assert found is None or math.isfinite(found)


NAMES = st.sampled_from(
    ["a", "b", "c", "!a", "~m", "a.drum", "!a.drum", "b@c", "b@a", "b.becket", "", " ", "x y"]
)


@given(
    st.one_of(
        st.text("ab!~@.>;| drumodre\x1b", max_size=40),
        st.lists(st.one_of(NAMES, st.sampled_from([">", ";", "|", "order"])), max_size=12).map(" ".join),
        st.lists(NAMES, min_size=2, max_size=7).map(" > ".join),
    )
)
@settings(max_examples=400)
def test_notation_is_solved_or_refused(text):
    solution = answer(lambda: hw.solve_rig(parse_notation(text), 1.1))
    assert solution is None or (solution.advantage > 0.0 and abs(solution.energy_residual) < 1e-6)


VALUES = st.one_of(
    st.none(), st.booleans(), st.integers(), st.floats(), st.just(10**400), st.text(max_size=8),
    st.sampled_from(["oak", "truck", "B", "10 kN", "0 m", "B.becket", "winch"]),
    st.lists(st.one_of(st.floats(), st.sampled_from(["1 m", "oak", "B"])), max_size=3),
    st.dictionaries(st.sampled_from(["on", "at", "law", "k", "floating"]), st.one_of(st.floats(), st.text(max_size=5)), max_size=2),
)  # fmt: skip


def _paths(node, before=()):
    if isinstance(node, dict):
        for key, value in node.items():
            yield (*before, key)
            yield from _paths(value, (*before, key))


FULL = {
    **RIG,
    "rig": "any",
    "mode": "line",
    "order": ["oak", "truck"],
    "sheaves": {"law": "by-wrap", "k": 1.07},
    "units": {"force": "kN", "length": "m"},
    "blocks": {"B": {"on": "oak", "sheave": {"law": "bearing", "f": 0.03, "c": 0.01}, "seized": False}},
}


TWO_WINCHES = {
    **FULL,
    "lines": {**RIG["lines"], "other": {"standing": "truck", "fall": "A"}},
    "units": {"force": "kN", "length": "m", "speed": "m/min"},
    "winches": {"winch": {"on": "truck", "speed": 2}, "A": {"on": "oak", "line_pull": 5, "speed": 3}},
}
del TWO_WINCHES["winch"]
FREE = {
    **TWO_WINCHES,
    "anchors": {"oak": {"at": [0, 8]}, "elm": {"at": [0, -5]}},
    "load": {"name": "truck", "at": [20, 0], "free": True, "force": [18, -2], "direction": [-1, 0]},
    "lines": {n: {"standing": "truck", "fall": n} for n in ("A", "winch")},
    "blocks": {},
    "winches": {"winch": {"on": "elm", "speed": 2}, "A": {"on": "oak", "speed": 3}},
}
del FREE["order"]
GEARED = {
    **FULL,
    "sheaves": {"law": "by-wrap", "k": "1.07 ± 0.02"},
    "units": {"force": "kN", "length": "m", "speed": "m/min"},
    "blocks": {
        "B": {
            "on": "oak", "sheave": {"law": "published", "row": "block-plain"}, "device": "puck", "sheave_diameter": 0.1,
            "mass": "2 kg", "material": "steel", "seized": 0.2,
        }
    },
    "lines": {"winch line": {**RIG["lines"]["winch line"], "tail": 0.5, "rope": {"diameter": 0.011}}},
    "winch": {
        "on": "truck", "speed": 3,
        "drum": {"capacity": 30, "barrel": 0.1, "width": 0.2, "flange": 0.3, "least_wraps": 5, "on_drum": 3},
    },
    "gaps": [{"from": "B", "to": "truck", "start": 4, "least": 1}],
    "want": {"travel": 5, "least_gap": 2},
}  # fmt: skip
hw.solve_rig(GEARED)  # imports and tables are loaded: the deadline is for the example alone


@given(
    st.sampled_from(
        [(rig, path) for rig in (FULL, TWO_WINCHES, FREE, GEARED) for path in sorted(_paths(rig))]
    ),
    VALUES,
)
@settings(max_examples=1000)
def test_a_rig_with_any_value_anywhere_is_solved_or_refused(place, value):
    given_rig, path = place
    rig = json.loads(json.dumps(given_rig))
    node = rig
    for key in path[:-1]:
        node = node[key]
    node[path[-1]] = value
    solution = answer(lambda: hw.solve_rig(rig))
    assert solution is None or json.dumps(solution.to_dict(), allow_nan=False)


@pytest.mark.parametrize("rig", [FULL, TWO_WINCHES, FREE])
def test_the_rigs_that_are_spoilt_can_be_solved(rig):
    assert hw.solve_rig(rig).energy_residual < 1e-9


@pytest.mark.parametrize(
    ("change", "code", "where"),
    [
        ({"winches": {"winch": {"on": "truck"}, "A": {"on": "oak"}}}, "REDUNDANT", ("winch", "A")),
        ({"winches": {"winch": {"on": "truck"}}}, "UNKNOWN", ("A",)),
        ({"winches": {}}, "NO_WINCH", ("winch line",)),
        ({"winches": {"winch": {"on": "truck"}, "A": {"on": "oak", "line_pul": 3}}}, "UNKNOWN_KEY", None),
        ({"winches": {"winch": {"on": "truck"}, "A": {"on": "oak", "line_pull": "3 m"}}}, "VALUE", None),
        ({"winches": {"winch": {"on": "truck"}, "A": {"on": "oak", "speed": "fast"}}}, "VALUE", None),
        ({"winches": ["A"]}, "VALUE", None),
        ({"load": {"name": "truck", "resistance": 20, "free": "maybe"}}, "VALUE", None),
        ({"load": {"name": "truck", "free": True, "force": [18]}}, "VALUE", None),
    ],
    ids=str,
)
def test_a_slip_in_winches_is_refused_by_name(change, code, where):
    with pytest.raises(hw.Refusal) as caught:
        hw.solve_rig({**TWO_WINCHES, **change})
    assert caught.value.code == code
    assert where is None or caught.value.where == where
