"""Who can use the page: axe-core on every screen, keys and focus, sizes of targets, narrow windows, motion."""

from __future__ import annotations

import wave
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser

from earwitness.pipeline.review.web.doors import token_door
from tests.review import made
from tests.review.page_desk import Seat, Served, seat, served

SHEETS = {
    "queue": "g",
    "keys": "?",
    "reject": "x",
    "count": "c",
    "qualifier": "q",
    "certainty": "s",
    "fields": "e",
    "ask": "a",
    "remark": "i",
    "history": "h",
    "same": "w",
    "merge": "m",
    "split": "p",
    "link": "l",
}
FETCHED = "() => !/Fetching|Looking for/.test(document.querySelector('dialog').textContent)"


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    folder = tmp_path_factory.mktemp("access")
    media = folder / "media"
    media.mkdir()
    with wave.open(str(media / "saddle_01.wav"), "wb") as sound:
        sound.setparams((1, 1, 8000, 0, "NONE", ""))
        sound.writeframes(b"\x80" * 8000 * 95)
    with served(made.write(folder / "run"), media=media) as at:
        yield at


@pytest.fixture
def me(desk: Served, chromium: Browser) -> Iterator[Seat]:
    with seat(chromium, desk.url) as sitting:
        ready(sitting)
        yield sitting


def ready(me: Seat) -> None:
    me.page.wait_for_selector(".names .name")
    me.page.wait_for_selector(".utter")


@pytest.mark.parametrize(("scheme", "width", "height"), [("light", 1280, 720), ("dark", 390, 844)])
def test_axe_finds_nothing_on_any_screen(desk: Served, chromium: Browser, scheme: str, width: int, height: int) -> None:
    found: dict[str, list[str]] = {}
    with seat(chromium, desk.url, width=width, height=height, scheme=scheme, bypass_csp=True) as me:
        ready(me)
        found["desk"] = me.violations()
        me.press("n")
        me.type("munida")
        me.page.wait_for_selector(".found .name")
        found["search"] = me.violations()
        me.press("Escape")
        for name, key in SHEETS.items():
            me.press(key)
            me.page.wait_for_selector("dialog[open]")
            me.page.wait_for_function(FETCHED)
            found[name] = me.violations("dialog")
            me.press("Escape")
        me.press("v")
        found["words"] = me.violations()
        me.press("Escape", "g", "t")
        found["by taxon"] = me.violations()
    assert {name: told for name, told in found.items() if told} == {}


@pytest.mark.parametrize(
    ("scheme", "width", "height"), [("dark", 1280, 720), ("light", 390, 844), ("dark", 1920, 1080)]
)
def test_axe_finds_nothing_on_the_desk_in_other_looks(
    desk: Served, chromium: Browser, scheme: str, width: int, height: int
) -> None:
    with seat(chromium, desk.url, width=width, height=height, scheme=scheme, bypass_csp=True) as me:
        ready(me)
        assert me.violations() == []
        me.press("e")
        me.page.wait_for_selector("dialog[open]")
        assert me.violations("dialog") == []


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_door_of_a_shared_desk(run: Path, chromium: Browser, scheme: str) -> None:
    token = "only for those on this ship"
    with (
        served(run, door=token_door(token)) as desk,
        seat(chromium, desk.url, scheme=scheme, opened=False, bypass_csp=True) as me,
    ):
        me.page.wait_for_url("**/sign-in")
        assert me.violations() == []
        assert me.page.evaluate("document.activeElement.id") == "name"
        me.type("Ann Tarrow")
        me.press("Tab")
        me.type("what was it again")
        me.press("Enter")
        me.page.wait_for_function("() => document.querySelector('#wrong').textContent")
        assert me.violations() == []
        me.type(token)  # the wrong one is marked, to be written over
        me.page.keyboard.press("Enter")  # and the page goes
        me.page.wait_for_selector(".slip")
        assert "Ann Tarrow" in me.text("#who")
        me.press("Enter")
        me.saved()
        me.press("?")
        me.page.get_by_role("button", name="Sign out").click()
        me.page.wait_for_url("**/sign-in")


