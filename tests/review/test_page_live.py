"""Others at the desk, conflicts, and a desk whose program is gone: what the page shows, and when."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser

from earwitness.pipeline.review import Request
from tests.review import made
from tests.review.page_desk import Seat, Served, seat

AWAY = "() => document.querySelector('#tray').textContent.includes('No answer')"
ASIDE = "() => document.querySelector('#tray .alert')"


@pytest.fixture
def me(site: Served, chromium: Browser) -> Iterator[Seat]:
    with seat(chromium, f"{site.url}") as sitting:
        sitting.press("g", "m")
        yield sitting


def other(run: Path) -> made.Hands:
    """Somebody else, at a desk of their own on the same decisions."""
    return made.Hands(made.opened(run), "Ilse Marrow")


def take(me: Seat, event: str) -> None:
    me.page.locator(f".slip[data-event='{event}']").click()
    me.page.wait_for_selector(".names .name >> nth=0")


def test_what_others_decide_is_seen_at_once(me: Seat, run: Path) -> None:
    take(me, made.PAIR)
    ilse = other(run)
    ilse.do("change", made.PAIR, taxon_id="t8")
    ilse.do("accept", made.LOBSTER)
    me.page.wait_for_function("() => document.querySelector('.standing').textContent === 'Callogorgia'", timeout=5000)
    me.page.wait_for_function("() => document.querySelector('#tray .news')", timeout=5000)
    assert "Ilse Marrow" in me.text(".stamp")
    slip = me.page.locator(f".slip[data-event='{made.LOBSTER}']")
    slip.filter(has_text="accepted, Ilse Marrow").wait_for(timeout=5000)
    assert me.text("#tally").startswith("7 of 9 to decide")
    assert "Ilse Marrow" in me.text(".news")
    ilse.desk.close()


def conflicted(me: Seat, run: Path, key: str) -> None:
    """A decision on what somebody else has decided since: the page had not heard of it."""
    take(me, made.PAIR)
    me.page.wait_for_selector(".names .name >> nth=1")
    me.page.evaluate("() => { window.stream = EventSource.prototype.addEventListener; }")
    ilse = other(run)
    ilse.desk.decide(Request("x-1", "change", {made.PAIR: 0}, columns={"individualCount": 9}), "Ilse Marrow")
    me.press(key)
    ilse.desk.close()


@pytest.fixture
def deaf(site: Served, chromium: Browser) -> Iterator[Seat]:
    """At the desk, but what others do is not heard: as when two decide in the same moment."""
    with seat(chromium, f"{site.url}", opened=False) as sitting:
        sitting.page.route("**/api/changes*", lambda route: route.abort())
        sitting.page.reload()
        sitting.page.wait_for_selector(".slip")
        yield sitting


def test_a_conflict_is_shown_and_theirs_is_left(deaf: Seat, site: Served, run: Path) -> None:
    conflicted(deaf, run, "2")
    deaf.page.wait_for_function(ASIDE)
    row = site.rows()[made.PAIR]
    assert (row["individualCount"], row["scientificName"], row["reviewedBy"]) == (9, "Paragorgia", "Ilse Marrow")
    assert "not saved" in deaf.text("#alarm").lower()
    assert "not saved" in (deaf.page.locator(f".slip[data-event='{made.PAIR}']").text_content() or "")
    deaf.press("!")
    told = deaf.text("dialog")
    assert "What you wanted, not saved" in told
    assert "Callogorgia instead of Paragorgia" in told
    assert "Ilse Marrow" in told
    deaf.press("t")
    assert deaf.page.locator("#tray .alert").count() == 0
    assert site.rows()[made.PAIR]["version"] == 1


def test_a_conflict_can_be_decided_again_on_top(deaf: Seat, site: Served, run: Path) -> None:
    conflicted(deaf, run, "2")
    deaf.page.wait_for_function(ASIDE)
    deaf.page.unroute("**/api/changes*")
    deaf.page.wait_for_function("() => document.querySelector('#tally').textContent.includes('1 changed')")
    deaf.press("!", "d")
    deaf.saved()
    row = site.rows()[made.PAIR]
    assert (row["scientificName"], row["individualCount"], row["version"]) == ("Callogorgia", 9, 2)


def test_two_pages_of_one_reviewer(me: Seat, site: Served, chromium: Browser) -> None:
    with seat(chromium, site.url) as second:
        take(second, made.LOBSTER)
        take(me, made.LOBSTER)
        second.press("Enter")
        me.page.wait_for_function(
            "() => document.querySelector('.card').classList.contains('is-accepted')", timeout=5000
        )


def test_without_the_program_decisions_wait_and_are_never_shown_as_made(me: Seat, site: Served) -> None:
    take(me, made.PAIR)
    site.stop()
    me.page.wait_for_function(AWAY)
    me.press("Enter", "Enter")
    me.page.wait_for_function(
        "() => document.querySelector('#tray').textContent.includes('2 decisions wait, not saved yet')"
    )
    for event in (made.PAIR, made.LOBSTER):
        assert "waiting" in (me.page.locator(f".slip[data-event='{event}']").text_content() or "")
    assert me.text("#tally") == "9 of 9 to decide"
    me.press("k")
    assert "Waiting, not yet saved: accept" in me.text(".stamp")
    assert "does not answer" in me.text("#alarm")
    site.start()
    me.saved()
    assert site.states() == ["2 accepted", "7 draft"]
    me.page.wait_for_function("() => document.querySelector('#tally').textContent.includes('2 accepted')")
    assert "answers again" in me.text("#alarm")


def test_what_never_left_can_be_taken_back(me: Seat, site: Served) -> None:
    take(me, made.PAIR)
    site.stop()
    me.page.wait_for_function(AWAY)
    me.press("Enter", "Enter", "u")
    assert "Taken back before it was sent" in me.said
    site.start()
    me.saved()
    assert site.states() == ["1 accepted", "8 draft"]


def test_what_waits_outlives_the_window(site: Served, chromium: Browser) -> None:
    context = chromium.new_context()
    page = context.new_page()
    page.goto(site.url)
    page.wait_for_selector(".slip")
    site.stop()
    page.keyboard.press("Enter")
    page.wait_for_function(AWAY)
    page.close()
    site.start()
    page = context.new_page()
    page.goto(site.url)
    page.wait_for_selector(".slip")
    page.wait_for_function("() => document.querySelector('#tally').textContent.includes('1 accepted')")
    assert site.states() == ["1 accepted", "8 draft"]
    context.close()


def test_a_desk_that_cannot_be_opened_says_so_and_tries_again(site: Served, chromium: Browser) -> None:
    with seat(chromium, site.url, opened=False) as me:
        problem = (
            '{"problem": {"kind": "closed", "message": "The decisions cannot be read", "remedy": "Look at the disk"}}'
        )
        me.page.route("**/api/events", lambda route: route.fulfill(status=503, body=problem))
        me.page.reload()
        me.page.wait_for_selector(".trouble")
        assert me.text(".trouble") == "The decisions cannot be read. Look at the disk"
        me.page.unroute("**/api/events")
        me.page.locator("#card button").click()
        me.page.wait_for_selector(".slip")
        assert me.text("#tally").startswith("9 of 9")


def test_names_that_cannot_be_fetched_are_asked_for_again(site: Served, chromium: Browser) -> None:
    with seat(chromium, site.url, opened=False) as me:
        me.page.route("**/api/events/*", lambda route: route.fulfill(status=500, body="{}"))
        me.page.reload()
        me.page.wait_for_selector(".trouble")
        assert "could not be fetched" in me.text(".trouble")
        assert me.standing  # what is known already is there
        me.page.unroute("**/api/events/*")
        me.page.locator(".trouble button").click()
        me.page.wait_for_selector(".names .name")


def test_a_program_started_anew_takes_decisions_without_loading_the_page(me: Seat, site: Served) -> None:
    """Its key is another one then."""
    site.stop()
    site.start()
    me.press("Enter")
    me.saved()
    assert site.states() == ["1 accepted", "8 draft"]


def test_a_newer_draft_is_shown_beside_the_decisions(site: Served, run: Path, chromium: Browser) -> None:
    with seat(chromium, site.url) as me:
        me.press("g", "m")
        take(me, made.PAIR)
        me.press("c", "5", "Enter")
        me.saved()
    site.stop()
    rows = [row | ({"individualCount": 3} if row["eventID"] == made.PAIR else {}) for row in made.events()]
    made.write(run, rows)
    site.start()
    with seat(chromium, site.url) as me:
        me.page.get_by_role("button", name="A newer draft").click()
        told = me.text("dialog")
        assert "count: 5 decided, 3 in the draft" in told
        assert site.rows()[made.PAIR]["individualCount"] == 5
