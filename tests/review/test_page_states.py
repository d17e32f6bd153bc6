"""Screens that are seldom seen: two who disagree, a newer draft, no answer, no events, no film; the page of figures."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, Literal

import pytest
from playwright.sync_api import Browser, Route

from earwitness.pipeline.review import Request
from earwitness.pipeline.review.web.doors import token_door
from tests.review import made
from tests.review.page_desk import Seat, Served, seat, served

LOOKS: list[tuple[Literal["light", "dark"], int, int]] = [("light", 1280, 720), ("dark", 390, 844)]
IDS = "all => all.map(one => one.dataset.event)"
SHUT = {"problem": {"kind": "closed", "message": "the decisions cannot be read", "remedy": "look at the disk"}}


def disputed(run: Path) -> Path:
    """A run on which two people decided, not always alike, and which was drafted anew since."""
    made.write(run)
    desk = made.opened(run)
    maud, ilse = made.Hands(desk, "Maud Tern"), made.Hands(desk, "Ilse Marrow")
    for hands, other in ((maud, "t5"), (ilse, "t8")):
        hands.do("accept", made.LOBSTER)
        hands.do("accept", made.CALLOGORGIA)
        hands.do("change", made.PAIR_2, taxon_id=other)
    maud.do("reject", made.PAIR_3, reason="not-seen")
    desk.close()
    newer = [row | ({"individualCount": 3} if row["eventID"] == made.LOBSTER else {}) for row in made.events()]
    made.write(run, [row for row in newer if row["eventID"] != made.CALLOGORGIA])
    return run


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return disputed(tmp_path_factory.mktemp("states") / "run")


@pytest.fixture(scope="module")
def site(folder: Path) -> Iterator[Served]:
    with served(folder) as at:
        yield at


def well_in_every_look(me: Seat) -> None:
    """Light and wide, dark and narrow: axe finds nothing, and nothing is wider than the window."""
    for scheme, width, height in LOOKS:
        me.page.emulate_media(color_scheme=scheme, reduced_motion="reduce")
        me.page.set_viewport_size({"width": width, "height": height})
        assert me.violations() == [], scheme
        assert me.page.evaluate("document.documentElement.scrollWidth") <= width


def test_axe_finds_nothing_on_the_figures(site: Served, chromium: Browser) -> None:
    with seat(chromium, f"{site.url}agreement", opened=False, bypass_csp=True) as me:
        me.page.wait_for_selector("#figures[aria-busy=false]")
        assert me.page.get_by_role("heading", name="Reviewers with each other").is_visible()
        assert "Ilse Marrow and Maud Tern" in me.text("#figures")
        me.page.evaluate("document.querySelectorAll('details').forEach(one => { one.open = true; })")
        well_in_every_look(me)


def answering(status: int, body: str) -> Callable[[Route], None]:
    return lambda route: route.fulfill(status=status, body=body)


def test_figures_that_cannot_be_had_and_those_that_are_none(site: Served, chromium: Browser) -> None:
    answers = [(500, "{}", "The figures cannot be had"), (200, NONE, "Nothing to compare yet")]
    with seat(chromium, f"{site.url}agreement", opened=False, bypass_csp=True) as me:
        for status, body, words in answers:
            me.page.unroute("**/api/agreement")
            me.page.route("**/api/agreement", answering(status, body))
            me.page.reload()
            me.page.wait_for_selector("section.state")
            assert me.text(".state h2") == words
            assert me.violations() == []


NONE = json.dumps({"reviewers": [], "machine": [], "mixUps": [], "pairs": [], "everybody": []})


def newer_draft(me: Seat) -> None:
    me.page.get_by_role("button", name="A newer draft").click()
    assert "count: 1 decided, 3 in the draft" in me.text("dialog")


def no_answer(me: Seat) -> None:
    me.page.route("**/api/**", lambda route: route.abort())
    me.press("Enter", "k")
    me.page.wait_for_function("() => document.querySelector('#tray').textContent.includes('1 decision waits')")


def no_events(me: Seat) -> None:
    def none(route: Any) -> None:
        told = route.fetch().json()
        route.fulfill(json={**told, "rows": []})

    me.page.route("**/api/events", none)
    me.page.reload()
    me.page.wait_for_function("() => document.querySelector('.standing')?.textContent === 'There is nothing to review'")


def cannot_be_opened(me: Seat) -> None:
    me.page.route("**/api/events", lambda route: route.fulfill(status=503, body=json.dumps(SHUT)))
    me.page.reload()
    me.page.wait_for_selector(".trouble")
    assert "All saved" not in me.text("#tray")


def no_names(me: Seat) -> None:
    me.page.route("**/api/events/*", lambda route: route.fulfill(status=500, body="{}"))
    me.page.reload()
    me.page.wait_for_selector(".trouble")


def still_opening(me: Seat) -> None:
    me.page.route("**/api/events", lambda route: None)
    me.page.reload(wait_until="commit")
    me.page.wait_for_selector("#filter")


STATES: list[Callable[[Seat], None]] = [
    newer_draft,
    no_answer,
    no_events,
    cannot_be_opened,
    no_names,
    still_opening,
]


@pytest.mark.parametrize("state", STATES, ids=lambda state: str(state.__name__))
def test_axe_finds_nothing_in_any_state(site: Served, chromium: Browser, state: Callable[[Seat], None]) -> None:
    with seat(chromium, site.url, bypass_csp=True) as me:
        state(me)
        well_in_every_look(me)


def at_odds(me: Seat, folder: Path) -> None:
    """Somebody else decides on the event in hand, which this window does not hear of."""
    me.page.route("**/api/changes*", lambda route: route.abort())
    me.page.reload()
    me.page.wait_for_selector(".names .name")
    me.press("g", "m")
    me.page.locator(f".slip[data-event='{made.MOO}']").click()
    desk = made.opened(folder)
    desk.decide(Request("x-1", "change", {made.MOO: 0}, columns={"individualCount": 9}), "Maud Tern")
    desk.close()
    me.press("c", "4", "Enter")
    me.page.wait_for_selector("#tray .alert")


def test_axe_finds_nothing_where_two_disagree(folder: Path, site: Served, chromium: Browser) -> None:
    with seat(chromium, site.url, opened=False, bypass_csp=True) as me:
        at_odds(me, folder)
        well_in_every_look(me)
        me.press("!")
        me.page.wait_for_selector("dialog .stands-now")
        well_in_every_look(me)


def test_the_door_is_shut_after_too_many_attempts(run: Path, chromium: Browser) -> None:
    with (
        served(run, door=token_door("only for those on this ship")) as at,
        seat(chromium, at.url, opened=False, bypass_csp=True) as me,
    ):
        me.page.wait_for_selector("#door")
        me.page.locator("#name").fill("Ann Tarrow")
        for _ in range(30):
            me.page.locator("#secret").fill("not it")
            with me.page.expect_response("**/api/session") as answer:
                me.press("Enter")
            if answer.value.status == 429:
                break
        me.page.wait_for_function("() => /Too many attempts failed/.test(document.querySelector('#wrong').textContent)")
        assert "Try again in" in me.text("#wrong")
        assert me.violations() == []


def test_the_queue_is_the_same_after_a_reload(site: Served, chromium: Browser) -> None:
    with seat(chromium, site.url) as me:
        me.press("g", "t", "g", "w")
        me.page.locator("#filter").fill("gorgia")
        me.page.wait_for_function("() => document.querySelectorAll('.slip:not([hidden])').length === 4")
        shown = me.page.locator(".slip:visible").evaluate_all(IDS)
        me.page.locator(".slip:visible").nth(2).click()
        me.page.reload()
        me.page.wait_for_selector(".names .name")
        assert me.page.locator("#order").input_value() == "taxon"
        assert me.page.locator("#shown").input_value() == "all"
        assert me.page.locator("#filter").input_value() == "gorgia"
        assert me.page.locator(".slip:visible").evaluate_all(IDS) == shown
        assert me.page.locator(".slip[aria-selected=true]").evaluate_all(IDS) == [shown[2]]
    with seat(chromium, site.url) as me:  # another window begins as ever
        assert me.page.locator("#order").input_value() == "doubt"


def test_the_buttons_stay_at_the_foot_of_a_narrow_window_and_over_nothing(site: Served, chromium: Browser) -> None:
    with seat(chromium, site.url, width=390, height=844) as me:
        me.page.wait_for_selector(".names .name")
        for top in (0, 300, 10_000):
            me.page.evaluate("top => scrollTo(0, top)", top)
            buttons, foot = (me.page.locator(name).bounding_box() for name in ("#acts", "#foot"))
            assert buttons
            assert buttons["y"] + buttons["height"] == pytest.approx(844, abs=1)
        assert foot
        assert foot["y"] + foot["height"] <= buttons["y"] + 1


def test_the_label_ends_inside_its_edge(site: Served, chromium: Browser) -> None:
    """What does not fit is cut off inside the drawn edge, not run over it."""
    with seat(chromium, site.url) as me:
        me.page.wait_for_selector(".who-list li")
        inside: dict[str, float] = me.page.evaluate(
            """() => { const card = document.getElementById('card'), style = getComputedStyle(card);
            return {border: parseFloat(style.borderBottomWidth), edge: -parseFloat(style.outlineOffset)}; }"""
        )
        assert inside["border"] > inside["edge"] > 0
