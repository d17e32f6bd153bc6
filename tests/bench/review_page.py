"""What the page's part of the bench runs inside the browser, and reads from it."""

from __future__ import annotations

from typing import Any

from playwright.sync_api import Browser, BrowserContext, Page

WATCH = """
(() => {
  const told = { shown: null, steps: [], keys: 0, asked: null };
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
    told.asked = { at: event.timeStamp, from: inHand() };
    const asked = told.asked;
    // The frame that follows the key's own work shows what came of it.
    painted((now) => { if (inHand() && inHand() !== asked.from) told.steps.push(now - asked.at); });
  }, true);
  const look = () => {
    if (told.shown !== null) return;
    const here = document.body && !document.body.classList.contains('opening');
    if (here && inHand() && document.querySelector('.standing')) painted((now) => { told.shown ??= now; });
    requestAnimationFrame(look);
  };
  requestAnimationFrame(look);
})();
"""
"""Notes when the first event is on the screen, how long each step to another takes from key to paint, and keys."""

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


def scrolled(page: Page, selector: str, *, by: int, most: int = 20_000) -> list[float]:
    """Milliseconds of each frame while a part is scrolled from top to bottom, so many points a frame."""
    frames: list[float] = page.evaluate(_SCROLL, [selector, most, by])
    return frames


def in_hand(page: Page) -> str | None:
    found: str | None = page.evaluate("document.querySelector('.slip[aria-selected=true]')?.dataset.event || null")
    return found
