"""Long work and the unit of the sentences as they are asked for over HTTP: headers, addresses, statuses, sessions."""

import asyncio
import json
import re
from pathlib import Path

import httpx
import pytest

from haulwright.field.motor_model import MotorRow, MotorTable, check_power
from haulwright.interfaces.web.app import create_app
from haulwright.interfaces.web.door import COOKIE, Door
from haulwright.interfaces.web.questions.pull import PULL_EXAMPLE as PULL
from haulwright.interfaces.web.settings import Settings
from haulwright.interfaces.web.work import verbs as jobs
from haulwright.interfaces.web.work.processes import Processes

BASE = "http://127.0.0.1:8765"
LATER = {"Prefer": "respond-async"}
PLAN = "/api/plan/make"
LOG = Path(__file__).resolve().parents[3] / "examples" / "campaign" / "logs" / "meadow-two-a1.csv"


@pytest.fixture
def asked(run):
    """Runs questions to an application with processes of its own, one loop for all of them."""

    async def whole(questions, settings, door):
        app = create_app(settings, Processes(long=1), door)
        transport = httpx.ASGITransport(app, client=("192.0.2.7", 4321))
        async with (
            app.router.lifespan_context(app),
            httpx.AsyncClient(transport=transport, base_url=BASE) as client,
        ):
            return await questions(client)

    return lambda questions, settings=None, door=None: run(whole(questions, settings or Settings(), door))


async def ended(client, where, **given):
    async with asyncio.timeout(60):
        while True:
            now = (await client.get(where, **given)).json()
            if now["state"] not in ("waiting", "working"):
                return now
            await asyncio.sleep(0.02)


def test_the_answer_fetched_is_the_answer_waited_for(asked):
    async def questions(client):
        begun = await client.post(PLAN, json={"pull": PULL}, headers=LATER)
        last = await ended(client, begun.headers["location"])
        fetched = await client.get(begun.headers["location"] + "/answer")
        return begun, last, fetched, await client.post(PLAN, json={"pull": PULL})

    begun, last, fetched, waited = asked(questions)
    assert begun.status_code == 202
    record = begun.json()
    assert (record["kind"], record["state"], record["share"]) == ("job", "waiting", None)
    assert begun.headers["location"] == f"/api/jobs/{record['id']}"
    assert re.fullmatch(r"[\w-]{22,}", record["id"])  # not to be guessed
    assert (last["state"], last["share"]) == ("done", 1.0)
    assert fetched.status_code == 200
    assert fetched.json() == waited.json()
    assert fetched.headers["content-type"] == waited.headers["content-type"]
    assert fetched.json()["kind"] == "plan"


def test_a_refusal_fetched_has_the_status_it_has_when_waited_for(asked):
    bad = {"pull": {**PULL, "rig": "no such rig"}}

    async def questions(client):
        begun = await client.post(PLAN, json=bad, headers=LATER)
        last = await ended(client, begun.headers["location"])
        return (
            last,
            await client.get(begun.headers["location"] + "/answer"),
            await client.post(PLAN, json=bad),
        )

    last, fetched, waited = asked(questions)
    assert last["state"] == "refused"
    assert (fetched.status_code, fetched.json()) == (waited.status_code, waited.json())
    assert fetched.status_code == 422


def test_what_cannot_be_read_is_refused_at_once(asked):
    async def questions(client):
        return await client.post(PLAN, json={"pul": PULL}, headers=LATER)

    assert asked(questions).status_code == 422


@pytest.mark.parametrize(
    ("method", "path", "given"),
    [
        ("GET", "/api/rigs", {}),
        ("GET", "/api/rig/solve?rig=two-part", {}),
        ("POST", "/api/rig/solve", {"json": {"rig": "two-part"}}),
    ],
)
def test_what_is_quick_is_answered_at_once_all_the_same(asked, method, path, given):
    async def questions(client):
        return await client.request(method, path, headers=LATER, **given)

    assert asked(questions).status_code == 200


@pytest.mark.parametrize(
    ("prefer", "status"),
    [
        ("respond-async", 202),
        ("Respond-Async, wait=10", 202),
        ("handling=lenient, respond-async", 202),
        ("wait=10", 200),
        ("respond-asynchronously", 200),
    ],
)
def test_a_preference_is_read_as_the_standard_has_it(asked, prefer, status):
    async def questions(client):
        said = await client.get("/api/check", headers={"Prefer": prefer})
        if said.status_code == 202:
            await client.delete(said.headers["location"])
        return said.status_code

    assert asked(questions) == status


