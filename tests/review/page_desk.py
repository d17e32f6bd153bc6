"""A desk that runs, and a browser at it: for tests of the page.

The server is the real one, in a thread; it can be ended and started again at the same address, as a program is.
"""

from __future__ import annotations

import json
import shutil
import socket
import threading
import time
import urllib.request
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from importlib.resources import files
from pathlib import Path
from typing import Any

import uvicorn
from playwright.sync_api import Browser, BrowserContext, Page, sync_playwright

from earwitness.pipeline.review.desk import open_desk
from earwitness.pipeline.review.web import Settings, make_app

BROWSER = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; media-src 'self'; connect-src 'self'; "
    "base-uri 'none'; form-action 'self'; frame-ancestors 'none'; require-trusted-types-for 'script'"
)
"""The strictest policy that the page has to live with; put on it by the tests, whatever the server says."""
TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
OPEN = "() => !document.body.classList.contains('opening') && document.querySelector('.standing')"
FRAMES = "new Promise(done => { requestAnimationFrame(() => requestAnimationFrame(done)); setTimeout(done, 1000); })"
"""Two frames, or a second: now and then a browser without a screen draws no more, and nothing else ends that wait."""
SAVED = "() => document.querySelector('#tray').textContent.includes('All saved')"


def free_port() -> int:
    with socket.socket() as place:
        place.bind(("127.0.0.1", 0))
        port: int = place.getsockname()[1]
        return port


@dataclass
class Served:
    """A desk at an address."""

    folder: Path
    reviewer: str = "Rosalind Quay"
    media: Path | None = None
    port: int = field(default_factory=free_port)
    door: Any = None
    _server: uvicorn.Server | None = None
    _thread: threading.Thread | None = None
    _desk: Any = None

    @property
    def url(self) -> str:
        return f"http://127.0.0.1:{self.port}/"

    def start(self) -> Served:
        self._desk = open_desk(self.folder)
        app = make_app(self._desk, Settings(reviewer=self.reviewer, media=self.media, door=self.door, port=self.port))
        config = uvicorn.Config(
            app, host="127.0.0.1", port=self.port, log_level="error", timeout_graceful_shutdown=1, lifespan="off"
        )
        self._server = uvicorn.Server(config)
        self._thread = threading.Thread(target=self._server.run, daemon=True)
        self._thread.start()
        while not self._server.started:
            time.sleep(0.02)
        return self

    def stop(self) -> None:
        """As if the program had been ended."""
        if self._server is None or self._thread is None:
            return
        self._server.should_exit = True
        self._thread.join(timeout=20)
        self._desk.close()
        self._server = self._thread = None

    def told(self, path: str) -> Any:
        with urllib.request.urlopen(self.url + path) as answer:
            return json.load(answer)

    def rows(self) -> dict[str, dict[str, Any]]:
        """The events as the server has them, by ID."""
        told = self.told("api/events")
        listed = [dict(zip(told["columns"], row, strict=True)) for row in told["rows"]]
        return {row["eventID"]: row for row in listed}

    def states(self) -> list[str]:
        """How many events are in which state, those that are none left out."""
        found: dict[str, int] = {}
        for row in self.rows().values():
            found[row["reviewStatus"]] = found.get(row["reviewStatus"], 0) + 1
        return sorted(f"{number} {state}" for state, number in found.items())


@contextmanager
def served(
    folder: Path, reviewer: str = "Rosalind Quay", media: Path | None = None, door: Any = None
) -> Iterator[Served]:
    desk = Served(folder, reviewer, media, door=door).start()
    try:
        yield desk
    finally:
        desk.stop()


@contextmanager
def browser() -> Iterator[Browser]:
    with sync_playwright() as player:
        made = player.chromium.launch(
            executable_path=BROWSER, args=["--no-sandbox", "--autoplay-policy=no-user-gesture-required"]
        )
        try:
            yield made
        finally:
            made.close()


