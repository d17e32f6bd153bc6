"""A recording that lies in several files is played as one: to any moment, and on from file to file."""

from __future__ import annotations

import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser

from tests.film.__main__ import FILM
from tests.review import made
from tests.review.page_desk import Seat, Served, seat, served

imageio_ffmpeg = pytest.importorskip("imageio_ffmpeg")
FIRST, SECOND = 34.0, 40.0
LISTED = f"""\
id = "saddle_01"
frame_rate = 29.97
[[files]]
name = "A.webm"
duration = {FIRST}
[[files]]
name = "B.webm"
duration = {SECOND}
[[files]]
name = "C.webm"
"""
"""One recording in three files, of which the last does not lie there. The squat lobster, said at 31.5 s, is the last
in the first; Callogorgia, at 58 s, lies in the second; the other Paragorgia, at 90 s, in the third."""
NOW = """() => {
  const film = document.querySelector('#film video');
  return [film.src.split('?')[1], film.currentTime];
}"""


def cut(folder: Path, name: str, begin: float, length: float) -> None:
    """A piece of the demonstration's film, cut at its own pictures, not drawn anew."""
    program = imageio_ffmpeg.get_ffmpeg_exe()
    times = ["-ss", str(begin), "-t", str(length)]
    subprocess.run([program, "-v", "error", *times, "-i", str(FILM), "-c", "copy", str(folder / name)], check=True)


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    folder = tmp_path_factory.mktemp("parts")
    media = folder / "media"
    media.mkdir()
    cut(media, "A.webm", 0, FIRST)
    cut(media, "B.webm", 100, SECOND)
    (folder / "dive.toml").write_text(LISTED, "utf-8")
    path = str(folder / "dive.toml")
    described = [{"path": path, "sha256": "0" * 64, "id": "saddle_01", "recordingIDs": ["saddle_01"], "logs": []}]
    with served(made.write(folder / "run", recordings=described), media=media) as at:
        yield at


@pytest.fixture
def me(site: Served, chromium: Browser) -> Iterator[Seat]:
    with seat(chromium, site.url) as sitting:
        sitting.press("g", "m")
        yield sitting


def take(me: Seat, event: str) -> None:
    me.page.locator(f".slip[data-event='{event}']").click()


def at(me: Seat, part: int, seconds: float) -> None:
    """Wait until the film stands at that second of that file."""
    near = "Math.abs(now - seconds) < .1"
    me.page.wait_for_function(
        f"([part, seconds]) => {{ const [src, now] = ({NOW})(); return src === `part=${{part}}` && {near}; }}",
        arg=[part, seconds],
    )


def test_a_moment_is_found_in_the_file_where_it_lies(me: Seat) -> None:
    take(me, made.LOBSTER)
    at(me, 1, 30.0)
    take(me, made.CALLOGORGIA)
    at(me, 2, 58.25 - 1.5 - FIRST)
    assert me.text(".film-time").startswith("0:56.")  # the recording's time, not the file's
    take(me, made.PAIR)
    at(me, 1, 10.5)


def test_the_next_file_plays_on_where_one_ends_and_the_moment_comes_again(me: Seat) -> None:
    """The moment of the squat lobster goes on for some seconds after the end of the first file."""
    take(me, made.LOBSTER)
    at(me, 1, 30.0)
    me.press("]", "]", "]", " ")
    me.page.wait_for_function(f"() => {{ const [src, now] = ({NOW})(); return src === 'part=2' && now > .2; }}")
    assert not me.page.evaluate("document.querySelector('#film video').paused")
    assert me.page.evaluate("document.querySelector('#film video').playbackRate") == 3
    me.page.wait_for_function(f"() => {{ const [src, now] = ({NOW})(); return src === 'part=1' && now < 33; }}")


def test_frames_are_stepped_over_the_seam(me: Seat) -> None:
    take(me, made.LOBSTER)
    at(me, 1, 30.0)
    for _ in range(150):
        if me.page.evaluate(NOW)[0] == "part=2":
            break
        me.press(".")
    assert me.page.evaluate(NOW) == ["part=2", pytest.approx(0, abs=0.05)]
    me.press(",")
    at(me, 1, FIRST - 0.02)


def test_a_file_that_is_not_there_is_named_and_the_others_play(me: Seat) -> None:
    take(me, made.PAIR_2)
    me.page.wait_for_selector(".film-note:visible")
    assert me.text(".film-note") == "C.webm does not lie here: of this part the words are all there is."
    assert me.text(".film-time") == "1:28.5"
    me.press(" ")
    assert "C.webm" in me.said
    take(me, made.PAIR)
    at(me, 1, 10.5)
    assert me.page.locator(".film-note").is_hidden()
    take(me, made.MOO)  # of another recording
    assert "No film of this recording" in me.text("#film")
