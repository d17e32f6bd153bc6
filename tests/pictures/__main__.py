"""`python -m tests.pictures [FOLDER]`: every screen of desk and report, light and dark, wide and narrow, as PNG.

`python -m tests.pictures --readme` draws the README's pictures anew, beside this file. Their letters are those of the
machine, so they are not the same to the byte.
"""

from __future__ import annotations

import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from PIL import Image
from playwright.sync_api import Browser

from earwitness.pipeline import draft
from earwitness.pipeline.publish import Options, publish
from earwitness.pipeline.report import REPORT
from earwitness.pipeline.review import open_desk
from earwitness.pipeline.review.web.doors import token_door
from tests.bench.places import FIXTURES
from tests.review import made
from tests.review.page_desk import Seat, browser, seat, served
from tests.review.test_page_access import FETCHED, SHEETS
from tests.review.test_page_states import STATES, at_odds, disputed

DIVE = FIXTURES / "quillmere_canyon"
LOOKS = {
    "wide": ("light", 1280, 720),
    "wide_dark": ("dark", 1280, 720),
    "narrow": ("light", 390, 844),
    "narrow_dark": ("dark", 390, 844),
}
HERE = Path(__file__).parent
README = ("desk", "report_timeline")


@dataclass(frozen=True)
class Studio:
    """A browser, a room for runs, where pictures go, and in which looks."""

    browser: Browser
    room: Path
    drawn: Path
    looks: tuple[str, ...] = tuple(LOOKS)

    @contextmanager
    def seat(self, look: str, url: str, opened: bool = True) -> Iterator[Seat]:
        """Somebody at the desk, with that look."""
        scheme, width, height = LOOKS[look]
        with seat(self.browser, url, scheme=scheme, width=width, height=height, opened=opened) as me:
            yield me

    def draw(self, me: Seat, screen: str, look: str, whole: bool = False) -> None:
        """The screen as it is now."""
        self.drawn.mkdir(parents=True, exist_ok=True)
        me.page.screenshot(path=self.drawn / f"{screen}-{look}.png", full_page=whole)

    def dive(self) -> Path:
        """The built-in dive, drafted, with a few rows decided by two people."""
        run = self.room / "dive"
        if not run.exists():
            recording = DIVE / "recording.toml"
            draft(DIVE / "heard.vtt", DIVE / "checklist.csv", recordings=[recording]).write(run)
            desk = open_desk(run)
            sightings = [name for name, row in desk.rows.items() if row["recordKind"] == "occurrence"]
            for n, name in enumerate(sightings[:9]):
                made.Hands(desk, ("Maud Tern", "Ilse Marrow")[n % 2]).do("accept", name)
            made.Hands(desk, "Ilse Marrow").do("reject", sightings[9], reason="not-seen")
            desk.close()
        return run


def desk(studio: Studio) -> None:
    """The desk with its film, its search, its sheets, and the page of figures."""
    with served(studio.dive(), media=DIVE) as site:
        for look in studio.looks:
            with studio.seat(look, site.url) as me:
                me.page.wait_for_selector(".utter")
                me.press("g", "m")
                me.page.locator(".slip:visible").nth(12).click()
                me.page.wait_for_selector(".utter.here")
                me.page.wait_for_function("() => document.querySelector('#film video').readyState >= 2")
                studio.draw(me, "desk", look)
                me.press("n")
                me.type("munida")
                me.page.wait_for_selector(".found .name")
                studio.draw(me, "search", look)
                me.press("Escape")
                for name, key in SHEETS.items():
                    me.press(key)
                    me.page.wait_for_selector("dialog[open]")
                    me.page.wait_for_function(FETCHED)
                    studio.draw(me, f"sheet_{name}", look)
                    me.press("Escape")
            with studio.seat(look, f"{site.url}agreement", opened=False) as me:
                me.page.wait_for_selector("#figures[aria-busy=false]")
                studio.draw(me, "figures", look, whole=True)


def states(studio: Studio) -> None:
    """Screens that are seldom seen."""
    folder = disputed(studio.room / "disputed")
    with served(folder) as site:
        for look in studio.looks:
            for state in STATES:
                with studio.seat(look, site.url) as me:
                    state(me)
                    studio.draw(me, f"state_{state.__name__}", look)
    for look in studio.looks:
        run = made.write(studio.room / f"odds_{look}")
        with served(run) as site, studio.seat(look, site.url, opened=False) as me:
            at_odds(me, run)
            studio.draw(me, "state_disagreement", look)
            me.press("!")
            me.page.wait_for_selector("dialog .stands-now")
            studio.draw(me, "state_disagreement_told", look)


def door(studio: Studio) -> None:
    """Signing in, and failing to."""
    for look in studio.looks:
        run = made.write(studio.room / f"door_{look}")
        with (
            served(run, door=token_door("a token of the pictures")) as site,
            studio.seat(look, site.url, opened=False) as me,
        ):
            me.page.wait_for_selector("#door")
            studio.draw(me, "door", look)
            me.page.locator("#name").fill("Ann Tarrow")
            me.page.locator("#secret").fill("not it")
            me.page.keyboard.press("Enter")
            me.page.wait_for_function("() => document.querySelector('#wrong').textContent")
            studio.draw(me, "door_shut", look)


def report(studio: Studio) -> None:
    """The dive report, on the screen and as it is printed."""
    folder = studio.room / "published"
    publish(studio.dive(), [REPORT], folder, Options(), DIVE / "publication.toml")
    page = next(folder.rglob("*.html")).as_uri()
    for look in studio.looks:
        scheme, width, _ = LOOKS[look]
        context = studio.browser.new_context(
            viewport={"width": width, "height": 900}, color_scheme="dark" if scheme == "dark" else "light"
        )
        me = Seat(context.new_page(), context)
        me.page.goto(page)
        studio.draw(me, "report", look)
        me.page.evaluate("document.getElementById('timeline').scrollIntoView({behavior: 'instant'})")
        studio.draw(me, "report_timeline", look)
        studio.draw(me, "report_whole", look, whole=True)
        if look == "wide":
            me.page.set_viewport_size({"width": 703, "height": 1000})
            me.page.emulate_media(media="print")
            studio.draw(me, "report_printed", look, whole=True)
        context.close()


def main(arguments: list[str]) -> None:
    """Draw them all, or those of the README."""
    with tempfile.TemporaryDirectory() as room, browser() as one:
        if arguments == ["--readme"]:
            studio = Studio(one, Path(room), Path(room) / "drawn", ("wide",))
            desk(studio)
            report(studio)
            for screen in README:
                Image.open(studio.drawn / f"{screen}-wide.png").save(HERE / f"{screen}.webp", quality=85, method=6)
            return
        studio = Studio(one, Path(room), Path(*arguments) if arguments else Path("build") / "pictures")
        for part in (desk, report, states, door):
            part(studio)
        print(f"{len(list(studio.drawn.glob('*.png')))} pictures in {studio.drawn}")


if __name__ == "__main__":
    main(sys.argv[1:])