def test_an_uploaded_campaign_is_kept_until_it_is_answered_and_then_gone(
    asked, campaign, monkeypatch, tmp_path
):
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path / "uploads"))
    (tmp_path / "uploads").mkdir()
    files = [
        ("file", (path.relative_to(campaign).as_posix(), path.read_bytes()))
        for path in sorted(campaign.rglob("*"))
        if path.is_file() and "results" not in path.parts
    ]

    async def questions(client):
        begun = await client.post("/api/campaign/check", files=files, headers=LATER)
        held = [one.name for one in (tmp_path / "uploads").iterdir()]
        last = await ended(client, begun.headers["location"])
        said = await client.get(begun.headers["location"] + "/answer")
        cancelled = await client.post("/api/campaign/measure", files=files, headers=LATER)
        stopped = (await client.delete(cancelled.headers["location"])).json()["state"]
        return held, last["state"], said, stopped

    held, state, said, stopped = asked(questions)
    assert held
    assert (state, stopped) == ("done", "cancelled")
    assert said.json()["kind"] == "campaign-check"
    assert str(tmp_path) not in said.text
    assert [*(tmp_path / "uploads").iterdir()] == []


def test_a_log_is_measured_the_same(asked):
    given = {
        "files": [("log", (LOG.name, LOG.read_bytes()))],
        "data": {"ask": json.dumps({"rig": "two-part"})},
    }

    async def questions(client):
        begun = await client.post("/api/trial/measure", headers=LATER, **given)
        await ended(client, begun.headers["location"])
        fetched = await client.get(begun.headers["location"] + "/answer")
        return fetched, await client.post("/api/trial/measure", **given)

    fetched, waited = asked(questions)
    assert fetched.json()["kind"] == "trial-result"
    assert fetched.json() == waited.json()


def test_not_done_cancelled_and_unknown_are_told_apart(asked, campaign):
    async def questions(client):
        begun = await client.get("/api/campaigns/meadow/measure", headers=LATER)
        where = begun.headers["location"]
        early = await client.get(where + "/answer")
        stopped = await client.delete(where)
        late = await client.get(where + "/answer")
        dropped = await client.delete(where)
        return early, stopped, late, dropped, await client.get(where)

    early, stopped, late, dropped, unknown = asked(questions, Settings(campaigns={"meadow": campaign}))
    assert (early.status_code, early.json()["error"]["code"]) == (409, "NOT_READY")
    assert early.headers["retry-after"] == "1"
    assert (stopped.status_code, stopped.json()["state"]) == (200, "cancelled")
    assert (late.status_code, late.json()["error"]["code"]) == (410, "CANCELLED")
    assert dropped.status_code == 200
    assert (unknown.status_code, unknown.json()["error"]["code"]) == (404, "NOT_FOUND")


def test_another_device_of_the_network_sees_nothing_of_it(asked):
    codes = []
    door = Door(codes.append)
    mine, other = (
        {"cookie": f"{COOKIE}={session}"}
        for session in (door.enter(door.code, "a"), door.enter(door.code, "b"))
    )

    async def questions(client):
        begun = await client.post(PLAN, json={"pull": PULL}, headers={**LATER, **mine})
        where = begun.headers["location"]
        last = await ended(client, where, headers=mine)
        seen = [
            await client.request(method, path, headers=other)
            for method, path in (("GET", where), ("GET", where + "/answer"), ("DELETE", where))
        ]
        none = await client.get(where)
        return (
            last,
            [one.status_code for one in seen],
            none.status_code,
            await client.get(where, headers=mine),
        )

    last, seen, none, still = asked(questions, Settings(open_to_network=True), door)
    assert last["state"] == "done"
    assert seen == [404, 404, 404]
    assert none == 401
    assert still.status_code == 200


# the unit of the sentences


def spoken_in(record):
    return json.dumps(record, ensure_ascii=False)


def without_words(value):
    """A record with its texts taken out: what is left is numbers, names of keys and their order."""
    if isinstance(value, dict):
        return {key: without_words(item) for key, item in value.items()}
    if isinstance(value, list):
        return [without_words(item) for item in value]
    return None if isinstance(value, str) else value


@pytest.mark.parametrize("unit", ["kN", "kgf", "lbf", "t"])
def test_sentences_speak_the_unit_asked_for_and_numbers_stay_si(ask, unit):
    plain = ask("POST", PLAN, json={"pull": PULL}).json()
    said = ask("POST", PLAN, json={"pull": PULL}, headers={"Haulwright-Units": unit}).json()
    assert without_words(said) == without_words(plain)
    brief = " ".join(said["brief"])
    winch = next(one for one in said["brief"] if "The winch pulls" in one)
    assert re.search(rf"\d\u00a0{unit}\b", winch)
    for other in {"kN", "kgf", "lbf"} - {unit}:
        assert not re.search(rf"\d\u00a0{other}\b", brief)
    stall = next(one["message"] for one in said["notices"] if one["code"] == "STALL")
    assert f"\u00a0{unit}" in stall


