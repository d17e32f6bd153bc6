"""What every request has to pass, at a desk that is served for real."""

from __future__ import annotations

import http.client
import socket
import time
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import httpx
import pytest

from earwitness.pipeline.review import Desk
from earwitness.pipeline.review.web import entering, guard
from earwitness.pipeline.review.web.doors import TokenDoor, UsersDoor, new_user_line
from earwitness.pipeline.review.web.headers import HEADERS
from tests.review import made
from tests.review.web_desk import Place, served

TOKEN = "a token that nobody guesses"
KEY = "X-Desk-Key"


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Place]:
    """A desk that nobody writes to."""
    with closing(made.opened(made.write(tmp_path_factory.mktemp("open") / "run"))) as desk, served(desk) as there:
        yield there


@pytest.fixture(scope="module")
def guarded(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Place]:
    """A desk with a door, where nobody errs."""
    run = made.write(tmp_path_factory.mktemp("guarded") / "run")
    with closing(made.opened(run)) as desk, served(desk, door=TokenDoor(TOKEN)) as there:
        yield there


@pytest.fixture
def anew(desk: Desk) -> Iterator[Place]:
    """A desk with a door, for this test alone."""
    with served(desk, door=TokenDoor(TOKEN)) as there:
        yield there


def kind(answer: httpx.Response) -> tuple[int, str]:
    """Status and kind of a problem, which is of the contract's shape."""
    told = answer.json()["problem"]
    assert set(told) >= {"kind", "message", "remedy"}
    assert "Traceback" not in answer.text
    return answer.status_code, told["kind"]


@pytest.mark.parametrize(
    "path", ["/", "/api/run", "/api/events", "/static/main.js", "/media/none", "/nothing", "/api/openapi.json"]
)
def test_every_answer_bears_the_safe_headers(place: Place, path: str) -> None:
    told = place.get(path)
    for name, value in HEADERS.items():
        assert told.headers[name] == value
    assert "server" not in told.headers
    assert "cache-control" in told.headers
    assert "access-control-allow-origin" not in told.headers


def test_the_policy_lets_nothing_in_from_outside() -> None:
    told = dict(part.split(" ", 1) for part in HEADERS["Content-Security-Policy"].split("; "))
    assert told["default-src"] == "'none'"
    for part in ("script-src", "style-src", "img-src", "media-src", "connect-src", "form-action"):
        assert told[part] == "'self'"
    assert (told["frame-ancestors"], told["base-uri"]) == ("'none'", "'none'")
    assert "unsafe" not in HEADERS["Content-Security-Policy"]


@pytest.mark.parametrize("path", ["/", "/api/run", "/static/main.js"])
def test_another_host_is_refused(place: Place, path: str) -> None:
    """A name that was made to lead here, as in DNS rebinding."""
    assert kind(place.get(path, Host=f"evil.example:{place.settings.port}")) == (400, "host")
    assert place.get(path, Host="localhost:1").status_code == 200


def test_a_request_without_a_host_is_refused(place: Place) -> None:
    with socket.create_connection(("127.0.0.1", place.settings.port), timeout=10) as raw:
        raw.sendall(b"GET /api/run HTTP/1.0\r\n\r\n")
        assert raw.recv(200).startswith(b"HTTP/1.1 400")


@pytest.mark.parametrize(
    "headers",
    [
        {"Origin": "https://evil.example"},
        {"Origin": "null"},
        {"Origin": "http://127.0.0.1:1"},
        {"Origin": "http://["},
        {"Sec-Fetch-Site": "cross-site"},
        {"Sec-Fetch-Site": "same-site"},
    ],
)
def test_a_write_that_another_page_makes_is_refused(place: Place, headers: dict[str, str]) -> None:
    assert kind(place.post("/api/undo", {"uid": "a"}, **headers)) == (403, "origin")


