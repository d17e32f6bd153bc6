"""Thousands of events and hours of talk: drawn only where looked at, and all of it can be reached."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser

from tests.review import made
from tests.review.page_desk import FRAMES, Seat, repeated, seat, served

EVENTS, SECONDS = 5000, 3 * 3600


@pytest.fixture(scope="module")
def big(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("big")
    source = made.write(folder / "run")
    return repeated(source, folder / "big", EVENTS, SECONDS)


@pytest.fixture
def me(big: Path, chromium: Browser) -> Iterator[Seat]:
    with served(big) as desk, seat(chromium, desk.url) as sitting:
        sitting.page.wait_for_selector(".utter")
        yield sitting


def test_all_of_the_pile_and_the_talk_is_there_and_little_of_it_is_drawn(me: Seat) -> None:
    assert me.text("#tally") == "5,000 of 5,000 to decide"
    seen = me.page.evaluate(
        """async () => {
          const box = document.getElementById('pile'), seen = new Set();
          let most = 0;
          for (let top = 0; top < box.scrollHeight; top += box.clientHeight) {
            box.scrollTop = top;
            await FRAMES;
            const slips = box.querySelectorAll('.slip');
            most = Math.max(most, slips.length);
            slips.forEach(slip => seen.add(slip.dataset.event));
          }
          return [seen.size, most];
        }""".replace("FRAMES", FRAMES)
    )
    assert seen[0] == EVENTS
    assert seen[1] < 60
    talk = me.page.evaluate(
        """async () => {
          const box = document.getElementById('talk');
          const all = (await (await fetch('/api/utterances/saddle_01')).json()).rows.length, seen = new Set();
          let most = 0;
          for (let n = 0; n < 5000; n++) {
            const drawn = [...box.querySelectorAll('.utter')];
            most = Math.max(most, drawn.length);
            drawn.forEach(one => seen.add(one.dataset.n));
            if (box.scrollTop + box.clientHeight >= box.scrollHeight - 2) break;
            box.scrollTop += box.clientHeight * 0.8;
            await FRAMES;
          }
          box.scrollTop = 0;
          await FRAMES;
          box.querySelectorAll('.utter').forEach(one => seen.add(one.dataset.n));
          return [all, seen.size, most];
        }""".replace("FRAMES", FRAMES)
    )
    assert talk[0] > 300
    assert talk[2] < 60
    assert talk[1] > 1


SAID = """when => {
  const box = document.getElementById('talk').getBoundingClientRect();
  return [...document.querySelectorAll('.utter')].some(one => {
    const at = one.getBoundingClientRect(), said = one.querySelector('.u-when').textContent.split(':').map(Number);
    const seconds = said.reduce((sum, part) => sum * 60 + part, 0);
    return Math.abs(seconds - when) < 100 && at.bottom > box.top && at.top < box.bottom; });
}"""


DRAWN = """() => {
  const box = document.getElementById('pile').getBoundingClientRect();
  return [...document.querySelectorAll('.slip')].some(one => {
    const at = one.getBoundingClientRect();
    return !one.hidden && at.top <= box.top && at.bottom > box.top; });
}"""


def test_the_words_of_an_event_come_into_sight_wherever_they_lie(me: Seat) -> None:
    me.press("g", "m")
    for place in (0.4, 0.1, 0.3):
        me.page.evaluate(
            "place => { const p = document.getElementById('pile'); p.scrollTop = p.scrollHeight * place; }", place
        )
        me.page.wait_for_function(DRAWN)
        slip = me.page.locator(".slip:visible").nth(8)
        when = (slip.locator(".s-time").text_content() or "").split(":")
        seconds = sum(int(part) * 60**n for n, part in enumerate(reversed(when)))
        slip.click()
        me.page.wait_for_function(SAID, arg=seconds)


def test_the_next_events_are_fetched_ahead(me: Seat) -> None:
    me.page.wait_for_function(
        "() => performance.getEntriesByType('resource').filter(one => one.name.includes('/api/events/')).length > 4"
    )
    asked: list[str] = []
    me.page.on("request", lambda request: asked.append(request.url) if "/api/events/" in request.url else None)
    me.page.route("**/api/events/*", lambda route: route.abort())
    for _ in range(3):
        me.press("Enter")
        assert me.page.locator(".names .name").count() >= 1
        assert me.page.locator(".loading").count() == 0