@dataclass
class Seat:
    """Somebody at the desk: a page, and all that went wrong in it."""

    page: Page
    context: BrowserContext
    wrong: list[str] = field(default_factory=list)

    def press(self, *keys: str) -> None:
        """Keys one after another, as fast as a machine can; a word of several letters is typed."""
        for key in keys:
            self.page.keyboard.press(key)
            # What a key does is on the screen in the frame that follows.
            self.page.evaluate(FRAMES)

    def type(self, text: str) -> None:
        self.page.keyboard.type(text)

    def saved(self) -> None:
        """Wait until the server has confirmed everything: what was pressed last is on its way a frame later."""
        self.page.evaluate(FRAMES)
        self.page.wait_for_function(SAVED)

    def text(self, selector: str) -> str:
        return " ".join((self.page.locator(selector).first.text_content() or "").split())

    def violations(self, within: str = "html") -> list[str]:
        """What axe-core finds on the page as it is now, or in a part of it, each with its elements."""
        if not self.page.evaluate("'axe' in window"):
            self.page.evaluate((files("axe_playwright_python") / "axe.min.js").read_text("utf-8"))
        run = "([part, tags]) => axe.run(document.querySelector(part), {runOnly: tags})"
        told = self.page.evaluate(run, [within, TAGS])
        return [f"{one['id']}: {[node['target'] for node in one['nodes']][:4]}" for one in told["violations"]]

    @property
    def standing(self) -> str:
        return self.text(".standing")

    @property
    def said(self) -> str:
        return self.text("#said")


@contextmanager
def seat(
    made: Browser,
    url: str,
    *,
    width: int = 1280,
    height: int = 720,
    scheme: str = "light",
    opened: bool = True,
    **more: Any,
) -> Iterator[Seat]:
    context = made.new_context(
        viewport={"width": width, "height": height},
        color_scheme="dark" if scheme == "dark" else "light",
        reduced_motion="reduce",
        **more,
    )
    page = context.new_page()
    page.set_default_timeout(15_000)
    sitting = Seat(page, context)
    page.on("pageerror", lambda error: sitting.wrong.append(str(error)))
    page.on("console", lambda told: sitting.wrong.append(told.text) if "Security Policy" in told.text else None)

    def strict(route: Any) -> None:
        answer = route.fetch(max_redirects=0)
        route.fulfill(response=answer, headers={**answer.headers, "content-security-policy": POLICY})

    page.route(url, strict)
    try:
        page.goto(url)
        if opened:
            page.wait_for_function(OPEN)
        yield sitting
        assert sitting.wrong == []
    finally:
        context.close()


def rewritten(source: Path, folder: Path, changes: Mapping[str, Any]) -> Path:
    """A copy of a run in which text stands otherwise: file name -> function of a row."""
    shutil.copytree(source, folder)
    for name, change in changes.items():
        lines = [json.loads(line) for line in (folder / name).read_text("utf-8").splitlines()]
        (folder / name).write_text("".join(json.dumps(change(row)) + "\n" for row in lines), "utf-8")
    return folder


def repeated(source: Path, folder: Path, events: int, seconds: float) -> Path:
    """A run of so many events and so long a talk: the source's again and again, at other times."""
    shutil.copytree(source, folder)
    rows = {name: _lines(source / f"{name}.jsonl") for name in ("events", "mentions", "utterances")}
    length = max(row["endTime"] for row in rows["utterances"]) + 2
    times = -(-events // len(rows["events"]))
    made = [_shifted(row, n, n * seconds / times) for n in range(times) for row in rows["events"]][:events]
    known = {row["eventID"] for row in made}
    told = range(max(1, int(seconds // length)))
    # A mention is of the events of that time: of which copy, follows from how far the copies are apart.
    step = seconds / times
    mentions = [_shifted(row, n, n * length, round(n * length / step)) for n in told for row in rows["mentions"]]
    for row in mentions:
        if row["eventID"] not in known:
            row["eventID"] = None
    _write(folder / "events.jsonl", sorted(made, key=lambda row: (row["startTime"], row["eventID"])))
    _write(folder / "mentions.jsonl", mentions)
    _write(folder / "utterances.jsonl", [_shifted(row, n, n * length) for n in told for row in rows["utterances"]])
    return folder


def _shifted(row: Mapping[str, Any], n: int, by: float, event: int | None = None) -> dict[str, Any]:
    new = dict(row)
    for name in ("startTime", "endTime", "utteranceStart", "utteranceEnd"):
        if name in new:
            new[name] = round(new[name] + by, 3)
    for name, number in (("eventID", n if event is None else event), ("mentionID", n)):
        if new.get(name):
            new[name] = f"{new[name]}x{number}"
    if "words" in new:
        new["words"] = [[a, b, round(s + by, 3), round(e + by, 3)] for a, b, s, e in new["words"]]
    return new


def _lines(path: Path) -> list[dict[str, Any]]:
    return [json.loads(line) for line in path.read_text("utf-8").splitlines()]


def _write(path: Path, rows: Sequence[Mapping[str, Any]]) -> None:
    path.write_text("".join(json.dumps(row) + "\n" for row in rows), "utf-8")