def test_a_write_of_the_desks_own_page_is_heard(place: Place) -> None:
    own = {"Origin": place.url, "Sec-Fetch-Site": "same-origin"}
    assert kind(place.post("/api/undo", {"uid": "a"}, **own)) == (404, "nothing")


def test_another_page_may_lead_here_but_not_read(place: Place) -> None:
    elsewhere = {"Sec-Fetch-Site": "cross-site"}
    assert place.get("/", **elsewhere, **{"Sec-Fetch-Mode": "navigate"}).status_code == 200
    assert kind(place.get("/api/run", **elsewhere, **{"Sec-Fetch-Mode": "navigate"})) == (403, "origin")
    for path in ("/", "/api/events", "/media/saddle_01", "/static/main.js"):
        assert kind(place.get(path, **elsewhere, **{"Sec-Fetch-Mode": "no-cors"})) == (403, "origin")


@pytest.mark.parametrize("key", [None, "", "wrong", "\N{LATIN SMALL LETTER E WITH ACUTE}"])
@pytest.mark.parametrize("path", ["/api/decisions", "/api/undo", "/api/redo"])
def test_a_write_without_the_key_is_refused(place: Place, path: str, key: str | None) -> None:
    with place.client() as client:
        headers = {} if key is None else {KEY: key.encode("latin-1")}
        body = {"uid": "a", "action": "accept", "targets": [{"eventID": made.PAIR, "version": 0}]}
        assert kind(client.post(path, json=body, headers=headers)) == (403, "key")
    assert place.desk.last == 0


def test_the_page_and_the_run_tell_the_key(place: Place) -> None:
    assert f'content="{place.settings.key}"' in place.get("/").text
    assert place.get("/api/run").json()["key"] == place.settings.key


@pytest.mark.parametrize("method", ["PUT", "PATCH", "DELETE", "POST"])
def test_other_methods_are_told_so(place: Place, method: str) -> None:
    with place.client() as client:
        told = client.request(method, "/api/run", headers=place.key())
    assert kind(told) == (405, "method")
    assert "GET" in told.headers["allow"]


def test_a_body_that_is_too_large_is_refused(place: Place) -> None:
    content = b" " * (guard.LARGEST_BODY + 1)
    with place.client() as client:
        headers = place.key() | {"Content-Type": "application/json"}
        assert kind(client.post("/api/undo", content=content, headers=headers)) == (413, "too-large")

        def parts() -> Iterator[bytes]:
            for _ in range(9):
                yield b" " * 65536

        assert kind(client.post("/api/undo", content=parts(), headers=headers)) == (413, "too-large")


