"""The book over HTTP: the same records as from Python, no path of the machine, nothing of the user's runs or is lost."""

import asyncio
import io
import zipfile

import pytest

import haulwright as hw
from haulwright.interfaces.web.settings import Settings
from haulwright.kept.documents import read_document
from haulwright.kept.where import Where

DEMO = {"Haulwright-Book": "demo"}
KIT = "/api/book/kit/the wagon's own kit/items"
MEADOW = "/api/campaigns/meadow (invented)"
PNG = b"\x89PNG\r\n\x1a\n" + bytes(range(200))


@pytest.fixture
def asked(web, tmp_path):
    """Asks of a book of its own; no answer may tell where that lies."""
    asked = web(Settings(book=str(tmp_path / "room" / "own.sqlite")))
    yield asked
    for said in asked.said:
        assert str(tmp_path).encode() not in said.content, said.request.url
        assert b"site-packages" not in said.content


def code(said):
    return said.json()["error"]["code"]


def put(asked, kind, name, content, **more):
    return asked("PUT", f"/api/book/documents/{kind}/{name}", json={"content": content, **more})


def test_the_record_of_the_book_is_that_of_the_command_line(asked, tmp_path, examples):
    asked("GET", "/api/book")
    at = tmp_path / "room" / "own.sqlite"
    hw.import_to_book(examples / "kit.yaml", book=at)
    said, told = asked("GET", "/api/book").json(), hw.show_book(at).to_dict()
    assert said.pop("book") == "own"
    told.pop("book")
    assert said == told


def test_a_document_is_put_read_and_put_again(asked, tmp_path):
    piece = {"id": "S-1", "kind": "shackle", "rating": "4.75 t", "basis": "WLL"}
    assert put(asked, "kit", "club", {"items": [piece]}, by="Kim").status_code == 200
    said = put(
        asked, "kit", "club", {"kit": "club", "items": [{**piece, "wet": True}]}, version=1, why="rain"
    )
    assert said.json()["version"] == 2
    assert put(asked, "kit", "club", {"items": []}, version=1).status_code == 409
    assert code(put(asked, "kit", "club", {"items": []}, version=1)) == "CHANGED"
    same = read_document(Where(at=str(tmp_path / "room" / "own.sqlite")), "kit", "club").to_dict()
    assert asked("GET", "/api/book/documents/kit/club").json() == same
    first = asked("GET", "/api/book/documents/kit/club?version=1").json()
    assert first["content"]["items"] == [piece]
    assert [one["why"] for one in first["versions"]] == ["", "rain"]
    assert asked("GET", "/api/book/documents/kit/club?version=9").status_code == 404
    assert asked("GET", "/api/book/documents/kit/none").status_code == 404
    listed = asked("GET", "/api/book/documents?kind=kit").json()["documents"]
    assert [(one["name"], one["version"], one["files"]) for one in listed] == [("club", 2, 1)]


def test_what_is_wrong_in_a_document_is_said_where_it_stands(asked):
    said = put(asked, "kit", "club", {"items": [{"id": "S-1", "kind": "shackel"}]}).json()["error"]
    assert said["code"] == "VALUE"
    assert "items[1].kind" in said["where"]
    assert "did you mean shackle?" in said["message"]


def test_the_demo_book_is_another(asked):
    names = [one["name"] for one in asked("GET", "/api/book/documents", headers=DEMO).json()["documents"]]
    assert "meadow (invented)" in names
    assert asked("GET", "/api/book/documents").json()["documents"] == []
    found = asked("GET", "/api/campaigns", headers=DEMO).json()
    assert [(one["name"], one["from"], one["invented"]) for one in found["entries"]] == [
        ("meadow (invented)", "book", True)
    ]
    assert asked("GET", "/api/campaigns").json()["campaigns"] == []
    assert code(asked("GET", "/api/book", headers={"Haulwright-Book": "mine"})) == "VALUE"


