"""The page in a real browser: axe-core, narrow windows, letters that can be read, targets that can be hit."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from importlib.resources import files
from itertools import cycle
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page

from earwitness.pipeline.publish import Options
from earwitness.pipeline.report import gather, render_page
from tests.report.made import Row, dive, edition, placed
from tests.review.page_desk import BROWSER, browser

pytestmark = pytest.mark.skipif(not BROWSER, reason="no Chromium on this machine")
TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
GRID = 0.002
AXE = "tags => axe.run(document, {runOnly: tags})"
WIDTHS = [320, 390, 480, 704, 705, 992, 993, 1280]
"""Phones, and either side of where other drawings are shown."""


def phases(rows: list[Row]) -> list[Row]:
    """The rows with the four phases that a dive has, and no others."""
    kinds = {0: "dive_start", 3: "on_bottom", len(rows) - 3: "off_bottom", len(rows) - 1: "dive_end"}
    left = [row for row in rows if row["markerType"] not in ("on_bottom", "off_bottom")]
    blank = {"recordKind": "marker", "scientificName": None, "individualCount": None, "certaintyTerm": None}
    told = [rows[n] | blank | {"eventID": f"phase-{n}", "markerType": kind} for n, kind in kinds.items()]
    return sorted([*left, *told], key=lambda row: float(row["startTime"]))


def made() -> dict[str, str]:
    """Pages by name: a whole dive, one of which little is known, and the extremes."""
    rows, track = placed(phases(dive(36)))
    one, way = placed([row for row in dive(9) if row["recordKind"] == "occurrence"][:1])
    many, long_way = placed(dive(1200))
    where = ("decimalLatitude", "decimalLongitude")
    moved = [row | {name: round(row[name] / GRID) * GRID for name in where} for row in rows]
    editions = {
        "whole": edition(rows, Path(), track),
        "bare": edition(phases(dive(40, start=None)), Path()),
        "blurred": edition(moved, Path(), track, options=Options(grid_degrees=GRID)),
        "two": edition(dive(20) + dive(20, recording="samovar_03", start=None), Path()),
        "one": edition(one, Path(), way),
        "none": edition([], Path()),
        "many": edition(many, Path(), long_way),
    }
    return {name: render_page(gather(each)) for name, each in editions.items()}


PAGES = ("whole", "bare", "blurred", "two", "one", "none", "many")


@pytest.fixture(scope="module")
def chromium() -> Iterator[Browser]:
    with browser() as made_browser:
        yield made_browser


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    there = tmp_path_factory.mktemp("report")
    for name, text in made().items():
        (there / f"{name}.html").write_text(text, encoding="utf-8")
    return there


@contextmanager
def shown(made_browser: Browser, file: Path, width: int = 1280, scheme: str = "light", **more: Any) -> Iterator[Page]:
    """A page in a window; an error of its script, or anything that its policy refuses, fails the test."""
    context = made_browser.new_context(
        viewport={"width": width, "height": 844},
        color_scheme="dark" if scheme == "dark" else "light",
        reduced_motion="reduce",
        **more,
    )
    wrong: list[str] = []
    page = context.new_page()
    page.set_default_timeout(15_000)
    page.on("pageerror", lambda error: wrong.append(str(error)))
    page.on("console", lambda told: wrong.append(told.text) if told.type == "error" else None)
    page.goto(file.as_uri())
    try:
        yield page
        assert wrong == []
    finally:
        context.close()


def told_by_axe(page: Page) -> tuple[list[str], list[str]]:
    """What axe-core finds wrong, with the elements, and the rules that it found kept."""
    page.evaluate((files("axe_playwright_python") / "axe.min.js").read_text("utf-8"))
    told = page.evaluate(AXE, TAGS)
    found = [f"{one['id']}: {[node['target'] for node in one['nodes']][:4]}" for one in told["violations"]]
    return found, [one["id"] for one in told["passes"]]


LOOKS = {
    "light": ("light", 1280, "screen"),
    "dark": ("dark", 1280, "screen"),
    "narrow": ("light", 390, "screen"),
    "narrow and dark": ("dark", 390, "screen"),
    "printed": ("light", 794, "print"),
}
# What is on the page depends on the dive, its colours and widths do not: one page has all looks, the others one each.
LOOKED_AT = [("whole", look) for look in LOOKS]
LOOKED_AT += zip(("bare", "blurred", "two", "one", "none"), cycle(("light", "narrow and dark")))


@pytest.mark.parametrize(("name", "look"), LOOKED_AT)
def test_axe_finds_nothing(chromium: Browser, folder: Path, name: str, look: str) -> None:
    scheme, width, media = LOOKS[look]
    with shown(chromium, folder / f"{name}.html", width, scheme, bypass_csp=True) as page:
        page.emulate_media(media=media)
        found, kept = told_by_axe(page)
        assert found == []
        assert {"html-has-lang", "document-title", "color-contrast", "page-has-heading-one"} <= set(kept)
        if name == "whole" and look in ("light", "narrow and dark"):
            page.locator("summary").click()
            page.locator("figure.timeline a[data-n] >> nth=4").focus() if width > 992 else page.get_by_role(
                "button", name="Next event"
            ).click()
            page.wait_for_selector("figure.timeline .card:not([hidden])")
            found, kept = told_by_axe(page)
            assert found == []
            assert "scrollable-region-focusable" in kept


def test_axe_would_find_what_is_broken(chromium: Browser, folder: Path, tmp_path: Path) -> None:
    text = (folder / "whole.html").read_text("utf-8")
    broken = text.replace('<html lang="en">', "<html>").replace("--soft: #4b5c61", "--soft: #d9d4c8")
    broken = broken.replace('<label for="find">Find in the events</label>', "")
    assert broken.count("Find in the events") == 0
    (tmp_path / "broken.html").write_text(broken, encoding="utf-8")
    with shown(chromium, tmp_path / "broken.html", bypass_csp=True) as page:
        page.locator("summary").click()
        found, _ = told_by_axe(page)
    assert {one.partition(":")[0] for one in found} >= {"html-has-lang", "color-contrast", "label"}


BESIDE = """() => { const wide = document.documentElement;
  const wrong = wide.scrollWidth > wide.clientWidth ? [`page ${wide.scrollWidth}`] : [];
  for (const part of document.querySelectorAll('figure, figure *:not(svg *)')) {
    const style = getComputedStyle(part);
    if (part.checkVisibility() && part.scrollWidth > part.clientWidth && style.overflowX !== 'visible'
      && style.display !== 'inline' && !part.matches('.unseen')) wrong.push(`${part.className} ${part.scrollWidth}`);
  }
  for (const sheet of document.querySelectorAll('figure .sheet')) {
    const edge = sheet.getBoundingClientRect();
    for (const text of sheet.querySelectorAll('svg text, svg use, svg rect')) {
      const box = text.getBoundingClientRect();
      if (!text.checkVisibility() || !box.width || text.closest('[clip-path], defs')) continue;
      if (box.left < edge.left || box.right > edge.right) wrong.push(`${text.textContent} ${box.left} ${box.right}`);
    }
  }
  return wrong; }"""
"""What makes the page or a figure scroll sideways, and what stands over a figure's edge."""
LETTERS = """() => [...document.querySelectorAll('figure svg text')].filter(text => text.checkVisibility())
  .map(text => [text.textContent, parseFloat(getComputedStyle(text).fontSize) * Math.abs(
    Math.hypot(text.getScreenCTM().a, text.getScreenCTM().b))])"""
