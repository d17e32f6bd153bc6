"""The demonstration dive's film: it is what `tests.film` draws, in time with the talk, and a browser plays it."""

from __future__ import annotations

import re
import subprocess
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from playwright.sync_api import Browser

from tests.film.__main__ import FILM, FRAMES, PER, SECONDS
from tests.film.cast import SEEN
from tests.film.scene import HIGH, WIDE, gold_events, picture
from tests.film.speech import RATE, cues

imageio_ffmpeg = pytest.importorskip("imageio_ffmpeg")
MOST = 3_000_000
"""Bytes: it comes with the package."""
Picture = NDArray[np.float32]


def ffmpeg(*options: str) -> subprocess.CompletedProcess[bytes]:
    return subprocess.run([imageio_ffmpeg.get_ffmpeg_exe(), "-hide_banner", *options], capture_output=True)


@pytest.fixture(scope="module")
def frames() -> dict[str, Picture]:
    """The film's picture in the middle of each gold event, all decoded in one go."""
    numbers = [round((begin + end) / 2 * FRAMES / PER) for _, begin, end in gold_events()]
    chosen = "+".join(f"eq(n\\,{number})" for number in numbers)
    raw = ffmpeg("-loglevel", "error", "-i", str(FILM), "-an", "-vf", f"select={chosen}", "-fps_mode", "passthrough",
                 "-f", "rawvideo", "-pix_fmt", "rgb24", "-").stdout  # fmt: skip
    pictures = np.frombuffer(raw, np.uint8).reshape(-1, HIGH, WIDE, 3).astype(np.float32)
    assert len(pictures) == len(set(numbers))
    by_number = dict(zip(sorted(set(numbers)), pictures, strict=True))
    return {event: by_number[n] for (event, _, _), n in zip(gold_events(), numbers, strict=True)}


def test_it_is_small_and_of_the_recordings_length() -> None:
    assert 500_000 < FILM.stat().st_size <= MOST
    told = ffmpeg("-i", str(FILM)).stderr.decode()
    hours, minutes, seconds = re.search(r"Duration: (\d+):(\d+):([\d.]+)", told).groups()  # type: ignore[union-attr]
    assert int(hours) * 3600 + int(minutes) * 60 + float(seconds) == pytest.approx(SECONDS, abs=0.1)
    assert cues()[-1][1] <= SECONDS
    assert re.search(rf"Video: vp9.*\b{WIDE}x{HIGH}\b.*\b29\.97 fps", told)
    assert re.search(r"Audio: opus.*\bmono\b", told)


def test_every_event_of_the_gold_rows_has_its_animals() -> None:
    assert [event for event, _, _ in gold_events()] == list(SEEN)


@pytest.mark.parametrize("event", SEEN)
def test_the_animals_are_there_when_they_are_spoken_of(frames: dict[str, Picture], event: str) -> None:
    """Where an animal is drawn, the film is nearer to that drawing than to the same place with nobody there."""
    begin, end = next(times for name, *times in gold_events() if name == event)
    n = round((begin + end) / 2 * FRAMES / PER)
    drawn = picture(n * PER / FRAMES).astype(np.float32)
    empty = picture(n * PER / FRAMES, animals=False).astype(np.float32)
    there = np.abs(drawn - empty).max(axis=2) > 24
    assert there.sum() > 60
    film = frames[event]
    with_animals = float(np.abs(film - drawn)[there].mean())
    without = float(np.abs(film - empty)[there].mean())
    # Small animals lose more of their edges to the encoder than large ones.
    assert with_animals < 0.75 * without


def test_speech_is_heard_in_the_utterances_and_not_between_them() -> None:
    raw = ffmpeg("-loglevel", "error", "-i", str(FILM), "-vn", "-ar", str(RATE), "-ac", "1", "-f", "s16le", "-").stdout
    sound = np.frombuffer(raw, np.int16).astype(np.float32) / 32768

    def loud(begin: float, end: float) -> float:
        return float(np.sqrt(np.mean(sound[round(begin * RATE) : round(end * RATE)] ** 2)))

    talk = cues()
    spoken = [loud(begin, end) for begin, end, _, _ in talk]
    pauses = [loud(a[1] + 0.15, b[0] - 0.15) for a, b in pairwise(talk) if b[0] - a[1] > 0.6]
    assert len(pauses) > 10
    assert min(spoken) > 5 * max(pauses)


def test_a_browser_plays_it_and_seeks_in_it(chromium: Browser, tmp_path: Path) -> None:
    page = chromium.new_page()
    (tmp_path / "page.html").write_text(f"<video muted src='{FILM.as_uri()}'></video>", "utf-8")
    page.goto((tmp_path / "page.html").as_uri())
    told = page.evaluate(
        """async () => {
          const film = document.querySelector('video');
          const once = (name) => new Promise((done, wrong) => {
            film.addEventListener(name, done, { once: true });
            film.addEventListener('error', () => wrong(film.error.message), { once: true });
          });
          if (film.readyState < 1) await once('loadedmetadata');
          film.currentTime = 281;
          await once('seeked');
          await film.play();
          while (film.currentTime < 281.4) await once('timeupdate');
          return [film.duration, film.videoWidth, film.videoHeight];
        }"""
    )
    assert told[0] == pytest.approx(SECONDS, abs=0.1)
    assert told[1:] == [WIDE, HIGH]
    page.close()