ESSENTIALS = (
    *(".stamp-state", ".when", ".heard", ".standing", ".lineage", ".gauge.fit b", ".gauge.sure b", ".claims"),
    *(
        ".names .name >> nth=0",
        ".names .name >> nth=1",
        "#acts .chief",
        "#acts button >> nth=1",
        "#acts button >> nth=2",
    ),
    *("#tally", "#tray", "#caution", ".utter.here", ".slip >> nth=0", ".film-keys", "#soundings"),
)


def test_the_essentials_are_in_sight_at_1280_by_720(desk: Served, chromium: Browser) -> None:
    with seat(chromium, desk.url) as me:
        me.press("g", "m")
        me.page.locator(f".slip[data-event='{made.PAIR}']").click()
        ready(me)
        me.page.wait_for_selector(".names .name >> nth=1")
        me.page.wait_for_selector(".utter.here")
        me.page.wait_for_selector(".who-list li")
        for selector in ESSENTIALS:
            box = me.page.locator(selector).first.bounding_box()
            assert box, selector
            inside = (
                box["x"] >= 0 and box["y"] >= 0 and box["x"] + box["width"] <= 1280 and box["y"] + box["height"] <= 720
            )
            assert inside, (selector, box)
        assert me.page.evaluate(
            "document.documentElement.scrollHeight <= 720 && document.documentElement.scrollWidth <= 1280"
        )
        card = me.page.locator("#card").bounding_box()
        claims = me.page.locator(".claims").bounding_box()
        assert card
        assert claims
        assert claims["y"] + claims["height"] <= card["y"] + card["height"]


@pytest.mark.parametrize("width", [320, 390, 768, 1024, 1280])
def test_nothing_is_wider_than_the_window(desk: Served, chromium: Browser, width: int) -> None:
    with seat(chromium, desk.url, width=width, height=800) as me:
        ready(me)
        assert me.page.evaluate("document.documentElement.scrollWidth") <= width
        assert me.page.locator("#acts .chief").bounding_box()


TARGETS = """() => [...document.querySelectorAll('button, a, input, select, [role=option], label.tick')]
  .filter(e => e.checkVisibility() && !e.matches('.skip'))
  .map(e => [e.tagName, e.className || e.id, e.getBoundingClientRect()])
  .filter(([, , b]) => b.width && (b.width < 24 || b.height < 24))
  .map(([tag, name, b]) => `${tag}.${name} ${b.width}x${b.height}`)"""


@pytest.mark.parametrize("width", [1280, 390])
def test_targets_are_large_enough_to_hit(desk: Served, chromium: Browser, width: int) -> None:
    """24 by 24 CSS pixels: WCAG 2.2, 2.5.8."""
    with seat(chromium, desk.url, width=width) as me:
        ready(me)
        assert me.page.evaluate(TARGETS) == []
        for key in "?gew":
            me.press(key)
            me.page.wait_for_selector("dialog[open]")
            me.page.wait_for_function(FETCHED)
            small = [one for one in me.page.evaluate(TARGETS) if "INPUT" not in one or "checkbox" in one]
            assert small == []
            me.press("Escape")


def test_the_focus_goes_from_moment_to_label_to_pile_and_is_seen(me: Seat) -> None:
    regions: list[str] = []
    for _ in range(70):
        me.press("Tab")
        told: dict[str, Any] = me.page.evaluate(
            """() => { const e = document.activeElement, style = getComputedStyle(e);
            return {where: e.closest('.mast, #moment, #label, #pile-side')?.id || (e.closest('.mast') && 'mast') || '',
                    ring: style.outlineStyle !== 'none' && parseFloat(style.outlineWidth) >= 2, tag: e.tagName}; }"""
        )
        if told["tag"] == "BODY":
            break
        assert told["ring"], told
        if told["where"] and (not regions or regions[-1] != told["where"]):
            regions.append(told["where"])
    assert regions[:4] == ["mast", "moment", "label", "pile-side"]


