"""What is refused, how it is said, and what is never said: hostile questions and uploads."""

import io
import json
import re
import tempfile
import zipfile
from pathlib import Path

import pytest

from haulwright.errors import FileRefusal
from haulwright.interfaces.web.questions.pull import PULL_EXAMPLE as PULL
from haulwright.interfaces.web.settings import Settings, named_campaigns
from haulwright.interfaces.web.strict_json import read_json
from haulwright.interfaces.web.uploads import safe_name
from haulwright.interfaces.web.work import verbs as jobs

ROOT = Path(__file__).resolve().parents[3]
JOINT = ROOT / "examples" / "campaign" / "logs" / "meadow-two-a1.csv"
JSON = {"content-type": "application/json"}
SOLVE, PLAN, READ, MEASURE = "/api/rig/solve", "/api/plan/make", "/api/trial/read", "/api/trial/measure"


def refused(answer, status, code="", text=""):
    assert answer.status_code == status, answer.text
    assert answer.headers["content-type"] == "application/json"
    record = answer.json()
    assert set(record) == {"haulwright", "kind", "notices", "error"}
    assert record["kind"] == "refusal"
    assert set(record["error"]) == {"code", "message", "where", "line"}
    assert record["error"]["code"] == code or not code
    assert text in record["error"]["message"]
    assert len(record["error"]["message"]) < 1100
    return record["error"]


UNREADABLE = {
    "no JSON": b"rig: two-part",
    "cut off": b'{"rig": "two-part"',
    "key twice": b'{"rig": "two-part", "rig": "three-part"}',
    "not a number": b'{"rig": "two-part", "ratio": NaN}',
    "endless": b'{"rig": "two-part", "ratio": -Infinity}',
    "no UTF-8": b'{"rig": "caf\xe9"}',
    "nested": b'{"rig":' + b"[" * 5000 + b"]" * 5000 + b"}",
    "deep": b'{"rig":' + b'{"a":' * 70 + b"1" + b"}" * 70 + b"}",
    "many digits": b'{"rig": "two-part", "ratio": ' + b"9" * 6000 + b"}",
    "list": b"[]",
    "empty": b"",
}


@pytest.mark.parametrize("case", UNREADABLE)
def test_a_body_that_cannot_be_read_is_a_400(ask, case):
    refused(ask("POST", SOLVE, content=UNREADABLE[case], headers=JSON), 400, "BODY")


def test_a_body_must_say_that_it_is_json(ask):
    refused(
        ask("POST", SOLVE, content=b'{"rig": "two-part"}', headers={"content-type": "text/plain"}),
        400,
        "BODY",
    )


REFUSED = [
    ({"rig": "seven-part"}, "UNKNOWN", "Did you mean"),
    ({}, "MISSING_KEY", "rig"),
    ({"rig": "two-part", "laod": "3 kN"}, "UNKNOWN_KEY", "did you mean load?"),
    ({"rig": "two-part", "load": "26"}, "UNIT", "26"),
    ({"rig": "two-part", "load": 26}, "VALUE", "load"),
    ({"rig": "two-part", "ratio": 0.9}, "VALUE", "ratio"),
    ({"rig": "two-part", "ratio": "fast"}, "USAGE", "fast"),
    ({"rig": "two-part", "letting_back": "yes"}, "VALUE", "letting_back"),
    ({"rig": "two-part", "load": "1,500 kgf"}, "AMBIGUOUS", "1,500"),
    ({"rig": "two-part\x1b[31m"}, "VALUE", "control character"),
    ({"rig": "two-part", "devices": {"X": "\ud83d"}}, "VALUE", "control character"),
    ({"rig": "two-part", "monte_carlo": 10**9}, "VALUE", "monte_carlo"),
    ({"rig": {"load": 5}}, "", ""),
    ({"rig": "X.drum > ~M > !O"}, "UNDER", "M"),
    ({"rig": "/etc/hostname"}, "UNKNOWN", "no rig named"),
    ({"rig": "rigs/corner-by-the-oak.yaml"}, "UNKNOWN", "no rig named"),
]


@pytest.mark.parametrize(("body", "code", "text"), REFUSED, ids=[str(b[0])[:50] for b in REFUSED])
def test_a_rig_is_refused_as_anywhere(ask, body, code, text):
    refused(ask("POST", SOLVE, content=json.dumps(body), headers=JSON), 422, code, text)


