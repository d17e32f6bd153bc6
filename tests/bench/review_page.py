"""What the page's part of the bench runs inside the browser, and reads from it."""

from __future__ import annotations

from typing import Any

from playwright.sync_api import Browser, BrowserContext, Page

WATCH = """
(() => {
  const told = { shown: null, pressed: [], keys: 0 };
  window.__told = told;
  const inHand = () => document.querySelector('.slip[aria-selected=true]')?.dataset.event || null;
  const painted = (then) => requestAnimationFrame(() => {
    const channel = new MessageChannel();
    channel.port1.onmessage = () => then(performance.now());
    channel.port2.postMessage(0);
  });
  addEventListener('keydown', (event) => {
    if (!['Shift', 'Control', 'Alt', 'Meta'].includes(event.key)) told.keys++;
    told.keys += event.shiftKey && event.key.length === 1 && /[A-Z?!+]/.test(event.key) ? 1 : 0;
    const pressed = { at: event.timeStamp, from: inHand(), step: false, took: null };
    told.pressed.push(pressed);
    // The frame that follows the key's own work shows what came of it.
    painted(() => { pressed.step = !!inHand() && inHand() !== pressed.from; });
  }, true);
  new PerformanceObserver((list) => {
    for (const entry of list.getEntries()) {
      if (entry.name !== 'keydown') continue;
      const pressed = told.pressed.find((one) => one.at === entry.startTime);
      if (pressed) pressed.took = entry.duration;
    }
  }).observe({ type: 'event', durationThreshold: 16 });
  const look = () => {
    if (told.shown !== null) return;
    const here = document.body && !document.body.classList.contains('opening');
    if (here && inHand() && document.querySelector('.standing')) painted((now) => { told.shown ??= now; });
    requestAnimationFrame(look);
  };
  requestAnimationFrame(look);
})();
"""
"""Notes when the first event is on the screen, keys, and how long each takes from key to paint.

The time is that of W3C Event Timing (`PerformanceEventTiming.duration`): from the key to the next paint after its
handlers, in steps of 8 ms; what takes less than 16 ms is not told.
"""
LEAST = 16.0
"""Milliseconds: the least that Event Timing tells."""

_SCROLL = """
async ([selector, most, by]) => {
  const box = document.querySelector(selector), frames = [];
  const frame = () => new Promise(requestAnimationFrame);
  box.scrollTop = 0;
  await frame(); await frame();
  let last = performance.now(), still = 0;
  for (let n = 0; n < most && still < 8; n++) {
    const before = box.scrollTop;
    box.scrollTop = before + by;
    await frame();
    const now = performance.now();
    frames.push(now - last);
    last = now;
    still = box.scrollTop === before ? still + 1 : 0;
  }
  return frames;
}
"""


def opened_page(made: Browser, url: str, *, width: int = 1280, height: int = 720) -> tuple[BrowserContext, Page]:
    """A page that has not been there before, told to watch itself."""
    context = made.new_context(viewport={"width": width, "height": height}, reduced_motion="reduce")
    page = context.new_page()
    page.set_default_timeout(60_000)
    page.add_init_script(WATCH)
    page.goto(url)
    page.wait_for_function("() => window.__told.shown !== null")
    return context, page


def told(page: Page) -> dict[str, Any]:
    found: dict[str, Any] = page.evaluate("window.__told")
    return found


def steps(page: Page) -> list[float]:
    """Milliseconds from key to paint, of each key that brought another event into hand."""
    page.wait_for_timeout(500)  # an entry is told some time after the paint
    return [LEAST if one["took"] is None else one["took"] for one in told(page)["pressed"] if one["step"]]


def scrolled(page: Page, selector: str, *, by: int, most: int = 20_000) -> list[float]:
    """Milliseconds of each frame while a part is scrolled from top to bottom, so many points a frame."""
    frames: list[float] = page.evaluate(_SCROLL, [selector, most, by])
    return frames


def in_hand(page: Page) -> str | None:
    found: str | None = page.evaluate("document.querySelector('.slip[aria-selected=true]')?.dataset.event || null")
    return found
