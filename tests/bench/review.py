"""The review desk in a real browser: opening and scrolling a large run, accept-and-next, decisions by keyboard alone.

Times are of this machine and hold for it; they pass or fail nothing. Keystrokes are a property of the page.
"""

from __future__ import annotations

import statistics
import tempfile
from pathlib import Path

from playwright.sync_api import Browser
from rich.console import Console
from rich.table import Table

from earwitness.taxonomy import NameIndex, load_checklist
from tests.bench.review_desks import DEMO, EVENTS, SECONDS, drafted, large, percentile, program
from tests.bench.review_keyboard import keyboard
from tests.bench.review_page import opened_page, scrolled, steps, told
from tests.review.page_desk import BROWSER, SAVED, browser

OPENINGS, STEPS = 7, 60
LONG = 50.0
"""Milliseconds from which a frame is one too many."""


def main(console: Console) -> None:
    """Print all tables."""
    if not BROWSER:
        console.print("There is no Chromium here: nothing of the review desk's page measured.")
        return
    with tempfile.TemporaryDirectory() as folder, browser() as made:
        index = NameIndex(load_checklist(DEMO / "checklist.csv"))
        demo = drafted(DEMO / "clean.vtt", index, Path(folder) / "demo")
        console.print(f"Chromium {made.version}, headless, 1280x720; server and browser on the same machine.")
        console.print(_large(made, large(demo, Path(folder) / "large")))
        console.print(keyboard(made, Path(folder), index))


def _large(made: Browser, run: Path) -> Table:
    table = Table(title=f"{EVENTS:,} events, {SECONDS / 3600:.0f} hours of talk")
    for name in ("", "target", "measured"):
        table.add_column(name)
    with program(run) as desk:
        table.add_row("program started, large run read", "", f"{desk.started_in:.1f} s")
        shown, answered = [], []
        for _ in range(OPENINGS):
            context, page = opened_page(made, f"{desk.url}/")
            shown.append(told(page)["shown"])
            page.keyboard.press("j")
            page.wait_for_function("() => window.__told.pressed.some((one) => one.step)")
            answered.append(steps(page)[0])
            context.close()
        table.add_row("first event on the screen, nothing in the cache", "1,500 ms", _times(shown))
        table.add_row("the first key pressed then is answered", "", _times(answered))
        context, page = opened_page(made, f"{desk.url}/")
        page.wait_for_timeout(1500)
        for name, selector, by in (("pile", "#pile", 500), ("talk", "#talk", 300)):
            frames = scrolled(page, selector, by=by)
            long = [frame for frame in frames if frame > LONG]
            what = (
                f"{len(long)} of {len(frames):,}, worst {max(frames):.0f} ms, median {statistics.median(frames):.0f} ms"
            )
            table.add_row(f"frames over {LONG:.0f} ms, the {name} scrolled, {by} points a frame", "none", what)
        context.close()
        for pause in (250, 100):
            context, page = opened_page(made, f"{desk.url}/")
            page.wait_for_timeout(1500)
            for _ in range(STEPS):
                page.keyboard.press("Enter")
                page.wait_for_timeout(pause)
            page.wait_for_function(SAVED)
            took = steps(page)
            what = f"{_times(took)}; {sum(step > LONG for step in took)} over {LONG:.0f} ms"
            table.add_row(f"accept and next, key to paint, {len(took)} times, {pause} ms apart", "50 ms", what)
            context.close()
    return table


def _times(values: list[float]) -> str:
    return f"median {statistics.median(values):.0f} ms, 95% {percentile(values, 0.95):.0f}, worst {max(values):.0f}"