OVER = """() => { const over = [];
  for (const svg of document.querySelectorAll('figure svg')) {
    const texts = [...svg.querySelectorAll('text')].filter(text => text.checkVisibility() && text.textContent.trim())
      .filter(text => !text.closest('a, defs')).map(text => [text.textContent, text.getBoundingClientRect()]);
    texts.forEach(([one, a], n) => texts.slice(n + 1).forEach(([other, b]) => {
      const across = Math.min(a.right, b.right) - Math.max(a.left, b.left);
      const down = Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top);
      if (across > 1 && down > 4) over.push(`${one} / ${other}`);
    }));
  }
  return over; }"""
"""Words of one drawing that stand over each other; boxes of neighbouring lines may touch."""


@pytest.mark.parametrize("name", PAGES)
def test_figures_fit_any_window_and_can_be_read(chromium: Browser, folder: Path, name: str) -> None:
    with shown(chromium, folder / f"{name}.html") as page:
        for width in WIDTHS:
            page.set_viewport_size({"width": width, "height": 844})
            assert page.evaluate(BESIDE) == [], width
            letters = page.evaluate(LETTERS)
            assert bool(letters) == (name != "none"), width
            assert [one for one in letters if one[1] < 11] == [], width
            assert page.evaluate(OVER) == [], width
        # On A4 between the page's margins, 186 mm: letters of 7 points.
        page.set_viewport_size({"width": 703, "height": 1000})
        page.emulate_media(media="print")
        assert (page.evaluate(BESIDE), page.evaluate(OVER)) == ([], [])
        assert [one for one in page.evaluate(LETTERS) if one[1] < 7 * 96 / 72] == []


def test_one_drawing_is_shown_at_a_time_and_the_wide_one_is_printed(chromium: Browser, folder: Path) -> None:
    drawn = "[...document.querySelectorAll('figure svg[class]:not(.stretched)')].filter(e => e.checkVisibility())"
    drawn += ".map(e => e.closest('figure').className + ' ' + e.classList[0])"
    with shown(chromium, folder / "whole.html", java_script_enabled=False) as page:
        for width, timeline, chart in [
            (390, "narrow", "narrow"),
            (704, "narrow", "narrow"),
            (705, "narrow", "wide"),
            (992, "narrow", "wide"),
            (993, "wide", "wide"),
        ]:
            page.set_viewport_size({"width": width, "height": 844})
            assert page.evaluate(drawn) == [f"timeline {timeline}", f"chart {chart}"]
            assert not page.locator(".steps").first.is_visible()
        page.set_viewport_size({"width": 703, "height": 1000})
        page.emulate_media(media="print")
        assert page.evaluate(drawn) == ["timeline wide", "chart wide"]
        assert not page.locator(".steps, .card").first.is_visible()