def test_no_file_of_the_machine_is_read_whatever_is_named(ask):
    for key in ("kit", "friction", "own"):
        for path in ("/etc/hostname", "../kit.yaml", "examples/kit.yaml"):
            refused(ask("POST", PLAN, json={"pull": {**PULL, key: path}}), 422, "VALUE", "not its path")
            refused(
                ask("POST", "/api/resistance", json={"pull": {**PULL, key: path}}),
                422,
                "VALUE",
                "not its path",
            )
    rig = str(ROOT / "examples" / "rigs" / "stacked-two-parts.yaml")
    refused(ask("POST", PLAN, json={"pull": PULL, "rig": rig}), 422)
    refused(ask("POST", PLAN, json={"pull": {**PULL, "rig": rig}}), 422)
    asked = {"rig": rig, "logs": {"line": "612 kgf", "anchor": "1120 kgf"}}
    refused(ask("POST", MEASURE, json=asked), 422, "UNKNOWN")
    refused(ask("POST", "/api/kit/check", json={"kit": rig}), 422, "VALUE")


def test_nothing_in_an_address_is_passed_over(ask):
    refused(ask("GET", "/api/rig/solve?rig=two-part&rig=three-part"), 422, "VALUE", "twice")
    refused(ask("GET", "/api/rig/solve?rig=two-part&laod=3kN"), 422, "UNKNOWN_KEY", "laod")
    refused(ask("GET", "/api/rigs?like=two"), 422, "UNKNOWN_KEY", "like")
    refused(ask("POST", "/api/rig/solve?load=3kN", json={"rig": "two-part"}), 422, "UNKNOWN_KEY", "load")
    refused(
        ask("POST", f"{READ}?unit=kN", content=b"x", headers={"content-type": "text/csv"}),
        422,
        "UNKNOWN_KEY",
        "ask",
    )
    refused(ask("POST", f"{READ}?name=b.csv", files=[("log", ("a.csv", b"x"))]), 422, "UNKNOWN_KEY", "name")
    typed = {"rig": "two-part", "logs": {"line": "612 kgf", "anchor": "1120 kgf"}}
    refused(ask("POST", f"{MEASURE}?ask={{}}", json=typed), 422, "UNKNOWN_KEY", "ask")


def test_what_is_not_there_and_what_is_not_asked_that_way(ask):
    refused(ask("GET", "/nothing"), 404, "NOT_FOUND")
    refused(ask("GET", "/api/campaigns/meadow/check"), 404, "NOT_FOUND", "--campaign")
    refused(ask("GET", "/api/campaigns/..%2F..%2Fetc/check"), 404, "NOT_FOUND")
    answer = ask("DELETE", SOLVE)
    refused(answer, 405, "METHOD")
    assert answer.headers["allow"] == "GET, POST"
    for gone in ("/docs", "/redoc", "/openapi.json", "/api/docs"):
        refused(ask("GET", gone), 404, "NOT_FOUND")


def pieces(data, size=1000):
    async def give():
        for start in range(0, len(data), size):
            yield data[start : start + size]

    return give()


def test_what_is_too_large_is_refused_told_or_not(web):
    small = web(Settings(json_bytes=2000, log_bytes=5000, campaign_bytes=8000))
    huge = json.dumps({"rig": "two-part", "devices": {"X": "x" * 9000}}).encode()
    refused(small("POST", SOLVE, content=huge, headers=JSON), 413, "TOO_LARGE", "0.002 MB")
    refused(small("POST", SOLVE, content=pieces(huge), headers=JSON), 413, "TOO_LARGE")
    refused(small("POST", READ, content=huge, headers={"content-type": "text/csv"}), 413, "TOO_LARGE")
    refused(small("POST", READ, content=pieces(huge), headers={"content-type": "text/csv"}), 413, "TOO_LARGE")
    refused(small("POST", READ, files=[("log", ("a.csv", huge))]), 413, "TOO_LARGE")
    refused(small("POST", "/api/campaign/check", files=[("file", ("campaign.yaml", huge))]), 413, "TOO_LARGE")
    lying = {"content-type": "text/csv", "content-length": "1" + "0" * 30}
    refused(small("POST", READ, content=b"", headers=lying), 413, "TOO_LARGE")


def test_a_body_that_does_not_come_is_not_waited_for(web):
    async def slowly():
        yield b"{"
        await __import__("asyncio").sleep(5)

    hurried = web(Settings(body_s=0.05))
    refused(hurried("POST", SOLVE, content=slowly(), headers=JSON), 408, "TOO_SLOW")


