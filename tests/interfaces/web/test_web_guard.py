"""Who may ask: names and origins, sessions by a code that works once, the headers of every answer, pages that fetch nothing."""

import re
from urllib.parse import urlsplit

import pytest

from haulwright.errors import UsageRefusal
from haulwright.interfaces.web.door import (
    ALPHABET,
    COOKIE,
    MOST_SESSIONS,
    MOST_TRIES,
    Door,
    SESSION_s,
    WINDOW_s,
)
from haulwright.interfaces.web.settings import Settings

RIGS = "/api/rigs"
PORT = 8765
BASE = f"http://127.0.0.1:{PORT}"  # as the application of the fixture is asked


def code_of(answer):
    return answer.json()["error"]["code"]


@pytest.mark.parametrize("host", [f"127.0.0.1:{PORT}", f"localhost:{PORT}"])
def test_own_names_are_answered(ask, host):
    assert ask("GET", RIGS, headers={"host": host}).status_code == 200


@pytest.mark.parametrize(
    "host",
    ["evil.example", f"evil.example:{PORT}", "127.0.0.1", "127.0.0.1:80", f"127.0.0.1.evil.example:{PORT}", "",
     f"192.0.2.1:{PORT}", f"0.0.0.0:{PORT}", f"127.0.0.1:{PORT}@evil.example", f"[::1]:{PORT}"],
)  # fmt: skip
@pytest.mark.parametrize("path", [RIGS, "/", "/nothing"])
def test_another_name_is_refused_before_anything(ask, host, path):
    answer = ask("GET", path, headers={"host": host})
    assert (answer.status_code, code_of(answer)) == (403, "HOST")


@pytest.mark.parametrize(
    "origin",
    [
        "http://evil.example",
        "null",
        f"https://127.0.0.1:{PORT}",
        "http://127.0.0.1:1",
        "http://localhost",
        f"{BASE}.evil.example",
    ],
)
@pytest.mark.parametrize("method", ["GET", "POST", "OPTIONS"])
def test_a_page_of_another_origin_is_refused(ask, origin, method):
    answer = ask(method, RIGS, headers={"origin": origin})
    assert (answer.status_code, code_of(answer)) == (403, "ORIGIN")
    assert "access-control-allow-origin" not in answer.headers


def test_own_pages_may_ask_and_links_may_be_followed(ask):
    assert ask("GET", RIGS, headers={"origin": BASE, "sec-fetch-site": "same-origin"}).status_code == 200
    link = {"sec-fetch-site": "cross-site", "sec-fetch-mode": "navigate"}
    assert ask("GET", "/", headers=link).status_code == 200
    assert code_of(ask("GET", RIGS, headers=link)) == "ORIGIN"
    assert (
        code_of(ask("GET", "/", headers={"sec-fetch-site": "cross-site", "sec-fetch-mode": "no-cors"}))
        == "ORIGIN"
    )
    assert code_of(ask("GET", RIGS, headers={"sec-fetch-site": "same-site"})) == "ORIGIN"


def test_every_answer_has_the_headers(ask):
    for answer in (
        ask("GET", "/"), ask("GET", RIGS), ask("GET", "/nothing"), ask("PUT", RIGS), ask("GET", RIGS, headers={"host": "x"}),
        ask("POST", "/api/rig/solve", json={}), ask("GET", "/api/rig/draw", params={"rig": "two-part"}),
    ):  # fmt: skip
        headers = answer.headers
        policy = headers["content-security-policy"]
        assert "default-src 'none'" in policy
        assert "http" not in policy
        assert "script-src 'self'" in policy or "script-src" not in policy
        assert headers["x-content-type-options"] == "nosniff"
        assert headers["x-frame-options"] == "DENY"
        assert headers["cross-origin-resource-policy"] == "same-origin"
        assert headers["cache-control"] == "no-store"
        assert "server" not in headers


def test_the_way_in_fetches_nothing_and_runs_nothing(web):
    served = web(door=Door(print), settings=Settings(open_to_network=True))
    page = served("GET", "/enter?code=<script>").text
    assert "<script" not in page
    assert not re.search(r"(?:src|href|action)=\"(?!/|data:,)", page)
    assert "url(" not in page
    assert "@import" not in page


def test_the_app_is_answered_with_its_assets_and_nothing_beside_them(ask, tmp_path, monkeypatch):
    (tmp_path / "assets").mkdir()
    (tmp_path / "index.html").write_text("<!doctype html><script src=/assets/a-1.js></script>")
    (tmp_path / "assets" / "a-1.js").write_text("1")
    (tmp_path / "assets" / "notes.txt").write_text("kept out: no kind that pages have")
    monkeypatch.setenv("HAULWRIGHT_APP", str(tmp_path))
    assert "a-1.js" in ask("GET", "/").text
    script = ask("GET", "/assets/a-1.js")
    assert (script.status_code, script.text) == (200, "1")
    assert script.headers["content-type"].startswith("text/javascript")
    assert "immutable" in script.headers["cache-control"]
    for name in ("b.js", "notes.txt", "..%2Findex.html", "%2E%2E%2Fa-1.js", ""):
        assert ask("GET", f"/assets/{name}").status_code == 404