TARGETS = """() => [...document.querySelectorAll('button, a, input, select, summary')]
  .filter(e => e.checkVisibility() && !e.matches('.skip')).map(e => [e.textContent, e.getBoundingClientRect()])
  .filter(([, b]) => b.width < 24 || b.height < 24).map(([text, b]) => `${text} ${b.width}x${b.height}`)"""


@pytest.mark.parametrize("width", [320, 390, 480, 768])
def test_targets_are_large_enough_to_hit(chromium: Browser, folder: Path, width: int) -> None:
    """24 by 24 CSS pixels: WCAG 2.2, 2.5.8."""
    with shown(chromium, folder / "whole.html", width) as page:
        page.locator("summary").click()
        assert page.evaluate(TARGETS) == []
        assert page.evaluate("document.querySelectorAll('.steps button').length") == 4
        assert page.get_by_role("button", name="Next event").bounding_box()


def cell(page: Page, row: int, column: str) -> str:
    text = page.locator(f"#e{row} td").nth({"what": 1, "words": 5}[column]).text_content() or ""
    return " ".join(text.split())


def test_a_tap_or_a_step_tells_what_was_heard(chromium: Browser, folder: Path) -> None:
    with shown(chromium, folder / "whole.html", 390, has_touch=True) as page:
        figure = page.locator("figure.timeline")
        card = figure.locator(".card")
        rows: list[int] = page.evaluate(
            "[...document.querySelectorAll('figure.timeline a[data-n]')].map(e => +e.dataset.n).sort((a, b) => a - b)"
        )
        following = page.get_by_role("button", name="Next event")
        following.focus()
        for place, row in enumerate(rows, 1):
            page.keyboard.press("Enter")
            assert figure.locator(".place").text_content() == f"{place} of {len(rows)}"
            assert card.locator(".name").text_content() == cell(page, row, "what")
            assert cell(page, row, "words") in (card.text_content() or "")
        page.keyboard.press("Enter")
        assert (figure.locator(".place").text_content() or "").startswith("1 of")
        page.get_by_role("button", name="Previous event").click()
        assert (figure.locator(".place").text_content() or "").startswith(f"{len(rows)} of")
        page.keyboard.press("Escape")
        assert not card.is_visible()
        chosen: list[tuple[int, float, float]] = page.evaluate(
            """() => [...document.querySelectorAll('.narrow .marks')].map(group => {
              const [n] = group.dataset.n.split(' '), box = group.firstElementChild.getBoundingClientRect();
              return [+n, box.left + box.width / 2, box.top + box.height / 2 + scrollY]; })"""
        )
        assert len(chosen) > 5
        for row, x, y in chosen:
            page.evaluate("y => scrollTo(0, y)", y - 300)
            page.touchscreen.tap(x, y - page.evaluate("scrollY"))
            assert card.locator(".name").text_content() == cell(page, row, "what")
        assert page.evaluate("document.documentElement.scrollWidth") == 390


def test_the_narrow_map_tells_its_signs(chromium: Browser, folder: Path) -> None:
    with shown(chromium, folder / "whole.html", 390) as page:
        figure = page.locator("figure.chart")
        signs = figure.locator(".narrow .spot").count()
        assert signs > 3
        told = []
        for place in range(1, signs + 1):
            figure.get_by_role("button", name="Next sign").click()
            assert figure.locator(".place").text_content() == f"{place} of {signs}"
            told.append(int((figure.locator(".card .name").text_content() or "").partition(" × ")[0]))
            assert figure.locator("circle.here").count() == 1
        glance = page.locator(".glance li").first.text_content() or ""
        assert sum(told) == int(glance.split()[0])


def test_a_wide_timeline_is_gone_through_by_keys(chromium: Browser, folder: Path) -> None:
    with shown(chromium, folder / "whole.html") as page:
        marks = page.locator("figure.timeline a[data-n]")
        marks.first.focus()
        page.keyboard.press("Home")
        first = page.evaluate("document.activeElement.dataset.n")
        page.keyboard.press("ArrowRight")
        second = page.evaluate("document.activeElement.dataset.n")
        assert int(second) > int(first)
        assert page.locator("figure.timeline .card .name").text_content() == cell(page, int(second), "what")
        page.keyboard.press("Enter")
        assert page.locator("#all-events").get_attribute("open") is not None
        assert page.locator(f"#e{second}").is_visible()