def bomb():
    """A workbook that unpacks to far more than it is."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as book:
        book.writestr("[Content_Types].xml", "<Types/>")
        book.writestr("xl/workbook.xml", " " * 80_000_000)
        book.writestr("xl/worksheets/sheet1.xml", " " * 80_000_000)
    return out.getvalue()


HOSTILE = {
    "binary": bytes(range(256)) * 50,
    "empty": b"",
    "picture": b"\x89PNG\r\n\x1a\n" + bytes(3000),
    "archive": b"PK\x03\x04" + bytes(500),
    "bomb": bomb(),
    "web page": b"<html><script>alert(1)</script>\n" * 100,
    "one line": b"x" * 3_000_000,
    "many columns": b"a," * 100_000 + b"\n",
    "formulas": b"time_s,line_kgf,anchor_kgf\n" + b'=HYPERLINK("http://192.0.2.1"),@SUM(1),+1\n' * 50,
}


@pytest.mark.parametrize("case", HOSTILE)
def test_a_hostile_log_is_refused(ask, case):
    refused(ask("POST", READ, files=[("log", ("a.csv", HOSTILE[case]))]), 422)
    refused(
        ask("POST", READ, content=HOSTILE[case], headers={"content-type": "application/octet-stream"}), 422
    )


NAMES = [
    "../a.csv", "/etc/a.csv", "C:\\a.csv", "a\\..\\b.csv", "..", ".", "", ".hidden", "a/b.csv", "a.csv.", "a\x00.csv",
    "a\nb.csv", "x" * 300, "con<script>.csv", "a|b",
]  # fmt: skip


@pytest.mark.parametrize("name", NAMES)
def test_a_name_that_leads_elsewhere_is_refused(ask, name):
    with pytest.raises(FileRefusal, match="no plain name"):
        safe_name(name)
    if name:
        refused(
            ask("POST", READ, params={"name": name}, content=b"x", headers={"content-type": "text/csv"}),
            422,
            "NAME",
        )
    if (
        name.isprintable() and name and ":" not in name
    ):  # the form's reader itself takes a drive and its folders off
        refused(ask("POST", READ, files=[("log", (name, b"x"))]), 422, "NAME")


def test_a_campaign_is_kept_within_its_folder(ask):
    check = "/api/campaign/check"
    spec = ("file", ("campaign.yaml", b"campaign: a\n"))
    for name in ("../campaign.yaml", "logs/../../a.csv", "/logs/a.csv", "a/b/c/d/e.csv"):
        refused(ask("POST", check, files=[spec, ("file", (name, b"x"))]), 422, "NAME")
    refused(ask("POST", check, files=[spec, spec]), 422, "NAME", "twice")
    refused(ask("POST", check, files=[spec, ("file", ("Campaign.yaml", b""))]), 422, "NAME", "twice")
    refused(ask("POST", check, files=[spec, ("file", ("campaign.yaml/a", b""))]), 422, "NAME")
    refused(ask("POST", check, files=[("log", ("campaign.yaml", b"x"))]), 400, "BODY", "file")
    refused(ask("POST", check, files=[spec], data={"what": "x"}), 400, "BODY")
    refused(ask("POST", check, files=[spec], data={"ask": "{"}), 400, "BODY", "ask")
    refused(ask("POST", check, files=[spec], data={"ask": '{"rig": 1}'}), 422, "UNKNOWN_KEY", "rig")
    refused(ask("POST", check, json={}), 400, "BODY", "form")
    refused(ask("POST", check, content=b"x", headers={"content-type": "multipart/form-data"}), 400, "BODY")
    many = [("file", (f"logs/{n}.csv", b"x")) for n in range(600)]
    refused(ask("POST", check, files=many), 400, "BODY", "Too many files")


def test_a_run_sheet_cannot_reach_out_of_an_uploaded_campaign(ask, campaign):
    files = {
        path.relative_to(campaign).as_posix(): path.read_bytes()
        for path in campaign.rglob("*")
        if path.is_file()
    }
    sheet = files["runs.csv"].decode()
    for old, new in (
        ("meadow-two-a1.csv", "../../../etc/hostname"),
        ("meadow-two-a1.csv", "/etc/hostname"),
        ("two-part,puck-A", f"{ROOT}/examples/rigs/stacked-two-parts.yaml,puck-A"),
        ("two-part,puck-A", "../../rig.yaml,puck-A"),
    ):
        sent = {**files, "runs.csv": sheet.replace(old, new).encode()}
        answer = ask("POST", "/api/campaign/measure", files=[("file", one) for one in sent.items()])
        assert "hostname" not in answer.text or answer.status_code == 422
        assert "hostnam" in answer.text or "rig" in answer.text


def test_markup_and_formulas_come_back_as_text_that_does_nothing(ask, campaign):
    evil = "<script>alert(1)</script><img src=http://192.0.2.1/x onerror=alert(1)>"
    files = {
        path.relative_to(campaign).as_posix(): path.read_bytes()
        for path in campaign.rglob("*")
        if path.is_file()
    }
    sheet = files["runs.csv"].decode().replace("two-a1,", "=1+1,", 1)
    files["runs.csv"] = sheet.replace("both cells in one line; invented data", evil.replace(",", "")).encode()
    sent = [("file", one) for one in files.items()]
    report = ask("POST", "/api/campaign/report", files=sent)
    assert report.status_code == 200, report.text
    assert "<script" not in report.text
    assert "<img src=http" not in report.text
    policy = report.headers["content-security-policy"]
    assert "sandbox" in policy
    assert "script-src" not in policy
    pull = {**PULL, "pull": evil}
    plan = ask("POST", PLAN, json={"pull": pull})
    assert plan.json()["pull"] == evil
    assert plan.headers["content-type"] == "application/json"
    assert plan.headers["x-content-type-options"] == "nosniff"
    rig = {"anchors": {"<b>oak": {}}, "load": {"name": "truck"}, "blocks": {"B": {"on": "<b>oak"}},
           "lines": {"winch line": {"standing": "truck", "through": ["B"], "fall": "winch"}}, "winch": {"on": "truck"}}  # fmt: skip
    drawn = ask("POST", "/api/rig/draw", json={"rig": rig, "load": "20 kN"})
    assert drawn.status_code == 200, drawn.text
    assert "<b>" not in drawn.text


def test_a_failure_of_the_software_says_nothing_of_this_machine(ask, monkeypatch, capsys):
    def broken():
        raise RuntimeError(f"{ROOT}/secret")

    monkeypatch.setitem(jobs.VERBS, "rig_list", broken)
    said = refused(ask("GET", "/api/rigs"), 500, "FAULT")
    assert "secret" not in json.dumps(said)
    assert "secret" in capsys.readouterr().err


def test_a_failure_of_the_server_itself_is_a_refusal_too(ask, monkeypatch):
    async def broken(*_, **__):
        raise RuntimeError(f"{ROOT}/secret")

    monkeypatch.setattr("haulwright.interfaces.web.work.processes.AtOnce.run", broken)
    assert "secret" not in json.dumps(refused(ask("GET", "/api/rigs"), 500, "FAULT"))


def test_no_path_of_this_machine_stands_in_any_answer(web, campaign):
    served = web(Settings(campaigns=named_campaigns([campaign])))
    served("POST", READ, files=[("log", ("a.csv", JOINT.read_bytes()))])
    served("POST", READ, files=[("log", ("a.csv", b"x"))])
    served("POST", READ, content=JOINT.read_bytes(), headers={"content-type": "text/csv"})
    served("POST", MEASURE, files=[("log", ("a.csv", b"t_s,b\n1,2\n"))], data={"ask": '{"rig": "two-part"}'})
    served("GET", "/api/campaigns")
    served("GET", "/api/campaigns/meadow/check")
    served("GET", "/")
    for broken in ("campaign.yaml", "runs.csv", "logs/meadow-two-a1.csv", "decisions.yaml"):
        kept = (campaign / broken).read_bytes()
        for what in (b"", b"\xff\xfe\x00\x01", b"a: [1\n", None):
            if what is None:
                (campaign / broken).unlink()
            else:
                (campaign / broken).write_bytes(what)
            served("GET", "/api/campaigns/meadow/check")
            served("POST", "/api/campaigns/meadow/predict", json={"rig": "two-part", "devices": ["puck-A"]})
            served("POST", "/api/campaigns/meadow/design", json={"rigs": ["two-part"]})
        (campaign / broken).write_bytes(kept)
    (campaign / "campaign.yaml").unlink()
    (campaign / "campaign.yaml").symlink_to(campaign / "campaign.yaml")
    refused(served("GET", "/api/campaigns/meadow/check"), 422)
    sent = {"campaign.yaml": b"a: [1\n", "runs.csv": b"run\n"}
    for verb in ("check", "measure", "report", "predict", "design"):
        served(
            "POST", f"/api/campaign/{verb}", files=[("file", one) for one in sent.items()], data={"ask": "{}"}
        )
    assert sum(one.status_code >= 400 for one in served.said) > 25
    secret = (tempfile.gettempdir(), str(campaign.parent), str(ROOT), "haulwright-")
    for answer in served.said:
        text = answer.content.decode("utf-8", "replace")
        assert not [one for one in secret if one in text], text[:500]
        assert not re.search(r"(?<![\w/.])/(?:tmp|home|var|usr)/", text), text[:500]


def test_json_is_read_as_the_standard_has_it():
    assert read_json(b'{"a": [1, 2.5, null, "\xc3\xa4"]}') == {"a": [1, 2.5, None, "ä"]}


def test_a_folder_without_a_campaign_is_not_served(tmp_path):
    with pytest.raises(FileRefusal, match=re.escape("campaign.yaml")):
        named_campaigns([tmp_path])


def test_campaigns_of_one_name_are_told_apart(tmp_path):
    for place in ("a", "b"):
        (tmp_path / place / "Meadow 1").mkdir(parents=True)
        (tmp_path / place / "Meadow 1" / "campaign.yaml").touch()
    folders = [tmp_path / place / "Meadow 1" for place in ("a", "b", "a")]
    assert named_campaigns(folders) == {"meadow-1": folders[0], "meadow-1-2": folders[1]}
