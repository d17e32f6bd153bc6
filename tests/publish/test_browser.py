"""The caption and the metadata track in a real browser, beside a video element that plays."""

from __future__ import annotations

import json
import shutil
import threading
import wave
from collections.abc import Iterator
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, sync_playwright

from earwitness.pipeline.publish import publish
from earwitness.pipeline.publish.vtt import WEBVTT
from tests.publish import made

BROWSER = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
PAGE = """<!doctype html><meta charset="utf-8"><title>dive</title>
<video id="v" src="dive.wav" width="640" height="360" muted>
<track id="c" kind="captions" srclang="en" label="names" src="webvtt/kettle_01.captions.vtt" default>
<track id="m" kind="metadata" src="webvtt/kettle_01.metadata.vtt" default>
</video>"""
READY = "[...document.querySelectorAll('track')].every(t => t.readyState === 2)"
CUES = "id => [...document.getElementById(id).track.cues].map(c => [c.id, c.startTime, c.endTime, c.text])"


class Quiet(SimpleHTTPRequestHandler):
    def log_message(self, *_: Any) -> None:
        pass


@pytest.fixture
def page(run: Path, tmp_path: Path) -> Iterator[Page]:
    if not BROWSER:
        pytest.skip("no Chromium on this machine")
    folder = tmp_path / "site"
    publish(run, [WEBVTT], folder)
    (folder / "index.html").write_text(PAGE, encoding="utf-8")
    with wave.open(str(folder / "dive.wav"), "wb") as sound:
        sound.setparams((1, 1, 8000, 0, "NONE", ""))
        sound.writeframes(b"\x80" * 8000 * 90)
    server = ThreadingHTTPServer(("127.0.0.1", 0), partial(Quiet, directory=str(folder)))
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    try:
        with sync_playwright() as player:
            browser = player.chromium.launch(executable_path=BROWSER, args=["--no-sandbox"])
            view = browser.new_page()
            view.goto(f"http://127.0.0.1:{server.server_port}/index.html")
            view.wait_for_function(READY)
            yield view
            browser.close()
    finally:
        server.shutdown()
        thread.join()
        server.server_close()


def test_the_browser_reads_every_cue_and_shows_the_caption_while_it_plays(page: Page) -> None:
    table = [r for r in made.rows() if r["recordingID"] == "kettle_01" and r["reviewStatus"] != "rejected"]
    metadata = page.evaluate(CUES, "m")
    assert [cue[:3] for cue in metadata] == [[r["eventID"], r["startTime"], r["endTime"]] for r in table]
    told = json.loads(next(cue[3] for cue in metadata if cue[0] == "kettle_01:o00012500"))
    assert told["transcriptText"] == table[1]["transcriptText"]
    captions = page.evaluate(CUES, "c")
    assert [cue[0] for cue in captions] == [row["eventID"] for row in table]

    shown = "[...document.getElementById('c').track.activeCues].map(c => c.getCueAsHTML().textContent)"
    page.evaluate("document.getElementById('v').currentTime = 12.4")
    page.evaluate("document.getElementById('v').play()")
    page.wait_for_function(f"document.getElementById('v').currentTime > 12.6 && {shown}.length === 1")
    assert page.evaluate(shown) == ["Munida sarsi (squat lobster)\n2, certain, machine draft"]
    page.evaluate("document.getElementById('v').currentTime = 20")
    page.wait_for_function(f"{shown}.length === 0")


def test_a_media_fragment_starts_the_video_at_the_event(page: Page) -> None:
    """W3C Media Fragments, as the exports write them (`#t=12.5,15`), in the browser's own player."""
    page.evaluate("document.getElementById('v').src = 'dive.wav#t=12.5,15'")
    page.wait_for_function("document.getElementById('v').readyState >= 2")
    assert page.evaluate("document.getElementById('v').currentTime") == pytest.approx(12.5, abs=0.05)
    page.evaluate("document.getElementById('v').play()")
    page.wait_for_function("document.getElementById('v').paused", timeout=15_000)
    assert page.evaluate("document.getElementById('v').currentTime") == pytest.approx(15, abs=0.5)