def test_a_sheet_keeps_the_focus_and_gives_it_back(me: Seat) -> None:
    me.press("e")
    for _ in range(40):
        me.press("Tab")
        assert me.page.evaluate(
            "document.activeElement === document.body || !!document.activeElement.closest('dialog')"
        )
    me.press("Escape")
    assert me.page.evaluate("document.activeElement.id") == "label"


def test_keys_are_shown_on_what_they_do(me: Seat) -> None:
    shown = {" ".join(text.split()) for text in me.page.locator("#acts button").all_text_contents()}
    wanted = {"AcceptEnter", "Another namen", "Rejectx", "Aska", "Undou", "Redoy", "Fieldse", "Same wordsw", "Mergem"}
    assert wanted <= shown


def test_what_a_key_did_is_said(me: Seat) -> None:
    assert me.page.locator("#said").get_attribute("aria-live") == "polite"
    me.press("j")
    assert me.said == me.standing


def test_light_and_dark_by_system_and_by_switch(desk: Served, chromium: Browser) -> None:
    paper = "getComputedStyle(document.body).backgroundColor"
    with seat(chromium, desk.url, scheme="dark") as me:
        dark = me.page.evaluate(paper)
        me.page.emulate_media(color_scheme="light")
        light = me.page.evaluate(paper)
        assert dark != light
        me.page.locator("#theme").click()
        me.page.locator("#theme").click()
        assert me.page.evaluate(paper) == dark
        me.page.reload()
        assert me.page.evaluate(paper) == dark
        me.page.locator("#theme").click()
        assert me.page.evaluate(paper) == light


def test_sound_plays_the_moment_over_and_over_and_nothing_moves_unasked(me: Seat) -> None:
    """The seat asks for reduced motion: the film waits for a key."""
    me.press("g", "m")
    me.page.locator(f".slip[data-event='{made.LOBSTER}']").click()
    player = "document.querySelector('#film audio')"
    me.page.wait_for_function(f"() => {player}.readyState >= 2 && Math.abs({player}.currentTime - 30) < 0.1")
    assert me.page.evaluate(f"{player}.paused")
    me.press(" ")
    me.page.wait_for_function(f"() => {player}.currentTime > 30.2")
    me.press("]", "]", "]")
    assert me.page.evaluate(f"{player}.playbackRate") == 3
    me.page.wait_for_function(f"() => {player}.currentTime > 35")
    me.page.wait_for_function(f"() => {player}.currentTime < 33")  # over and over
    me.press(",")
    assert me.page.evaluate(f"{player}.paused")
    before = me.page.evaluate(f"{player}.currentTime")
    me.press(".")
    assert me.page.evaluate(f"{player}.currentTime") == pytest.approx(before + 0.04, abs=0.01)
    me.page.locator(f".utter mark[data-event='{made.CALLOGORGIA}']").click()
    me.page.wait_for_function(f"() => Math.abs({player}.currentTime - 56.75) < 0.1")


def test_a_recording_without_a_film_has_its_words(me: Seat) -> None:
    me.press("g", "m")
    me.page.locator(f".slip[data-event='{made.MOO}']").click()
    assert "No film of this recording" in me.text("#film")
    me.page.wait_for_function("() => document.querySelector('.utter.here')?.textContent.includes('moo need a')")


def test_every_word_is_seen_in_forced_colours(desk: Served, chromium: Browser) -> None:
    """Words that were taken for a name bear the colours of the page where they have no ground of their own."""
    colours = """() => [...document.querySelectorAll('.utter, .utter mark')].map(one => {
        const style = getComputedStyle(one);
        return [one.className, style.color, style.backgroundColor]; })"""
    with seat(chromium, desk.url, scheme="dark", forced_colors="active") as me:
        ready(me)
        told = me.page.evaluate(colours)
        page = {colour for name, colour, _ in told if name.startswith("utter")}
        bare = {colour for name, colour, ground in told if ground.startswith("rgba")}
        assert page == bare
        assert any("own" in name.split() and not ground.startswith("rgba") for name, _, ground in told)