def test_a_stall_of_forty_kilonewtons_is_spoken_as_any_table_converts_it(ask):
    """1 lbf = 4.4482216152605 N, 1 kgf = 9.80665 N exactly (NIST SP 811, appendix B.8)."""
    for unit, figure in (("kgf", "4\u2009079"), ("lbf", "8\u2009992"), ("t", "4.08"), ("kN", "40.0")):
        said = ask("POST", PLAN, json={"pull": PULL}, headers={"Haulwright-Units": unit}).json()
        stall = next(one["message"] for one in said["notices"] if one["code"] == "STALL")
        assert f"{figure}\u00a0{unit}" in stall


def test_every_force_of_a_sentence_is_in_it(ask):
    asked = {"rig": "two-part", "ratio": 1.1, "load": "10 kN", "stall": "2 kN"}
    for unit, others in (("kgf", "kN"), ("lbf", "kN"), ("kN", "kgf")):
        said = ask("POST", "/api/rig/solve", json=asked, headers={"Haulwright-Units": unit}).json()
        told = " ".join(one["message"] for one in said["notices"])
        assert "it will not move" in told
        assert f"\u00a0{unit}" in told
        assert f"\u00a0{others}" not in told


def test_a_refusal_speaks_it_too(ask, monkeypatch):
    """A winch table that gives out more power than its motor takes in: 40 kN at 0.1 m/s are 4 kW, 60 A at 12 V 0.7."""
    table = MotorTable((MotorRow(0.0, 0.15, 60.0), MotorRow(40e3, 0.1, 60.0)))
    monkeypatch.setitem(jobs.VERBS, "rig_list", lambda: check_power(table, 12.0))
    for unit, figure in (("kN", "40.0"), ("kgf", "4\u2009079")):
        said = ask("GET", "/api/rigs", headers={"Haulwright-Units": unit})
        assert said.status_code == 422
        assert f"at {figure}\u00a0{unit}:" in said.json()["error"]["message"]


def test_a_card_and_a_report_are_in_it_unless_asked_otherwise(web, campaign):
    """The zero of a cell is told in the unit of the report; the column "Read in" stays that of its display."""
    zero = {}
    for unit in ("kN", "kgf"):
        known = web(Settings(campaigns={"meadow": campaign}))
        page = known("GET", "/api/campaigns/meadow/report", headers={"Haulwright-Units": unit}).text
        zero[unit] = re.search(r'data-label="Zero"[^>]*>([^<]*)<', page)[1]
    assert zero["kN"].endswith("kN")
    assert zero["kgf"].endswith("kgf")


@pytest.mark.parametrize("unit", ["kg", "N", "KN", "", "kN, kgf", "'; drop", "k" * 500])
@pytest.mark.parametrize(
    "path", ["/api/rigs", "/api/campaigns", "/api/rig/solve?rig=two-part", "/api/jobs/none"]
)
def test_a_unit_that_is_not_spoken_is_refused_everywhere(ask, unit, path):
    said = ask("GET", path, headers={"Haulwright-Units": unit})
    assert said.status_code == 422
    assert said.json()["error"]["code"] == "UNIT"
    assert said.json()["error"]["where"] == ["Haulwright-Units"]
    assert len(said.text) < 500


@pytest.mark.parametrize("words", ["us", "", "AU, US", "'; drop", "k" * 500])
@pytest.mark.parametrize("path", ["/api/rigs", "/api/jobs/none"])
def test_a_spelling_that_is_not_known_is_refused_everywhere(ask, words, path):
    said = ask("GET", path, headers={"Haulwright-Words": words})
    assert said.status_code == 422
    assert (said.json()["error"]["code"], said.json()["error"]["where"]) == ("WORDS", ["Haulwright-Words"])
    assert len(said.text) < 500


def test_the_description_names_the_headers(ask):
    paths = ask("GET", "/api/openapi.json").json()["paths"]
    for path, ways in paths.items():
        for way in ways.values():
            heard = {one["name"]: one for one in way["parameters"] if one["in"] == "header"}
            assert heard["Haulwright-Units"]["schema"]["enum"] == ["kN", "kgf", "lbf", "t"]
            assert heard["Haulwright-Words"]["schema"]["enum"] == ["AU", "UK", "US"]
            assert ("Prefer" in heard) == ("202" in way["responses"]), path
    long = {path for path, ways in paths.items() if any("202" in way["responses"] for way in ways.values())}
    assert {PLAN, "/api/campaigns/{name}/measure", "/api/trial/measure", "/api/publish/card"} <= long
    assert "/api/rigs" not in long
