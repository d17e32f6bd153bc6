"""A desk behind a proxy that speaks https with the browsers: its cookies are for https alone."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import httpx
import pytest

from earwitness.pipeline.review import Desk
from earwitness.pipeline.review.web.doors import TokenDoor
from tests.command.test_review_command import started
from tests.conftest import Told
from tests.review.web_desk import served

TOKEN = "a token that nobody guesses"
PROXY = "desk.example"


@pytest.mark.parametrize(("secure", "prefix"), [(True, "__Host-desk-"), (False, "desk-")])
def test_the_cookie_is_for_https_alone_where_that_is_told(desk: Desk, secure: bool, prefix: str) -> None:
    told: dict[str, Any] = {"door": TokenDoor(TOKEN), "names": (PROXY,), "secure": secure}
    with served(desk, **told) as place, place.client(Host=PROXY, Origin=f"https://{PROXY}") as client:
        entered = client.post("/api/session", json={"name": "Bob", "secret": TOKEN})
        cookie = entered.headers["set-cookie"]
        assert cookie.startswith(prefix)
        assert ("secure" in cookie.lower().split("; ")) is secure
        pair = cookie.partition(";")[0]
        assert client.get("/api/run", headers={"Cookie": pair}).json()["me"] == "Bob"
        left = client.delete("/api/session", headers={"Cookie": pair, "X-Desk-Key": entered.json()["key"]})
        assert ("secure" in left.headers["set-cookie"].lower().split("; ")) is secure


def test_the_command_tells_both_addresses_and_its_cookie_is_for_https_alone(run: Path) -> None:
    with started(run, "--behind-https", "--known-as", PROXY, "--token", EARWITNESS_DESK_TOKEN=TOKEN) as program:
        assert program.address == f"https://{PROXY}/"
        found = re.search(r"Its proxy has to lead to (http://127\.0\.0\.1:\d+)/", program.printed)
        assert found
        with httpx.Client(base_url=found[1], headers={"Host": PROXY}, timeout=30) as client:
            entered = client.post("/api/session", json={"name": "Bob", "secret": TOKEN})
    assert entered.status_code == 200
    assert "secure" in entered.headers["set-cookie"].lower().split("; ")


def test_without_the_proxys_name_it_is_refused(run: Path, here: Callable[..., Told]) -> None:
    code, _, complaint = here("review", run, "--behind-https", "--token", "--no-open")
    assert code == 3
    assert "--behind-https: needs the proxy's name; expected --known-as" in " ".join(complaint.split())


def test_a_proxy_does_not_replace_the_door(run: Path, here: Callable[..., Told]) -> None:
    code, _, complaint = here("review", run, "--behind-https", "--known-as", PROXY, "--no-open")
    assert code == 3
    assert "others can reach the desk at desk.example" in " ".join(complaint.split())