def test_a_body_that_does_not_come_is_given_up(place: Place, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(guard, "PATIENCE", 0.2)
    link = http.client.HTTPConnection("127.0.0.1", place.settings.port, timeout=10)
    link.putrequest("POST", "/api/undo")
    for name, value in (place.key() | {"Content-Type": "application/json", "Content-Length": "20"}).items():
        link.putheader(name, value)
    link.endheaders(b'{"uid"')
    assert link.getresponse().status == 408
    link.close()


@pytest.mark.parametrize(
    "content_type", ["text/plain", "application/x-www-form-urlencoded", "multipart/form-data; boundary=x", ""]
)
def test_a_body_that_is_no_json_is_refused(place: Place, content_type: str) -> None:
    with place.client() as client:
        told = client.post("/api/undo", content=b'{"uid": "a"}', headers=place.key() | {"Content-Type": content_type})
    assert kind(told) == (415, "media-type")


@pytest.mark.parametrize(
    "body", [b"{", b"\xff\xfe", b"[" * 100_000, b'{"uid": ' + b'{"a":' * 5000 + b"1" + b"}" * 5001]
)
def test_a_body_that_cannot_be_read_is_refused(place: Place, body: bytes) -> None:
    with place.client() as client:
        told = client.post("/api/undo", content=body, headers=place.key() | {"Content-Type": "application/json"})
    assert kind(told)[0] in (400, 422)


# Where people sign in.


def sign_in(client: httpx.Client, name: str = "Bob", secret: str = TOKEN) -> httpx.Response:
    return client.post("/api/session", json={"name": name, "secret": secret})


@pytest.mark.parametrize(
    "path",
    ["/api/run", "/api/events", "/api/events/x", "/api/changes", "/api/openapi.json", "/media/saddle_01", "/nothing"],
)
def test_nothing_is_read_without_a_session(guarded: Place, path: str) -> None:
    assert kind(guarded.get(path)) == (401, "sign-in")


def test_nothing_is_written_without_a_session(guarded: Place) -> None:
    for key in ("", guarded.settings.key, "None"):
        assert kind(guarded.post("/api/undo", {"uid": "a"}, **{KEY: key})) == (401, "sign-in")


def test_a_page_leads_to_the_door(guarded: Place) -> None:
    for path in ("/", "/agreement"):
        told = guarded.get(path)
        assert (told.status_code, told.headers["location"]) == (303, "/sign-in")
        assert guarded.settings.key not in told.text
    door = guarded.get("/sign-in")
    assert door.status_code == 200
    assert "<form" in door.text
    assert guarded.get("/static/sign_in.js").status_code == 200


def test_an_open_desk_has_no_door(place: Place) -> None:
    assert place.get("/sign-in").headers["location"] == "/"
    with place.client() as client:
        assert kind(sign_in(client)) == (404, "unknown")


def test_who_knows_the_token_signs_in_decides_and_leaves(anew: Place) -> None:
    with anew.client() as client:
        told = sign_in(client, "  Bob ")
        assert told.json()["me"] == "Bob"
        cookie = told.headers["set-cookie"].lower()
        for part in ("httponly", "samesite=strict", "path=/", "max-age="):
            assert part in cookie
        assert "domain" not in cookie
        run = client.get("/api/run").json()
        assert (run["me"], run["door"], run["key"]) == ("Bob", "token", told.json()["key"])
        assert run["key"] != anew.settings.key
        body = {"uid": "a", "action": "accept", "targets": [{"eventID": made.PAIR, "version": 0}]}
        assert kind(client.post("/api/decisions", json=body, headers=anew.key())) == (403, "key")
        done = client.post("/api/decisions", json=body, headers={KEY: run["key"]})
        assert done.json()["decisions"][0]["reviewer"] == "Bob"
        assert kind(client.delete("/api/session")) == (403, "key")
        secret = client.cookies[anew.settings.cookie]
        assert client.delete("/api/session", headers={KEY: run["key"]}).json() == {"signedOut": True}
        client.cookies.set(anew.settings.cookie, secret)
        assert kind(client.get("/api/run")) == (401, "sign-in")


def test_the_key_of_one_session_does_not_serve_another(guarded: Place) -> None:
    with guarded.client() as bob, guarded.client() as eve:
        key = sign_in(bob, "Bob").json()["key"]
        sign_in(eve, "Eve")
        assert kind(eve.post("/api/undo", json={"uid": "a"}, headers={KEY: key})) == (403, "key")
        assert kind(bob.post("/api/undo", json={"uid": "a"}, headers={KEY: key})) == (404, "nothing")


def test_another_cookie_of_this_machine_does_no_harm(guarded: Place) -> None:
    with guarded.client() as client:
        key = sign_in(client).json()["key"]
        cookie = f'odd=[1,"2"];;x; {guarded.settings.cookie}={client.cookies[guarded.settings.cookie]}; {{}}'
        assert guarded.get("/api/run", Cookie=cookie).json()["key"] == key


def test_a_wrong_secret_is_refused_and_after_some_there_is_a_wait(anew: Place) -> None:
    most, _ = entering.BY_ADDRESS
    with anew.client() as client:
        for n in range(most):
            assert kind(sign_in(client, f"P{n}", "wrong")) == (401, "sign-in")
        waits = sign_in(client)
        assert kind(waits) == (429, "too-often")
        assert 0 < int(waits.headers["retry-after"]) <= 300


def test_one_who_signs_in_is_forgiven_earlier_errors(anew: Place) -> None:
    most, _ = entering.BY_ADDRESS
    with anew.client() as client:
        for _ in range(2):
            for _ in range(most - 1):
                sign_in(client, "Bob", "wrong")
            assert sign_in(client).status_code == 200


@pytest.mark.parametrize("name", ["\u202eBob", "\t", "x" * 101])
def test_a_name_that_is_none_does_not_come_in(guarded: Place, name: str) -> None:
    with guarded.client() as client:
        assert kind(sign_in(client, name)) == (422, "invalid")


def test_signing_in_from_another_page_is_refused(guarded: Place) -> None:
    with guarded.client(Origin="https://evil.example") as client:
        assert kind(sign_in(client)) == (403, "origin")


def test_people_sign_in_with_their_own_passwords(desk: Desk, tmp_path: Path) -> None:
    file = tmp_path / "users.toml"
    file.write_text(f"[users]\n{new_user_line('Ann', 'a password of Ann')}\n", encoding="utf-8")
    with served(desk, door=UsersDoor(file)) as place, place.client() as client:
        assert kind(sign_in(client, "Ann", "a password of Bob")) == (401, "sign-in")
        assert kind(sign_in(client, "Bob", "a password of Ann")) == (401, "sign-in")
        assert sign_in(client, "Ann", "a password of Ann").json()["me"] == "Ann"
        assert client.get("/api/run").json()["door"] == "users"


def test_who_is_taken_from_the_file_of_users_is_out_at_once(desk: Desk, tmp_path: Path) -> None:
    """With their stream of changes, and without a word of what is decided from then on; the others stay."""
    ann, bob = (new_user_line(name, f"a password of {name}") for name in ("Ann", "Bob"))
    file = tmp_path / "users.toml"
    file.write_text(f"[users]\n{ann}\n{bob}\n", encoding="utf-8")
    with served(desk, door=UsersDoor(file)) as place, place.client() as first, place.client() as second:
        keys = [
            sign_in(client, name, f"a password of {name}").json()["key"]
            for client, name in ((first, "Ann"), (second, "Bob"))
        ]
        with second.stream("GET", "/api/changes?seconds=20") as stream:
            lines = stream.iter_lines()
            assert next(lines) == ": here"
            file.write_text(f"[users]\n{ann}\n", encoding="utf-8")
            body = {"uid": "a", "action": "accept", "targets": [{"eventID": made.PAIR, "version": 0}]}
            assert first.post("/api/decisions", json=body, headers={KEY: keys[0]}).status_code == 200
            assert not [line for line in lines if "decisions" in line]
        assert kind(second.get("/api/run")) == (401, "sign-in")
        body = {"uid": "b", "action": "accept", "targets": [{"eventID": made.LOBSTER, "version": 0}]}
        assert kind(second.post("/api/decisions", json=body, headers={KEY: keys[1]})) == (401, "sign-in")
        assert kind(sign_in(second, "Bob", "a password of Bob")) == (401, "sign-in")
        assert first.get("/api/run").json()["last"] == 1


def test_a_stream_of_one_who_is_out_ends_where_nothing_happens(desk: Desk, tmp_path: Path) -> None:
    ann, bob = (new_user_line(name, f"a password of {name}") for name in ("Ann", "Bob"))
    file = tmp_path / "users.toml"
    file.write_text(f"[users]\n{ann}\n{bob}\n", encoding="utf-8")
    with served(desk, door=UsersDoor(file)) as place, place.client() as client:
        sign_in(client, "Bob", "a password of Bob")
        began = time.monotonic()
        with client.stream("GET", "/api/changes?seconds=30") as stream:
            lines = stream.iter_lines()
            next(lines)
            file.write_text(f"[users]\n{ann}\n", encoding="utf-8")
            for _ in lines:
                pass
        assert time.monotonic() - began < 25