def test_pages_that_were_never_built_say_so(ask, tmp_path, monkeypatch):
    monkeypatch.setenv("HAULWRIGHT_APP", str(tmp_path))
    said = ask("GET", "/")
    assert said.status_code == 503
    assert "start.py setup" in said.text
    assert ask("GET", "/assets/a-1.js").status_code == 404


# the door


@pytest.fixture
def door():
    told = []
    made = Door(told.append, clock=lambda: made.now)
    made.now, made.told = 1000.0, told
    return made


@pytest.fixture
def open_web(web, door):
    return web(Settings(open_to_network=True), door, base="http://192.0.2.5:8765")


def session_of(answer):
    return {"cookie": f"{COOKIE}={re.search(COOKIE + '=([^;]+)', answer.headers['set-cookie'])[1]}"}


def test_a_code_lets_one_device_in_once(open_web, door):
    first = door.code
    answer = open_web("GET", RIGS)
    assert (answer.status_code, code_of(answer)) == (401, "SESSION")
    way_in = open_web("GET", "/")
    assert (way_in.status_code, way_in.headers["location"]) == (303, "/enter")
    page = open_web("GET", f"/enter?code={first}")
    assert page.status_code == 200
    assert first in page.text
    assert door.code == first  # looking at the page uses nothing up
    entered = open_web("POST", "/enter", data={"code": first.lower().replace("-", " ")})
    assert entered.status_code == 303
    assert urlsplit(entered.headers["location"]).path == "/"
    kept = entered.headers["set-cookie"]
    assert "HttpOnly" in kept
    assert "SameSite=strict" in kept
    assert door.told == [door.code] != [first]
    assert open_web("GET", RIGS, headers=session_of(entered)).status_code == 200
    again = open_web("POST", "/enter", data={"code": first})
    assert again.status_code == 403
    assert "works once" in again.text
    assert "set-cookie" not in again.headers


def test_a_session_ends_and_a_made_up_one_never_was(open_web, door):
    entered = open_web("POST", "/enter", data={"code": door.code})
    assert open_web("GET", RIGS, headers={"cookie": f"{COOKIE}=made-up"}).status_code == 401
    assert open_web("GET", RIGS, headers={"cookie": f"{COOKIE}="}).status_code == 401
    assert open_web("GET", RIGS, headers={"cookie": "\x01=;;"}).status_code == 401
    door.now += SESSION_s + 1
    assert open_web("GET", RIGS, headers=session_of(entered)).status_code == 401


def test_guessing_is_slowed_down_for_one_and_for_all(door):
    for _ in range(MOST_TRIES):
        with pytest.raises(UsageRefusal) as caught:
            door.enter("AAAA-AAAA-AAAA-AAAA", "192.0.2.9")
        assert caught.value.code == "TOKEN"
    with pytest.raises(UsageRefusal) as caught:
        door.enter(door.code, "192.0.2.9")  # not even the right one
    assert caught.value.code == "TOO_MANY"
    assert door.knows(door.enter(door.code, "192.0.2.10"))
    for n in range(20):
        with pytest.raises(UsageRefusal):
            door.enter("AAAA", f"192.0.2.{100 + n}")
    with pytest.raises(UsageRefusal) as caught:
        door.enter(door.code, "192.0.2.11")
    assert caught.value.code == "TOO_MANY"
    door.now += WINDOW_s + 1
    assert door.knows(door.enter(door.code, "192.0.2.9"))


def test_what_is_no_code_is_refused(open_web, door):
    for n, body in enumerate(
        (b"", b"code=", b"code=" + b"A" * 2000, b"\xff\xfe", b"code=%ff%fe", b"x" * 900)
    ):
        door.now += WINDOW_s
        answer = open_web(
            "POST", "/enter", content=body, headers={"content-type": "application/x-www-form-urlencoded"}
        )
        assert answer.status_code == 403, n


def test_sessions_are_few_and_kept_as_hashes_only(door):
    sessions = [door.enter(door.code, "192.0.2.1") for _ in range(MOST_SESSIONS + 3)]
    assert sum(door.knows(one) for one in sessions) == MOST_SESSIONS
    assert not {*sessions} & {*door._sessions}


def test_a_code_has_eighty_bits_and_none_that_look_alike(door):
    assert len(ALPHABET) == 32
    assert not {*"01IO"} & {*ALPHABET}
    assert re.fullmatch(r"(?:[2-9A-Z]{4}-){3}[2-9A-Z]{4}", door.code)


def test_open_it_answers_to_the_address_it_is_reached_by_and_no_other(open_web, door):
    inside = session_of(open_web("POST", "/enter", data={"code": door.code}))
    assert open_web("GET", RIGS, headers=inside).status_code == 200
    answer = open_web("GET", RIGS, headers={**inside, "host": "192.0.2.6:8765"})
    assert code_of(answer) == "HOST"
    answer = open_web("POST", "/enter", data={"code": door.code}, headers={"origin": "http://evil.example"})
    assert code_of(answer) == "ORIGIN"