def test_a_campaign_of_the_book_answers_as_its_folder_does(web, campaign, tmp_path):
    folder = web(Settings(campaigns={"meadow": campaign}, book=str(tmp_path / "room" / "own.sqlite")))
    files = [
        ("file", (f"meadow/{path.relative_to(campaign).as_posix()}", path.read_bytes()))
        for path in sorted(campaign.rglob("*"))
        if path.is_file()
    ]
    said = folder("POST", "/api/book/import", files=files, data={"ask": '{"by": "Kim"}'})
    assert said.json()["documents"][0]["outcome"] == "new"
    entries = folder("GET", "/api/campaigns").json()["entries"]
    assert [(one["name"], one["from"]) for one in entries] == [
        ("meadow", "folder"),
        ("meadow (invented)", "book"),
    ]
    for what in ("check", "measure", "runs"):
        one, other = (
            folder("GET", f"/api/campaigns/{name}/{what}") for name in ("meadow", "meadow (invented)")
        )
        assert one.status_code == other.status_code == 200
        assert one.json() == other.json(), what
    assert folder("GET", f"{MEADOW}/report").status_code == 200
    asking = {"rig": "two-part", "devices": ["puck-A"]}
    one, other = (
        folder("POST", f"/api/campaigns/{name}/predict", json=asking)
        for name in ("meadow", "meadow (invented)")
    )
    assert one.json() == other.json()
    told = {"run": "two-a1", "what": "exclusion", "by": "Kim", "why": "x"}
    assert code(folder("POST", "/api/campaigns/meadow/decide", json=told)) == "READ_ONLY"
    assert folder("POST", f"{MEADOW}/decide", json=told).json()["version"] == 2
    decided = folder("GET", f"{MEADOW}/runs").json()["decisions"]
    assert [(one["run"], one["what"], one["who"]) for one in decided] == [("two-a1", "left out", "Kim")]
    assert folder("POST", f"{MEADOW}/decide", json={**told, "withdraw": True}).json()["version"] == 3
    assert folder("GET", f"{MEADOW}/measure").json() == folder("GET", "/api/campaigns/meadow/measure").json()
    assert code(folder("GET", "/api/campaigns/nix/check")) == "NOT_FOUND"
    assert b"/room" not in b"".join(said.content for said in folder.said)


def test_photographs_come_back_sealed(asked):
    assert asked("PUT", f"{KIT}/B-01/photos?by=Kim", content=PNG, headers=DEMO).json()["version"] == 2
    said = asked("GET", f"{KIT}/B-01/photos/1", headers=DEMO)
    assert said.content == PNG
    assert said.headers["content-type"] == "image/png"
    assert said.headers["x-content-type-options"] == "nosniff"
    assert said.headers["content-security-policy"] == "default-src 'none'; sandbox"
    assert [one["size"] for one in asked("GET", f"{KIT}/B-01/photos", headers=DEMO).json()["photos"]] == [
        len(PNG)
    ]
    assert code(asked("PUT", f"{KIT}/B-01/photos", content=b"<svg onload=x>", headers=DEMO)) == "PHOTO"
    assert asked("PUT", f"{KIT}/B-01/photos", content=PNG + bytes(9_000_000), headers=DEMO).status_code == 413
    assert code(asked("PUT", f"{KIT}/no/photos", content=PNG, headers=DEMO)) == "UNKNOWN_ITEM"
    assert (
        asked("PUT", f"{KIT}/B-01/photos/1", content=b"\xff\xd8\xff\xe0", headers=DEMO).json()["version"] == 3
    )
    assert asked("DELETE", f"{KIT}/B-01/photos/1", headers=DEMO).json()["version"] == 4
    assert asked("GET", f"{KIT}/B-01/photos/1", headers=DEMO).status_code == 404


def test_quarantine_and_inspection_take_one_call(asked):
    told = {"on": True, "by": "Kim", "why": "<b>bent</b>"}
    assert asked("POST", f"{KIT}/B-01/quarantine", json=told, headers=DEMO).status_code == 200
    held = {one["item"]: one for one in asked("GET", "/api/book", headers=DEMO).json()["quarantine"]}
    assert (held["B-01"]["by"], held["B-01"]["why"]) == ("Kim", "<b>bent</b>")
    kit = asked("GET", "/api/book/documents/kit/the wagon's own kit", headers=DEMO).json()["content"]
    found = asked("POST", "/api/kit/check", json={"kit": kit}).json()
    assert next(one for one in found["items"] if one["item"] == "B-01")["uses"] == []
    told = {"day": "2026-02-01", "by": "Kim", "next": "2027-02-01"}
    assert asked("POST", f"{KIT}/B-01/inspection", json=told, headers=DEMO).status_code == 200
    due = {one["name"]: one["due"] for one in asked("GET", "/api/book", headers=DEMO).json()["due"]}
    assert due["B-01"] == "2027-02-01"


def test_a_pull_names_its_kit_and_keeps_what_was_seen(asked):
    name = "Wagon in the rutted clearing"
    pull = asked("GET", f"/api/book/documents/pull/{name}", headers=DEMO).json()
    assert pull["beside"] == {"kit": "the wagon's own kit"}
    plan = asked("POST", "/api/plan/make", json={"pull": pull["content"]}, headers=DEMO)
    assert plan.json()["kind"] == "plan"
    assert (
        code(asked("POST", "/api/plan/make", json={"pull": pull["content"]})) == "VALUE"
    )  # the own book has no such kit
    seen = asked(
        "POST", "/api/plan/seen", json={"pull": name, "line": "8.4 ± 0.2 kN", "by": "Kim"}, headers=DEMO
    ).json()
    assert (seen["kind"], seen["entries"]) == ("pull-seen", 1)
    kept = asked("GET", "/api/book", headers=DEMO).json()["seen"]
    assert kept[0]["seen_N"][1] == pytest.approx(seen["seen_N"]["value"], abs=0.1)
    other = asked(
        "POST", "/api/plan/seen", json={"pull": pull["content"], "line": "8.4 ± 0.2 kN"}, headers=DEMO
    ).json()
    assert (other["seen_N"], other["entries"]) == (seen["seen_N"], 0)


def test_out_as_one_archive_and_in_again(asked):
    said = asked("GET", "/api/book/export", headers=DEMO)
    assert said.headers["content-type"] == "application/zip"
    assert said.headers["content-disposition"] == 'attachment; filename="haulwright-book.zip"'
    with zipfile.ZipFile(io.BytesIO(said.content)) as archive:
        assert "book.json" in archive.namelist()
    into = asked("POST", "/api/book/import", files=[("file", ("book.zip", said.content))]).json()
    assert {one["outcome"] for one in into["documents"]} == {"new"}
    twice = asked("POST", "/api/book/import", files=[("file", ("book.zip", said.content))]).json()
    assert {one["outcome"] for one in twice["documents"]} == {"unchanged"}
    assert asked("GET", "/api/book/export?kind=kit&name=the wagon's own kit").status_code == 200
    assert code(asked("GET", "/api/book/export?kind=kit")) == "VALUE"
    copy = asked("GET", "/api/book/backup")
    assert copy.content[:16] == b"SQLite format 3\0"


@pytest.mark.parametrize(
    ("name", "content", "refusal"),
    [
        ("../kit.yaml", b"kit: x", "NAME"),
        ("/etc/kit.yaml", b"kit: x", "NAME"),
        (".hidden.yaml", b"kit: x", "NAME"),
        ("kit.yaml", b"\x00\xff\xfe", "ENCODING"),
        ("kit.yaml", b'items: [{id: "a\\u001b[31m", kind: shackle}]', "VALUE"),
        ("a.exe", b"MZ\x00", "NOT_KEPT"),
        ("a.csv", b"=1+1,<script>", "NOT_KEPT"),
        ("kit.yaml", b"items: " + b"[" * 5000, "SYNTAX"),
        ("a.zip", b"PK\x05\x06", "ARCHIVE"),
    ],
)
def test_hostile_files_are_refused(asked, name, content, refusal):
    said = asked("POST", "/api/book/import", files=[("file", (name, content))])
    assert said.status_code == 422, said.text
    assert code(said) == refusal
    assert asked("GET", "/api/book/documents").json()["documents"] == []


@pytest.mark.parametrize(
    ("path", "most"),
    [
        ("/api/book", 2_000_000),
        ("/api/book/documents/kit/club", 2_000_000),
        ("/api/book/documents/campaign/x/file", 100_000_000),
        ("/api/book/kit/club/items/S-1/photos", 8_000_000),
        ("/api/book/kit/club/items/S-1/photos/2", 8_000_000),
        ("/api/book/kit/club/items/S-1/quarantine", 2_000_000),
        ("/api/book/import", 400_000_000),
    ],
)
def test_each_route_takes_so_much(path, most):
    assert Settings().greatest_body(path) == most


def test_files_of_a_campaign_come_back_as_they_went_in_and_run_nothing(asked):
    cell = {"capacity": "3 t", "class": "0.5 %"}
    put(asked, "campaign", "new", {"cells": {"a": cell}})
    page = b"<script>alert(1)</script>\r\n=1+1\r\n"
    address = "/api/book/documents/campaign/new/file?path=logs/a.html"
    assert asked("PUT", f"{address}&by=Kim", content=page).json()["version"] == 2
    said = asked("GET", address)
    assert said.content == page
    assert said.headers["content-type"] == "application/octet-stream"
    assert said.headers["content-disposition"] == 'attachment; filename="a.html"'
    assert said.headers["content-security-policy"] == "default-src 'none'; sandbox"
    assert code(asked("PUT", "/api/book/documents/campaign/new/file?path=../a", content=page)) == "NAME"
    assert (
        code(asked("PUT", "/api/book/documents/campaign/new/file?path=campaign.yaml", content=b"["))
        == "SYNTAX"
    )
    assert asked("GET", "/api/book/documents/campaign/new").json()["version"] == 2
    assert code(asked("GET", "/api/book/documents/campaign/new/file?path=../../x")) == "UNKNOWN_FILE"


def test_an_import_tells_how_far_it_is(tmp_path, campaign, run):
    from haulwright.interfaces.web.work.job import Job
    from haulwright.interfaces.web.work.processes import Processes

    (tmp_path / "sent").mkdir()
    campaign.rename(tmp_path / "sent" / "campaign")
    at = str(tmp_path / "b.sqlite")
    told = []

    async def work():
        processes = Processes()
        try:
            job = Job("book_import", {}, str(tmp_path / "sent"), book_at=at)
            return await processes.run(
                job,
                quick=False,
                within_s=60.0,
                gone=asyncio.Event().wait,
                tell=lambda words, share: told.append((words, share)),
            )
        finally:
            await processes.close()

    assert run(work()).status == 200
    assert "reading what was sent" in [words for words, _ in told]
    shares = [share for _, share in told if share is not None]
    assert shares == sorted(shares)
    assert any(words.startswith("keeping logs/") for words, _ in told)
